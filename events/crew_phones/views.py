"""The office gives phones an event, makes them new links and ends them."""

from __future__ import annotations

from typing import Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from events.booking.forms import WhosePhoneForm, take_refusal
from events.booking.request import StudioRequest
from events.crew_phones import phone_links
from events.crew_phones.phone_links import GivenPhone
from events.models import Event
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

GIVEN: Final = "given_phone"
"""Where the session keeps a new link until the page has shown it."""


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def phones(request: StudioRequest, event_id: int) -> HttpResponse:
    """The phones of an event; a POST gives it to one more."""
    event = get_object_or_404(Event, pk=event_id)
    form = WhosePhoneForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            return _given(request, phone_links.give(event_id, whose=form.cleaned_data["whose"]), event_id)
        except ValidationError as refusal:
            take_refusal(form, refusal)
    context = {
        "event": event,
        "form": form,
        "given": request.session.pop(GIVEN, None),
        "phones": phone_links.of(event_id),
        "ends_at": phone_links.ends_at(event),
    }
    return render(request, "events/crew_phones/phones.html", context, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def new_link(request: StudioRequest, event_id: int, phone_id: int) -> HttpResponse:
    """Another link for the same phone."""
    try:
        return _given(request, phone_links.renew(event_id, phone_id), event_id)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(links.to("events:phones", event_id))


@require_POST
@studio_page(Right.EDIT_EVENTS)
def end_link(request: StudioRequest, event_id: int, phone_id: int) -> HttpResponse:
    """End a phone's link."""
    phone = phone_links.end(event_id, phone_id)
    messages.success(request, f"The link of {phone.name} has ended.")
    return redirect(links.to("events:phones", event_id))


# --- Private ---


def _given(request: StudioRequest, given: GivenPhone, event_id: int) -> HttpResponse:
    """Back to the page, which shows the link once."""
    request.session[GIVEN] = {"event": event_id, "phone": given.phone.name, "address": given.address}
    return redirect(links.to("events:phones", event_id))
