"""The kernel as a Django app."""

from __future__ import annotations

from django.apps import AppConfig


class StudioConfig(AppConfig):
    """Tenancy, people, units, money, the look."""

    name = "studio"
    verbose_name = "Studio"

    def ready(self) -> None:
        # The worker's app must exist before any room declares a task; the checks register on import.
        from studio import celery  # noqa: F401
        from studio.tenancy import (
            checks,  # noqa: F401
            roles_check,  # noqa: F401
        )
