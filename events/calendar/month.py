"""The month: each event on its day, with conflicts; of all, or of one van, person or frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from django.db.models import QuerySet
from django.utils import timezone

from events.calendar.shown_event import ShownEvent, columns
from events.day_plan import working_hours
from events.models import BillRow, Event, Shift, Status
from events.models.work import present_code_among
from events.schedule import conflicts
from events.schedule.roster import read_roster
from studio.measures.times import Window
from studio.models import Studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

EVENTS_A_DAY: Final = 6
"""More than these are shown as a number that leads to the week."""


@dataclass(frozen=True, slots=True)
class OnDay:
    """An event on the day it must be ready."""

    event: ShownEvent
    conflicts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the month, or of the weeks around its ends."""

    date: date
    in_month: bool
    events: tuple[OnDay, ...]

    @property
    def shown(self) -> tuple[OnDay, ...]:
        """The events that are listed."""
        return self.events if len(self.events) <= EVENTS_A_DAY else self.events[: EVENTS_A_DAY - 1]

    @property
    def more(self) -> int:
        """How many aren't listed."""
        return len(self.events) - len(self.shown)


@dataclass(frozen=True, slots=True)
class Filters:
    """The van, person and frame whose events are shown; None and empty for all."""

    van_id: int | None = None
    member_id: int | None = None
    frame_code: str = ""


@dataclass(frozen=True, slots=True)
class Month:
    """Whole weeks, Monday first."""

    first: date
    today: date
    weeks: tuple[tuple[Day, ...], ...]
    count: int

    @property
    def earlier(self) -> date:
        """The month before."""
        return (self.first - timedelta(days=1)).replace(day=1)

    @property
    def later(self) -> date:
        """The month after."""
        return (self.first + timedelta(days=31)).replace(day=1)

    @property
    def is_this_month(self) -> bool:
        """Whether today is in it."""
        return (self.today.year, self.today.month) == (self.first.year, self.first.month)


def find_month(day: date, studio: Studio, filters: Filters | None = None) -> Month:
    """The month in which ``day`` lies, by the studio's clocks. Four queries, however many events."""
    require(Right.SEE_EVENTS)
    first = day.replace(day=1)
    start = monday_of(first)
    last = (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
    end = monday_of(last) + timedelta(days=6)
    span = _span(start, end, studio)
    matching = _matching(filters or Filters(), span)
    events = [ShownEvent._make(row) for row in matching.values_list(*columns())]
    wrong = _event_conflicts(span, studio)
    by_day: dict[date, list[OnDay]] = {}
    for event in events:
        on = event.ready_by.astimezone(studio.tz).date()
        by_day.setdefault(on, []).append(OnDay(event, wrong.get(event.pk, ())))
    days = [start + timedelta(days=number) for number in range((end - start).days + 1)]
    cells = [Day(each, each.month == first.month, tuple(by_day.get(each, ()))) for each in days]
    weeks = tuple(tuple(cells[number : number + 7]) for number in range(0, len(cells), 7))
    today = timezone.now().astimezone(studio.tz).date()
    return Month(first, today, weeks, sum(len(cell.events) for cell in cells if cell.in_month))


def monday_of(day: date) -> date:
    """The Monday of that day's week (ISO 8601)."""
    return day - timedelta(days=day.weekday())


# --- Private ---


def _span(first: date, last: date, studio: Studio) -> Window:
    hours = working_hours.whole_days(first, last, studio.tz)
    return Window(hours.windows[0].start, hours.windows[-1].end)


def _matching(filters: Filters, span: Window) -> QuerySet[Event]:
    rows = Event.objects.filter(ready_by__gte=span.start, ready_by__lt=span.end)
    rows = rows.exclude(status=Status.CANCELLED)
    if filters.van_id:
        rows = rows.filter(pk__in=Shift.objects.filter(van=filters.van_id).values("event"))
    if filters.member_id:
        rows = rows.filter(shifts__calls__member=filters.member_id).distinct()
    if filters.frame_code:
        frames = BillRow.objects.filter(present_code_among([filters.frame_code]))
        rows = rows.filter(pk__in=frames.values("event"))
    return rows.order_by("ready_by", "pk")


def _event_conflicts(span: Window, studio: Studio) -> Mapping[int, tuple[str, ...]]:
    """The conflicts of each event's crew and vans, by the event's primary key."""
    known = read_roster(span, studio)
    found: dict[int, list[str]] = {}
    by_shift: Mapping[int, Sequence[str]] = conflicts.find_conflicts(known)
    for shift in known.shifts:
        lines = found.setdefault(shift.event_id, [])
        lines += [words for words in by_shift.get(shift.pk, ()) if words not in lines]
    return {event_id: tuple(lines) for event_id, lines in found.items()}
