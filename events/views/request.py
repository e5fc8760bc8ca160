"""What a studio page's request carries."""

from __future__ import annotations

from django.http import HttpRequest

from studio.tenancy import PageTenant


class StudioRequest(HttpRequest):
    """A request inside a studio: ``studio_page`` has set the tenant."""

    tenant: PageTenant
