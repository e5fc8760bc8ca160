"""How the web server runs, in the image and in the demo: threads, patience, and what it logs."""

from __future__ import annotations

from typing import Any

from gunicorn.glogging import Logger

from studio.logs import MaskSecrets


class MaskingLogger(Logger):  # type: ignore[misc] # gunicorn has no types
    """gunicorn's logger, which never writes the token of a secret address."""

    # Its configuration has no type either.
    def setup(self, cfg: Any) -> None:
        """As gunicorn does, every line masked."""
        super().setup(cfg)
        for handler in (*self.error_log.handlers, *self.access_log.handlers):
            handler.addFilter(MaskSecrets())


wsgi_app = "studio.wsgi:application"
workers = 2
threads = 4
timeout = 60
graceful_timeout = 30
control_socket_disable = True
accesslog = "-"
logger_class = MaskingLogger
