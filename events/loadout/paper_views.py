"""The load-out list and the strike and return list, to print."""

from __future__ import annotations

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from events.crew_phones.phone_links import this_event
from events.loadout import list_papers
from studio.paper.pdf import on_paper
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=this_event)
def load_out(request: StudioRequest, event_id: int) -> HttpResponse:
    """The load-out list as a PDF."""
    content = list_papers.load_out(event_id, request.tenant.studio)
    return on_paper(content, f"load-out-{event_id}.pdf")


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=this_event)
def strike_and_return(request: StudioRequest, event_id: int) -> HttpResponse:
    """The strike and return list as a PDF."""
    content = list_papers.strike_and_return(event_id, request.tenant.studio)
    return on_paper(content, f"return-list-{event_id}.pdf")
