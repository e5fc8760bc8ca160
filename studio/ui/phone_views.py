"""What a phone needs to work without signal: its worker, the page it shows then, and who is signed in."""

from __future__ import annotations

import json
from typing import Final

from django.conf import settings
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.template.loader import render_to_string
from django.views.decorators.http import require_safe

from studio.people import crew_phones
from studio.ui.offline import KEEP_HEADER

SHELL: Final = (
    "studio/fonts/figtree-latin.woff2",
    "studio/fonts/fraunces-latin.woff2",
    "studio/css/look.css",
    "studio/css/frame.css",
    "studio/css/forms.css",
    "studio/css/lists.css",
    "studio/css/pieces.css",
    "studio/vendor/htmx-2.0.11.min.js",
    "studio/js/theme.js",
    "studio/js/progress.js",
    "studio/js/keyboard.js",
    "studio/js/outbox.js",
    "studio/img/mark.svg",
)
"""What every page is drawn with."""


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, from the root so that it serves every page. A new release is a new worker."""
    script = render_to_string(
        "studio/phone_worker.js",
        {
            "shell": json.dumps([staticfiles_storage.url(name) for name in SHELL]),
            "keep_header": json.dumps(KEEP_HEADER),
            "static": json.dumps(settings.STATIC_URL),
        },
    )
    return HttpResponse(
        script, content_type="text/javascript; charset=utf-8", headers={"Cache-Control": "no-cache"}
    )


@require_safe
def without_signal(request: HttpRequest) -> HttpResponse:
    """What is shown instead of a page that the phone doesn't have."""
    return render(request, "studio/offline.html")


@require_safe
def signed_in(request: HttpRequest) -> HttpResponse:
    """Who is signed in, and the token that a POST of theirs carries: asked before anything kept is sent.

    A phone that was given an event by a link asks with its number, ``?phone=12``, and is ``phone-12``.
    """
    person = request.user.pk if request.user.is_authenticated else _by_link(request)
    return JsonResponse({"person": person, "csrf": get_token(request) if person else ""})


def _by_link(request: HttpRequest) -> str | None:
    number = request.GET.get("phone", "")
    if not number.isdecimal() or len(number) > 18 or not crew_phones.holds(request, int(number)):
        return None
    return f"phone-{int(number)}"
