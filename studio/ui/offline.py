"""Pages that a phone keeps, so that they open again without signal."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Final

from django.http import HttpRequest, HttpResponse

KEEP_HEADER: Final = "X-Billowbook-Keep"
"""Says to the phone's worker that it may keep this page, and for whom: until that reader signs out or another comes."""
READER_HEADER: Final = "X-Billowbook-Reader"
"""Says to the phone's worker who reads: whose pages it keeps."""
NOBODY: Final = "nobody"


def reader_of(request: HttpRequest) -> str:
    """Whoever reads, as pages name them: a person by number, or a phone that acts by its link."""
    user = getattr(request, "user", None)
    if user is not None and user.is_authenticated:
        return str(user.pk)
    tenant = getattr(request, "tenant", None)
    return f"phone-{tenant.phone.pk}" if tenant and tenant.phone else NOBODY


def kept_on_phones(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let phones keep this page. It must show no price, and nothing of the client but what the day needs."""

    @wraps(view)
    def page(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        response = view(request, *args, **kwargs)
        if request.method == "GET" and response.status_code == 200:
            response.headers[KEEP_HEADER] = reader_of(request)
        return response

    return page
