"""Taking an enquiry, and the files attached to events and venues."""

from __future__ import annotations

from typing import BinaryIO, cast

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.booking import attachments
from events.booking.attachments import CannotAttach, Upload
from events.booking.enquiry import take_enquiry
from events.booking.forms import EnquiryForm
from events.models import Event, Venue
from events.wishes.forms import WishesForm
from events.wishes.wishes import keep_wishes, wishes_of
from studio.people.body_limits import PICTURE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import save_form


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def add_enquiry(request: StudioRequest) -> HttpResponse:
    """Show the enquiry form; a POST makes the event and goes to it, or back to the page of this studio that asked for
    one: ``next``, which gets the event's id as ``event``."""
    form = EnquiryForm(request.POST or None, studio=request.tenant.studio, initial=_prefilled(request))
    event = save_form(form, lambda: _take(form))
    if event:
        messages.success(request, "Enquiry saved.")
        asked = request.GET.get("next", "")
        return redirect(
            f"{asked}?event={event.pk}" if links.is_inside(asked) else links.to("events:event", event.pk)
        )
    status = 422 if form.errors else 200
    return render(request, "events/booking/new_enquiry.html", {"form": form}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def change_wishes(request: StudioRequest, event_id: int) -> HttpResponse:
    """Show and change what the client wishes."""
    event, studio = get_object_or_404(Event, pk=event_id), request.tenant.studio
    form = WishesForm(request.POST or None, studio=studio, wished=wishes_of(event))
    if request.method == "POST" and form.is_valid():
        keep_wishes(event, form.wished(form.cleaned_data))
        messages.success(request, "Wishes saved.")
        return redirect(links.to("events:event", event.pk))
    context = {"form": form, "event": event, "back": links.to("events:event", event.pk)}
    return render(request, "events/booking/wishes.html", context, status=422 if form.errors else 200)


@takes_bodies_of(PICTURE_BYTES)
@require_POST
@studio_page(Right.EDIT_EVENTS)
def attach_to_event(request: StudioRequest, event_id: int) -> HttpResponse:
    """Attach a file to an event."""
    return _attach(request, get_object_or_404(Event, pk=event_id), links.to("events:event", event_id))


@takes_bodies_of(PICTURE_BYTES)
@require_POST
@studio_page(Right.EDIT_EVENTS)
def attach_to_venue(request: StudioRequest, venue_id: int) -> HttpResponse:
    """Attach a file to a venue."""
    return _attach(request, get_object_or_404(Venue, pk=venue_id), links.to("events:venue", venue_id))


@require_safe
@studio_page(Right.SEE_EVENTS, many_at_once=True)
def show_attachment(request: StudioRequest, enclosure_id: int) -> HttpResponse:
    """Send one attachment: a picture to look at, a PDF to save."""
    file = attachments.attached_file(enclosure_id)
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    is_pdf = file.media_type == attachments.PDF
    response["Content-Disposition"] = content_disposition_header(is_pdf, file.name) or "inline"
    response["Cache-Control"] = "private, max-age=86400"
    return response


@require_POST
@studio_page(Right.EDIT_EVENTS)
def remove_attachment(request: StudioRequest, enclosure_id: int) -> HttpResponse:
    """Remove an attachment."""
    removed = attachments.remove(enclosure_id)
    messages.success(request, f"{removed.name} removed.")
    if removed.event_id:
        return redirect(links.to("events:event", removed.event_id))
    return redirect(links.to("events:venue", removed.venue_id))


# --- Private ---


def _take(form: EnquiryForm) -> Event:
    typed = form.cleaned_data
    return take_enquiry(
        title=typed["title"],
        event_windows=typed["windows"],
        client_id=typed["client"],
        client_name=typed["client_name"],
        client_email=typed["client_email"],
        client_phone=typed["client_phone"],
        venue_id=typed["venue"],
        venue_name=typed["venue_name"],
        venue_address=typed["venue_address"],
        wanted=form.wanted(typed),
        notes=typed["notes"],
        said=typed["said"],
        wished=form.wished(typed),
        key=typed["key"],
    )


def _prefilled(request: StudioRequest) -> dict[str, str]:
    """The client, venue, day or sizes that the link to this page carries."""
    known = ("client", "venue", "day", "width_m", "height_m")
    return {name: request.GET[name] for name in known if name in request.GET}


def _attach(request: StudioRequest, owner: Event | Venue, page: str) -> HttpResponse:
    upload = request.FILES.get("file")
    if upload is None or upload.file is None:
        messages.error(request, "Choose a file first.")
        return redirect(page)
    file = Upload(upload.name or "", cast("BinaryIO", upload.file), upload.size or 0)
    try:
        attached = attachments.attach(owner, file)
    except CannotAttach as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{attached.name} attached.")
    return redirect(page)
