"""The opening page: the week strip."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.template.loader import get_template
from django.utils import timezone
from django.utils.safestring import SafeString
from django.views.decorators.http import require_safe

from events.calendar.week import Bar, Lane, Lanes, WeekStrip, week_strip
from studio.models import Studio
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy.rights import Right


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
    strip = week_strip(day, studio, Lanes(by))
    context = {
        "strip": strip,
        "lanes": Lanes.choices,
        "lanes_drawn": _drawn(strip, studio),
        "studio": studio,
    }
    return render(request, "events/calendar/week.html", context)


def asked_day(text: str) -> date:
    """The day that an address names; 404 for what is none."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise Http404 from None
    if not 2000 <= day.year <= 2099:
        raise Http404
    return day


# --- Private ---


def _drawn(strip: WeekStrip, studio: Studio) -> list[tuple[Lane, list[tuple[Bar, SafeString]]]]:
    """Each lane with its bars and what stands in them, drawn once a stretch: by crew it may lie in many lanes."""
    template = get_template("events/calendar/_week_bar.html")
    inside: dict[tuple[int, str], SafeString] = {}
    for bar in (bar for lane in strip.lanes for bar in lane.bars):
        if (bar.event.pk, bar.work) not in inside:
            context = {"event": bar.event, "work": bar.work, "beads": bar.beads, "studio": studio}
            inside[bar.event.pk, bar.work] = SafeString(template.render(context))
    return [(lane, [(bar, inside[bar.event.pk, bar.work]) for bar in lane.bars]) for lane in strip.lanes]
