"""The page of what an event really cost."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from events.costs.real_cost import find_real_cost
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_MARGIN)
def show_real_cost(request: StudioRequest, event_id: int) -> HttpResponse:
    """Show planned beside actual cost: hours, pay, materials."""
    cost = find_real_cost(event_id)
    context = {"cost": cost, "event": cost.event, "studio": request.tenant.studio}
    return render(request, "events/costs/real_cost.html", context)
