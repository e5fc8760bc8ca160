"""Who does the work."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from events.views.request import StudioRequest
from studio.access import Right, studio_page
from studio.models import Membership


@require_safe
@studio_page(Right.SEE_EVENTS)
def crew(request: StudioRequest) -> HttpResponse:
    """The people of the studio, crew first."""
    members = Membership.objects.select_related("person").order_by("person__name", "pk")
    order = {"crew": 0, "staff": 1, "owner": 2}
    people = sorted(members, key=lambda member: order[member.role])
    return render(request, "events/crew.html", {"people": people})
