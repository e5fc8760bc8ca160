"""The calendar: the next seven days, which are the opening page, and the month."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from events.calendar import presenter
from events.calendar.lanes import Lanes
from events.calendar.month import Filters, find_month
from events.calendar.next_job import find_next_jobs
from events.calendar.week import find_week
from events.models import CrewMember, Van
from stock.catalogue import items
from stock.models import Kind
from studio.models import Studio
from studio.people.first_steps import find_first_steps
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, clean_text
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_EVENTS)
def show_week(request: StudioRequest) -> HttpResponse:
    """Show the next seven days with the next job, or seven days from ``?day=`` on."""
    studio = request.tenant.studio
    by = request.GET.get("by", Lanes.STATUS)
    if by not in Lanes.values:
        raise Http404
    week = find_week(_asked_day(request, studio), studio, Lanes(by))
    context = {
        "week": week,
        "lane_choices": Lanes.choices,
        "lanes": presenter.drawn_lanes(week, studio),
        "studio": studio,
        "first_steps": find_first_steps(),
        "jobs": find_next_jobs() if week.begins_today else [],
    }
    return render(request, "events/calendar/week.html", context)


@require_safe
@studio_page(Right.SEE_EVENTS)
def show_month(request: StudioRequest) -> HttpResponse:
    """Show this month, or the one of ``?day=``, for all or for one van, person or frame."""
    studio = request.tenant.studio
    filters = _filters(request)
    people = CrewMember.objects.filter(is_called=True).order_by("person__name")
    context = {
        "month": find_month(_asked_day(request, studio), studio, filters),
        "filters": filters,
        "vans": Van.objects.filter(is_in_use=True),
        "people": people.values_list("pk", "person__name"),
        "frames": items.items_in_use(Kind.FRAME).select_related(None),
        "studio": studio,
    }
    return render(request, "events/calendar/month.html", context)


# --- Private ---


def _asked_day(request: StudioRequest, studio: Studio) -> date:
    """The day of ``?day=``, or today. Raises ``Http404`` for a text that is no day."""
    if "day" not in request.GET:
        return timezone.now().astimezone(studio.tz).date()
    try:
        day = date.fromisoformat(request.GET["day"])
    except ValueError:
        raise Http404 from None
    if not 2000 <= day.year <= 2099:
        raise Http404
    return day


def _filters(request: StudioRequest) -> Filters:
    frame_code = clean_text(request.GET.get("piece", ""))[:80]
    return Filters(_number(request, "van"), _number(request, "who"), frame_code)


def _number(request: StudioRequest, name: str) -> int | None:
    text = request.GET.get(name, "")
    if not text:
        return None
    if not text.isdecimal() or len(text) > 18:
        raise Http404
    return int(text)
