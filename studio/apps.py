"""The kernel as a Django app."""

from __future__ import annotations

from django.apps import AppConfig
from django.conf import settings


class StudioConfig(AppConfig):
    """Tenancy, people, units, money, the look."""

    name = "studio"
    verbose_name = "Studio"

    def ready(self) -> None:
        # The worker's app must exist before any room declares a task; the checks register on import.
        from studio import celery  # noqa: F401
        from studio.catalogues import compile_changed
        from studio.tenancy import (
            checks,  # noqa: F401
            roles_check,  # noqa: F401
        )

        for folder in settings.LOCALE_PATHS:
            compile_changed(folder)
