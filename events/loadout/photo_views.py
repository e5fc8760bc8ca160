"""Photos from an event: taking one, and looking at it."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from typing import BinaryIO, cast

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.crew_phones.phone_links import this_event
from events.loadout import photos
from events.loadout.photos import CannotKeepPhoto, TakenPhoto
from events.models import Event
from studio.people.body_limits import PICTURE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, clean_text
from studio.tenancy import links
from studio.tenancy.rights import Right


@takes_bodies_of(PICTURE_BYTES)
@require_POST
@studio_page(Right.TICK_LOAD_OUT, linked_to=this_event)
def add_photo(request: StudioRequest, event_id: int) -> HttpResponse:
    """Take a photo: from the page's script, which wants JSON, or from the form itself."""
    get_object_or_404(Event, pk=event_id)
    by_script = request.POST.get("by") == "script"
    try:
        kept = photos.keep(event_id, _taken(request, by_script=by_script))
    except CannotKeepPhoto as refusal:
        why = " ".join(refusal.messages)
        if by_script:
            return JsonResponse({"error": why}, status=422)
        messages.error(request, why)
    else:
        if by_script:
            return JsonResponse({"kept": [str(kept.uuid)]})
        messages.success(request, "The photo is kept.")
    return redirect(links.to("events:load-out", event_id))


@require_safe
@studio_page(Right.SEE_EVENTS, linked_to=photos.event_of, many_at_once=True)
def photo(request: StudioRequest, photo_id: int) -> HttpResponse:
    """One photo."""
    file = photos.content(photo_id)
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    response.headers["Cache-Control"] = "private, max-age=86400"
    return response


# --- Private ---


def _taken(request: StudioRequest, *, by_script: bool) -> TakenPhoto:
    upload = request.FILES.get("photo")
    if upload is None or upload.file is None:
        raise CannotKeepPhoto("Choose a photo first.")
    name, made_at = uuid.uuid4(), timezone.now()
    if by_script:
        try:
            name = uuid.UUID(request.POST["uuid"])
            made_at = datetime.fromisoformat(request.POST["made_at"]).astimezone(UTC)
        except (ValueError, KeyError, OverflowError):
            raise CannotKeepPhoto("A photo comes with a uuid and the time at which it was taken.") from None
    phone = clean_text(request.POST.get("phone", ""))[:36]
    return TakenPhoto(name, made_at, cast("BinaryIO", upload.file), upload.size or 0, phone)
