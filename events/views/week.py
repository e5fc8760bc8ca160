"""The opening page: the week strip."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from events.views.request import StudioRequest
from events.week import Lanes, week_strip
from studio.access import Right, studio_page


@require_safe
@studio_page(Right.SEE_EVENTS)
def week(request: StudioRequest) -> HttpResponse:
    """This week, or the one in which ``?day=`` lies."""
    studio = request.tenant.studio
    day = (
        asked_day(request.GET["day"]) if "day" in request.GET else timezone.now().astimezone(studio.tz).date()
    )
    by = request.GET.get("by", Lanes.STATUS)
    if by not in Lanes.values:
        raise Http404
    context = {"strip": week_strip(day, studio, Lanes(by)), "lanes": Lanes.choices, "studio": studio}
    return render(request, "events/week.html", context)


def asked_day(text: str) -> date:
    """The day that an address names; 404 for what is none."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise Http404 from None
    if not 2000 <= day.year <= 2099:
        raise Http404
    return day
