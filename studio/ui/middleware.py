"""What every answer carries."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from django.http import HttpRequest, HttpResponse

from studio.ui.offline import READER_HEADER, reader_of


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


def named_reader(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Tell the phone's worker with every page who reads it, so that it shows nobody the pages of somebody else."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if response.headers.get("Content-Type", "").startswith("text/html"):
            response.headers[READER_HEADER] = reader_of(request)
        return response

    return answer


DRAFT_COOKIE: Final = "draft_saved"
DRAFT_TOKEN: Final = re.compile(r"[0-9a-f-]{36}")


def saved_drafts(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Tell the browser, by a cookie that its script reads, that what it kept of a form is written: the form's answer
    sends it on."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        sends_on = 300 <= response.status_code < 400 or "HX-Redirect" in response
        if request.method == "POST" and sends_on:
            token = request.POST.get("draft", "")
            if DRAFT_TOKEN.fullmatch(token):
                response.set_cookie(
                    DRAFT_COOKIE, token, max_age=3600, secure=request.is_secure(), samesite="Lax"
                )
        return response

    return answer
