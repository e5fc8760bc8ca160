"""Seven days: events as bars from load-out to return, and what is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.utils import timezone

from events.calendar.agenda import DueItem, due
from events.calendar.lanes import Lanes, Stay, find_stays
from events.calendar.shown_event import ShownEvent
from events.progress.presenter import stage_beads
from studio.measures import times
from studio.measures.times import Window
from studio.models import Studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.ui.progress import Bead

SLOT: Final = timedelta(hours=3)
"""A day has eight slots of three hours, as the clock on the wall shows them."""
SLOTS: Final = 56
NARROWEST: Final = 4
"""Slots that a bar takes at least, so that a title can be read on it."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One event in a lane: from slot to slot, and in which row."""

    event: ShownEvent
    beads: Sequence[Bead]
    from_slot: int
    to_slot: int
    row: int
    is_due: bool
    work: str = ""
    """The shift: prep, install or strike; empty for the whole event."""


@dataclass(frozen=True, slots=True)
class Lane:
    """Bars that belong together."""

    name: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class Week:
    """Seven days, what is on, and what is due."""

    first_day: date
    today: date
    by: Lanes
    lanes: tuple[Lane, ...]
    due: tuple[DueItem, ...]
    now: datetime

    @property
    def days(self) -> list[date]:
        """The seven days."""
        return [self.first_day + timedelta(days=number) for number in range(7)]

    @property
    def last_day(self) -> date:
        """The last day."""
        return self.first_day + timedelta(days=6)

    @property
    def earlier(self) -> date:
        """The first of the seven days before."""
        return self.first_day - timedelta(days=7)

    @property
    def later(self) -> date:
        """The first of the seven days after."""
        return self.first_day + timedelta(days=7)

    @property
    def begins_today(self) -> bool:
        """Whether it is the opening page: today and the six days after."""
        return self.first_day == self.today


def find_week(day: date, studio: Studio, by: Lanes = Lanes.STATUS) -> Week:
    """Seven days from ``day`` on, by the studio's clocks, their bars in lanes of one sort."""
    require(Right.SEE_EVENTS)
    zone = studio.tz
    span = Window(_midnight(day, zone), _midnight(day + timedelta(days=7), zone))
    now = timezone.now()
    what_is_due = due(span)
    touched = {item.event_id for item in what_is_due}
    lanes = tuple(
        Lane(name, _bars(stays, day, zone, touched)) for name, stays in find_stays(by, span).items()
    )
    return Week(day, now.astimezone(zone).date(), by, lanes, tuple(what_is_due), now)


def slot(moment: datetime, first_day: date, zone: ZoneInfo, *, end: bool = False) -> int:
    """The slot of the seven days at which a moment stands by the clock on the wall, 0 to 56; an ``end`` is rounded
    up."""
    shown = moment.astimezone(zone).replace(tzinfo=None)
    since = shown - datetime.combine(first_day, time())
    number = -(-since // SLOT) if end else since // SLOT
    return max(0, min(SLOTS, number))


def packed(spans: Sequence[tuple[int, int]]) -> list[int]:
    """Row of each span, counted from 1, so that none in a row overlap, with the fewest rows.

    ``spans`` are half open and sorted by their start; each goes into the first row that is free again, which
    for intervals needs no more rows than overlap at any one place.
    """
    free_from: list[int] = []
    rows = []
    for start, end in spans:
        row = next((number for number, free in enumerate(free_from) if free <= start), len(free_from))
        if row == len(free_from):
            free_from.append(end)
        free_from[row] = end
        rows.append(row + 1)
    return rows


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    try:
        return times.local(day, time(), zone)
    except times.NoSuchTime:  # some zones change their clocks at midnight
        return times.local(day, time(1), zone)


def _bars(
    stays: Sequence[Stay], first_day: date, zone: ZoneInfo, due_events: set[int | None]
) -> tuple[Bar, ...]:
    spans = []
    for _, window, _ in stays:
        start = min(slot(window.start, first_day, zone), SLOTS - NARROWEST)
        end = max(slot(window.end, first_day, zone, end=True), start + NARROWEST)
        spans.append((start, end))
    order = sorted(range(len(stays)), key=lambda number: spans[number])
    rows = packed([spans[number] for number in order])
    return tuple(
        Bar(event, stage_beads(event.stage), *spans[number], row, event.pk in due_events, work)
        for number, row in zip(order, rows, strict=True)
        for event, _, work in (stays[number],)
    )
