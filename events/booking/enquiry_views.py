"""Taking an enquiry."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from events.booking.enquiry import take_enquiry
from events.booking.forms import EnquiryForm, take_refusal
from events.models import Event
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def new_enquiry(request: StudioRequest) -> HttpResponse:
    """The form; a POST makes the event and goes to it."""
    form = EnquiryForm(request.POST or None, studio=request.tenant.studio, initial=_said_already(request))
    if request.method == "POST" and form.is_valid():
        try:
            event = _taken(form)
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            messages.success(request, "The enquiry is taken.")
            return redirect(links.to("events:event", event.pk))
    return render(request, "events/booking/new_enquiry.html", {"form": form}, status=422 if form.errors else 200)


def _taken(form: EnquiryForm) -> Event:
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
        key=typed["key"],
    )


def _said_already(request: StudioRequest) -> dict[str, str]:
    """What the link that led here knows: a client, a place, a day."""
    return {name: request.GET[name] for name in ("client", "venue", "day") if name in request.GET}
