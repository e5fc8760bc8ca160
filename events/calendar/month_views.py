"""The month, by hand or by keyboard, narrowed to a van, a person or a piece."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from events.calendar.month import Narrowed
from events.calendar.month import month as month_of
from events.calendar.views import asked_day
from events.models import CrewMember, Van
from stock.catalogue import items
from stock.models import Kind
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, clean_text
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_EVENTS)
def month(request: StudioRequest) -> HttpResponse:
    """This month, or the one in which ``?day=`` lies."""
    studio = request.tenant.studio
    today = timezone.now().astimezone(studio.tz).date()
    day = asked_day(request.GET["day"]) if "day" in request.GET else today
    only = Narrowed(
        _number(request, "van"), _number(request, "who"), clean_text(request.GET.get("piece", ""))[:80]
    )
    people = CrewMember.objects.filter(is_called=True).order_by("person__name")
    context = {
        "month": month_of(day, studio, only),
        "only": only,
        "vans": Van.objects.filter(is_in_use=True),
        "people": people.values_list("pk", "person__name"),
        "pieces": items.in_use(Kind.FRAME).select_related(None),
        "studio": studio,
    }
    return render(request, "events/calendar/month.html", context)


def _number(request: StudioRequest, name: str) -> int | None:
    text = request.GET.get(name, "")
    if not text:
        return None
    if not text.isdecimal() or len(text) > 18:
        raise Http404
    return int(text)
