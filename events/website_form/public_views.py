"""The form on the studio's own website: for anybody, in a frame of that site, without a cookie."""

from __future__ import annotations

from typing import BinaryIO, cast

from csp.decorators import csp_replace
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.clickjacking import xframe_options_exempt
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from events.booking.attachments import Upload
from events.contacts.language import speaking_to_somebody
from events.website_form import receiving
from events.website_form.forms import AskForm
from studio.models import entered_studio
from studio.people.body_limits import PHOTO_BYTES, takes_bodies_of
from studio.people.public_pages import without_cookie
from studio.people.rate_limit import ENQUIRY, LOOK, address_of, limited, over, wait_page
from studio.ui.form_errors import add_errors

FORM_PAGE = "events/website_form/ask.html"


# Whoever sends it is nobody yet, so there is no session that another site could misuse; the form's own key stands in.
@csrf_exempt
@xframe_options_exempt
@csp_replace({"frame-ancestors": ["*"]})
@takes_bodies_of(PHOTO_BYTES, of_anybody=True)
@without_cookie
@require_http_methods(["GET", "HEAD", "POST"])
@limited(LOOK, "website form")
def ask(request: HttpRequest, name: str) -> HttpResponse:
    """Show the form; a POST makes an enquiry of it and thanks."""
    if request.method == "POST" and over(ENQUIRY, action="website form sent", who=address_of(request)):
        return wait_page(request, ENQUIRY.window_seconds)
    try:
        return _answer(request, name)
    except Http404:
        return render(request, "events/website_form/closed.html", {"csrf_token": ""}, status=404)


# --- Private ---


def _answer(request: HttpRequest, name: str) -> HttpResponse:
    with receiving.entered(name) as found, speaking_to_somebody():
        studio = entered_studio()
        form = AskForm(request.POST or None, request.FILES or None, studio=studio)
        shown = {"studio": studio, "found": found, "form": form, "csrf_token": ""}
        if request.method == "POST" and form.is_valid() and _is_received(form):
            return render(request, "events/website_form/thanks.html", shown)
        return render(request, FORM_PAGE, shown, status=422 if form.errors else 200)


def _is_received(form: AskForm) -> bool:
    photo = form.cleaned_data["photo"]
    upload = Upload(photo.name or "", cast("BinaryIO", photo.file), photo.size or 0) if photo else None
    try:
        receiving.receive(form.asked(), upload, key=form.cleaned_data["opened"])
    except ValidationError as refusal:
        add_errors(form, refusal)
        return False
    except receiving.TooMany:
        form.add_error(
            None, "So many enquiries came today that this form takes no more. Please write or call us."
        )
        return False
    return True
