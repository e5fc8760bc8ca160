"""What every answer carries."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


def private_pages(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Keep pages out of shared caches, and switch off the browser features that no page uses."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Cache-Control", "private, no-store")
        response.headers.setdefault(
            "Permissions-Policy", "geolocation=(), microphone=(), payment=(), usb=(), camera=(self)"
        )
        return response

    return answer
