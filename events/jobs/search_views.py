"""Search over everything that the room knows."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from events.booking import stages
from events.jobs import search as domain
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, searched_for
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_EVENTS)
def search(request: StudioRequest) -> HttpResponse:
    """What fits ``?find=``."""
    studio = request.tenant.studio
    found = domain.search(searched_for(request), studio)
    rows = [(event, stages.beads(event)) for event in found.events]
    return render(request, "events/jobs/search.html", {"found": found, "rows": rows, "studio": studio})
