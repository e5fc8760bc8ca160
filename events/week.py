"""The week strip: events as bars from load-out to return, and what is due."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.db.models import Q
from django.utils import timezone

from events import stages
from events.due import DueItem, due
from events.models import Event, Stage, Status
from stock.availability import shortages
from studio import links, tenancy, times
from studio.access import Right, may, require
from studio.models import Studio
from studio.thread import Bead
from studio.times import Window

SLOT: Final = timedelta(hours=3)
"""The strip counts in slots of three hours, as the clock on the wall shows them."""
SLOTS: Final = 56
NARROWEST: Final = 4
"""Slots that a bar takes at least, so that a title can be read on it."""
HORIZON: Final = timedelta(days=14)
"""Shortages are due this long before they bite (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One event on the strip: from slot to slot, and in which row of its lane."""

    event: Event
    beads: Sequence[Bead]
    from_slot: int
    to_slot: int
    row: int
    is_due: bool


@dataclass(frozen=True, slots=True)
class Lane:
    """Bars that belong together."""

    name: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class WeekStrip:
    """Seven days, what is on, and what is due."""

    monday: date
    today: date
    lanes: tuple[Lane, ...]
    due: tuple[DueItem, ...]
    now: datetime

    @property
    def days(self) -> list[date]:
        """Monday to Sunday."""
        return [self.monday + timedelta(days=number) for number in range(7)]

    @property
    def sunday(self) -> date:
        """The last day."""
        return self.monday + timedelta(days=6)

    @property
    def earlier(self) -> date:
        """Monday of the week before."""
        return self.monday - timedelta(days=7)

    @property
    def later(self) -> date:
        """Monday of the week after."""
        return self.monday + timedelta(days=7)

    @property
    def is_this_week(self) -> bool:
        """Whether today is in it."""
        return self.monday <= self.today <= self.sunday


def monday_of(day: date) -> date:
    """The Monday of that day's week (ISO 8601)."""
    return day - timedelta(days=day.weekday())


def week_strip(day: date, studio: Studio) -> WeekStrip:
    """The week in which ``day`` lies, by the studio's clocks."""
    require(Right.SEE_EVENTS)
    monday, zone = monday_of(day), studio.tz
    span = Window(_midnight(monday, zone), _midnight(monday + timedelta(days=7), zone))
    events = (
        Event.objects.select_related("client", "venue")
        .filter(load_out_at__lt=span.end, back_at__gt=span.start)
        .exclude(status=Status.CANCELLED)
        .order_by("load_out_at", "pk")
    )
    now = timezone.now()
    what_is_due = due(span)
    touched = {item.event_id for item in what_is_due}
    lanes = _lanes(events, monday, zone, touched)
    return WeekStrip(monday, now.astimezone(zone).date(), lanes, tuple(what_is_due), now)


def slot(moment: datetime, monday: date, zone: ZoneInfo, *, end: bool = False) -> int:
    """Slot of the strip at which a moment stands by the clock on the wall, 0 to 56; an ``end`` is rounded
    up."""
    shown = moment.astimezone(zone).replace(tzinfo=None)
    since = shown - datetime.combine(monday, time())
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


def not_counted_back(span: Window) -> Iterable[DueItem]:
    """Agreed events that are back but not counted."""
    now = timezone.now()
    waiting = (
        Event.objects.filter(Q(back_at__lt=min(now, span.end)), status=Status.CONFIRMED)
        .exclude(stage=Stage.COUNTED_BACK)
        .order_by("back_at")[:20]
    )
    return [
        DueItem(event.back_at, "Count back", event.title, links.to("events:event", event.pk), event.pk)
        for event in waiting
    ]


def shortages_ahead(span: Window) -> Iterable[DueItem]:
    """What held stock lacks within the horizon, for whoever can do something about it; one line for each
    event."""
    if not may(tenancy.current().role, Right.EDIT_EVENTS):
        return []
    words: dict[int, list[str]] = {}
    for lack in shortages(until=max(span.end, timezone.now() + HORIZON)):
        words.setdefault(lack.hold_id, []).append(f"{lack.short} {lack.item.name}")
    return [
        DueItem(
            at=event.load_out_at,
            what=f"Short: {_listed(words[event.hold_id])}",
            about=event.title,
            address=links.to("events:event", event.pk),
            event_id=event.pk,
        )
        for event in Event.objects.filter(hold_id__in=words)
        if event.hold_id
    ]


def _listed(words: Sequence[str]) -> str:
    return ", ".join(words[:3]) + (f" and {len(words) - 3} more" if len(words) > 3 else "")


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    try:
        return times.local(day, time(), zone)
    except times.NoSuchTime:  # some zones change their clocks at midnight
        return times.local(day, time(1), zone)


def _lanes(
    events: Iterable[Event], monday: date, zone: ZoneInfo, due_events: set[int | None]
) -> tuple[Lane, ...]:
    agreed: list[Event] = []
    pencilled: list[Event] = []
    for event in events:
        (agreed if event.is_agreed else pencilled).append(event)
    named = (("Agreed", agreed), ("Pencilled", pencilled))
    return tuple(Lane(name, _bars(members, monday, zone, due_events)) for name, members in named if members)


def _bars(
    events: Sequence[Event], monday: date, zone: ZoneInfo, due_events: set[int | None]
) -> tuple[Bar, ...]:
    spans = []
    for event in events:
        start = min(slot(event.load_out_at, monday, zone), SLOTS - NARROWEST)
        end = max(slot(event.back_at, monday, zone, end=True), start + NARROWEST)
        spans.append((start, end))
    order = sorted(range(len(events)), key=lambda number: spans[number])
    rows = packed([spans[number] for number in order])
    return tuple(
        Bar(
            events[number], stages.beads(events[number]), *spans[number], row, events[number].pk in due_events
        )
        for number, row in zip(order, rows, strict=True)
    )
