"""What every page of this room knows of its request."""

from __future__ import annotations

from django.http import HttpRequest

from studio.tenancy import PageTenant


class StudioRequest(HttpRequest):
    """A request to a page of one studio."""

    tenant: PageTenant
    htmx: bool
