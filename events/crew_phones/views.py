"""The phones of an event: the office gives them links, renews links and ends them."""

from __future__ import annotations

from typing import Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from events.crew_phones import phone_links
from events.crew_phones.forms import PhoneForm
from events.crew_phones.phone_links import GivenPhone
from events.models import Event
from studio.measures.languages import Language
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import save_form

CREW_PAGES: Final = ("load-out", "return-list", "run-sheet")
NEW_LINK: Final = "given_phone"
"""The session holds a new link until the page has shown it."""


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def list_phones(request: StudioRequest, event_id: int) -> HttpResponse:
    """List the phones of an event; a POST gives one more phone a link."""
    event = get_object_or_404(Event, pk=event_id)
    form = PhoneForm(request.POST or None)
    given = save_form(form, lambda: phone_links.give(event_id, whose=form.cleaned_data["whose"]))
    if given:
        return _show_link_once(request, given, event_id)
    context = {
        "event": event,
        "form": form,
        "given": request.session.pop(NEW_LINK, None),
        "phones": phone_links.phones_of_event(event_id),
        "ends_at": phone_links.ends_at(event),
    }
    return render(request, "events/crew_phones/phones.html", context, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def renew_link(request: StudioRequest, event_id: int, phone_id: int) -> HttpResponse:
    """Make another link for the same phone."""
    try:
        return _show_link_once(request, phone_links.renew(event_id, phone_id), event_id)
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


@require_POST
@studio_page(Right.SEE_EVENTS, linked_to=phone_links.event_of_address)
def choose_language(request: StudioRequest, event_id: int) -> HttpResponse:
    """Choose the language in which this person, or this phone, reads the crew's pages."""
    get_object_or_404(Event, pk=event_id)
    asked, back = request.POST.get("language", ""), request.POST.get("back", "")
    if asked in Language.values:
        phone_links.set_language(request.tenant, Language(asked))
    return redirect(links.to(f"events:{back if back in CREW_PAGES else CREW_PAGES[0]}", event_id))


# --- Private ---


def _show_link_once(request: StudioRequest, given: GivenPhone, event_id: int) -> HttpResponse:
    request.session[NEW_LINK] = {"event": event_id, "phone": given.phone.name, "address": given.address}
    return redirect(links.to("events:phones", event_id))
