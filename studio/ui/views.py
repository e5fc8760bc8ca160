"""What a phone needs to work without signal, and the rules of a studio's colour."""

from __future__ import annotations

import json
from typing import Final

from django.conf import settings
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.views.decorators.http import require_safe

from studio.ui.brand import stylesheet
from studio.ui.offline import KEEP_HEADER, READER_HEADER

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
def brand(request: HttpRequest, hex: str) -> HttpResponse:  # noqa: A002 -- the word of the address
    """The rules of one colour. The same for everybody and for good: it asks no database and sets no cookie."""
    response = HttpResponse(stylesheet(f"#{hex}"), content_type="text/css; charset=utf-8")
    response["Cache-Control"] = "public, max-age=31536000, immutable"
    return response


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, from the root so that it serves every page. A new release is a new worker."""
    script = render_to_string(
        "studio/ui/phone_worker.js",
        {
            "shell": json.dumps([staticfiles_storage.url(name) for name in SHELL]),
            "keep_header": json.dumps(KEEP_HEADER),
            "reader_header": json.dumps(READER_HEADER),
            "static": json.dumps(settings.STATIC_URL),
        },
    )
    return HttpResponse(
        script, content_type="text/javascript; charset=utf-8", headers={"Cache-Control": "no-cache"}
    )


@require_safe
def without_signal(request: HttpRequest) -> HttpResponse:
    """What is shown instead of a page that the phone doesn't have. It stays for the next reader, so it names nobody."""
    return render(request, "studio/ui/offline.html", {"user": None})
