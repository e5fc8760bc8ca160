"""The page of what an event really cost."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from events.costs import real_cost as domain
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_MARGIN)
def real_cost(request: StudioRequest, event_id: int) -> HttpResponse:
    """Planned beside taken: work, pay, materials."""
    found = domain.real_cost(event_id)
    context = {"cost": found, "event": found.event, "studio": request.tenant.studio}
    return render(request, "events/costs/real_cost.html", context)
