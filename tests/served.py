"""The web server itself, as the demo starts it, on the test's own database."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.db import connection

from studio.local import demo, listening, processes
from studio.local.place import open_place
from studio.local.services import Addresses
from tests import database


@dataclass(frozen=True)
class Served:
    """Where it answers, and what it has said."""

    port: int
    running: processes.Running

    @property
    def log(self) -> str:
        """Everything it wrote so far."""
        return self.running.log.read_text("utf-8", "replace")

    @property
    def pid(self) -> int:
        """The first of its processes."""
        return self.running.process.pid


@contextmanager
def served() -> Iterator[Served]:
    """Web processes that answer on a free port; wants a test with ``transaction=True``, whose rows others can see."""
    with tempfile.TemporaryDirectory() as folder, listening.listen(0) as sockets:
        place = open_place(Path(folder) / "web")
        port = listening.port_of(sockets)
        environment = demo.product_environment(place, _addresses(), f"http://localhost:{port}")
        environment["WEB_CAPACITY"] = "1"
        web = demo.start_web(place, environment, [each.fileno() for each in sockets])
        try:
            processes.wait_until(web, lambda: demo.web_answers(port), seconds=demo.WEB_SECONDS)
            yield Served(port, web)
        finally:
            processes.stop(web)


def _addresses() -> Addresses:
    return Addresses(
        app=database.url_of(str(connection.settings_dict["NAME"])),
        owner=None,
        backup=None,
        admin=None,
        redis=os.environ["REDIS_URL"],
    )
