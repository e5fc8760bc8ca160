"""Run sheets: of an event, of a person, and the event's on paper."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from events import contact, crew
from events import run_sheet as domain
from events.models import Event
from events.views.request import StudioRequest
from studio import pdf
from studio.access import Right, studio_page


@require_safe
@studio_page(Right.SEE_EVENTS)
def run_sheet(request: StudioRequest, event_id: int) -> HttpResponse:
    """The event by the clock."""
    return render(request, "events/run_sheet.html", _context(request, event_id))


@require_safe
@studio_page(Right.SEE_EVENTS)
def paper(request: StudioRequest, event_id: int) -> HttpResponse:
    """The same as a PDF."""
    context = _context(request, event_id)
    content = pdf.rendered(
        "events/pdf/run_sheet.html", {**context, "paper": pdf.paper(request.tenant.studio)}
    )
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="run-sheet-{event_id}.pdf"'
    return response


@require_safe
@studio_page(Right.SEE_EVENTS)
def of_person(request: StudioRequest, membership_id: int) -> HttpResponse:
    """What somebody has before them; the office sees everybody's, crew their own."""
    who = crew.find(membership_id)
    if not crew.is_self(who) and not request.tenant.can(Right.EDIT_EVENTS):
        raise PermissionDenied("This is somebody else's run sheet.")
    studio = request.tenant.studio
    sheets = domain.of_person(who.member, studio) if who.member.pk else []
    context = {
        "who": who,
        "studio": studio,
        "is_self": crew.is_self(who),
        "sheets": [(each, contact.phone(each.sheet.event, studio)) for each in sheets],
    }
    return render(request, "events/person_run_sheet.html", context)


def _context(request: StudioRequest, event_id: int) -> dict[str, Any]:
    event = Event.objects.select_related("client", "venue").filter(pk=event_id).first()
    if event is None:
        raise Http404
    studio = request.tenant.studio
    return {
        "event": event,
        "studio": studio,
        "sheet": domain.run_sheet(event, studio),
        "phone": contact.phone(event, studio),
        "ways": contact.ways(event, studio),
    }
