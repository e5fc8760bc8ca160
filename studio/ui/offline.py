"""Pages that a phone keeps, so that they open again without signal."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Final

from django.http import HttpRequest, HttpResponse

KEEP_HEADER: Final = "X-Billowbook-Keep"
"""Says to the phone's worker that it may keep this page until the person signs out."""


def kept_on_phones(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let phones keep this page. It must show no price, and nothing of the client but what the day needs."""

    @wraps(view)
    def page(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        response = view(request, *args, **kwargs)
        if request.method == "GET" and response.status_code == 200:
            response.headers[KEEP_HEADER] = "1"
        return response

    return page
