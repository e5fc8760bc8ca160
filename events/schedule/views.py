"""Run sheets: of an event, of a person, and the event's on paper."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from events.contacts import reachable
from events.crew import people
from events.crew_phones.phone_links import this_event
from events.models import Event
from events.schedule import run_sheet as domain
from studio.models import Studio
from studio.paper import pdf
from studio.paper.pdf import on_paper
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy.rights import Right
from studio.ui.offline import kept_on_phones


@require_safe
@studio_page(Right.SEE_EVENTS, linked_to=this_event)
@kept_on_phones
def run_sheet(request: StudioRequest, event_id: int) -> HttpResponse:
    """The event by the clock."""
    event, studio = _event(event_id), request.tenant.studio
    context = {"event": event, "studio": studio, "sheet": domain.run_sheet(event, studio)}
    return render(request, "events/schedule/run_sheet.html", context)


@require_safe
@studio_page(Right.SEE_EVENTS, linked_to=this_event)
def whom_to_ring(request: StudioRequest, event_id: int) -> HttpResponse:
    """The client and their numbers, for whoever may see them now. No phone keeps this."""
    page = "events/schedule/_whom_to_call.html" if request.htmx else "events/schedule/whom_to_call.html"
    return render(request, page, _contacts(_event(event_id), request.tenant.studio))


@require_safe
@studio_page(Right.SEE_EVENTS, linked_to=this_event)
def paper(request: StudioRequest, event_id: int) -> HttpResponse:
    """The same as a PDF."""
    event, studio = _event(event_id), request.tenant.studio
    context = {
        **_contacts(event, studio),
        "sheet": domain.run_sheet(event, studio),
        "paper": pdf.paper(studio),
    }
    content = pdf.rendered("events/schedule/pdf/run_sheet.html", context)
    return on_paper(content, f"run-sheet-{event_id}.pdf")


@require_safe
@studio_page(Right.SEE_EVENTS)
@kept_on_phones
def of_person(request: StudioRequest, membership_id: int) -> HttpResponse:
    """What somebody has before them; the office sees everybody's, crew their own."""
    who = people.find_person(membership_id)
    if not people.is_self(who) and not request.tenant.can(Right.EDIT_EVENTS):
        raise PermissionDenied("This is somebody else's run sheet.")
    studio = request.tenant.studio
    context = {
        "who": who,
        "studio": studio,
        "is_self": people.is_self(who),
        "sheets": domain.of_person(who.member, studio) if who.member.pk else [],
    }
    return render(request, "events/schedule/person_run_sheet.html", context)


def _event(event_id: int) -> Event:
    event = Event.objects.select_related("client", "venue").filter(pk=event_id).first()
    if event is None:
        raise Http404
    return event


def _contacts(event: Event, studio: Studio) -> dict[str, Any]:
    return {
        "event": event,
        "studio": studio,
        "phone": reachable.shown_phone(event, studio),
        "ways": reachable.shown_ways(event, studio),
    }
