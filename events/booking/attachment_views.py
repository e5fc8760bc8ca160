"""Pictures and papers with an event or a venue: adding one, looking at it, dropping it."""

from __future__ import annotations

from typing import BinaryIO, cast

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_POST, require_safe

from events.booking import attachments
from events.booking.attachments import CannotEnclose, Upload
from events.models import Event, Venue
from studio.people.body_limits import PICTURE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@takes_bodies_of(PICTURE_BYTES)
@require_POST
@studio_page(Right.EDIT_EVENTS)
def add_to_event(request: StudioRequest, event_id: int) -> HttpResponse:
    """Keep a file with an event."""
    return _added(request, get_object_or_404(Event, pk=event_id), links.to("events:event", event_id))


@takes_bodies_of(PICTURE_BYTES)
@require_POST
@studio_page(Right.EDIT_EVENTS)
def add_to_venue(request: StudioRequest, venue_id: int) -> HttpResponse:
    """Keep a file with a venue."""
    return _added(request, get_object_or_404(Venue, pk=venue_id), links.to("events:venue", venue_id))


@require_safe
@studio_page(Right.SEE_EVENTS)
def enclosure(request: StudioRequest, enclosure_id: int) -> HttpResponse:
    """One of them: a picture to look at, a paper to take along."""
    file = attachments.content(enclosure_id)
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    is_paper = file.media_type == "application/pdf"
    response["Content-Disposition"] = content_disposition_header(is_paper, file.name) or "inline"
    response["Cache-Control"] = "private, max-age=86400"
    return response


@require_POST
@studio_page(Right.EDIT_EVENTS)
def drop(request: StudioRequest, enclosure_id: int) -> HttpResponse:
    """Let one go."""
    gone = attachments.drop(enclosure_id)
    messages.success(request, f"{gone.name} is gone.")
    if gone.event_id:
        return redirect(links.to("events:event", gone.event_id))
    return redirect(links.to("events:venue", gone.venue_id))


# --- Private ---


def _added(request: StudioRequest, to: Event | Venue, back: str) -> HttpResponse:
    upload = request.FILES.get("file")
    if upload is None or upload.file is None:
        messages.error(request, "Choose a file first.")
        return redirect(back)
    try:
        kept = attachments.enclose(
            to, Upload(upload.name or "", cast("BinaryIO", upload.file), upload.size or 0)
        )
    except CannotEnclose as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{kept.name} is kept.")
    return redirect(back)
