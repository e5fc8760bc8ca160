"""How large a request's body may be: refused by the length it declares, before anything reads it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import Resolver404, resolve

from studio.people import crew_phones

V = TypeVar("V", bound=Callable[..., HttpResponse])

MEGABYTE: Final = 1024 * 1024
FORM_BYTES: Final = MEGABYTE
"""What any page takes, of whomever: the longest form with all its text."""
TABLE_BYTES: Final = 4 * MEGABYTE
"""A table of 2 MB, and the same sent back in a form after it was looked at."""
PHOTO_BYTES: Final = 8 * MEGABYTE
"""A photo of a telephone, with a form around it."""
PICTURE_BYTES: Final = 16 * MEGABYTE
"""Somewhat more than the largest picture or PDF that is kept, so that the page can still say what is too large."""


def takes_bodies_of(most_bytes: int, *, of_anybody: bool = False) -> Callable[[V], V]:
    """Let a view take larger bodies than a form's, of whoever is signed in or holds a crew link.

    ``of_anybody`` only where the view counts first how often an address asks.
    """

    def decorate(view: V) -> V:
        vars(view)["largest_body"], vars(view)["takes_of_anybody"] = most_bytes, of_anybody
        return view

    return decorate


def refuse_large_bodies(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Answer 413 to what is too large for its address, and 411 to a body that doesn't say how long it is."""

    def answer(request: HttpRequest) -> HttpResponse:
        if "Transfer-Encoding" in request.headers:
            return _refused(request, 411, most_megabytes=None)
        length = _declared_length(request)
        # Who asks is looked up for large bodies only: most requests have none.
        if length > FORM_BYTES and length > (most := _most_bytes(request)):
            return _refused(request, 413, most_megabytes=most // MEGABYTE)
        return get_response(request)

    return answer


def _declared_length(request: HttpRequest) -> int:
    text = str(request.META.get("CONTENT_LENGTH") or "0")
    return int(text) if text.isdecimal() and len(text) < 19 else FORM_BYTES + PICTURE_BYTES


def _most_bytes(request: HttpRequest) -> int:
    try:
        view = resolve(request.path_info).func
    except Resolver404:
        return FORM_BYTES
    most: int = getattr(view, "largest_body", FORM_BYTES)
    if most > FORM_BYTES and (getattr(view, "takes_of_anybody", False) or _may_upload(request)):
        return most
    return FORM_BYTES


def _may_upload(request: HttpRequest) -> bool:
    return request.user.is_authenticated or any(each.found.is_open for each in crew_phones.held(request))


def _refused(request: HttpRequest, status: int, *, most_megabytes: int | None) -> HttpResponse:
    if request.get_preferred_type(["text/html", "text/plain"]) == "text/html":
        return render(request, "413.html", {"most_megabytes": most_megabytes}, status=status)
    words = f"This is too large: at most {most_megabytes} MB can be sent here."
    if most_megabytes is None:
        words = "What is sent here must say how long it is (Content-Length)."
    return HttpResponse(
        f"{words} Nothing was changed.\n", status=status, content_type="text/plain; charset=utf-8"
    )
