"""The week strip: events as bars from load-out to return, and what is due."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import Q
from django.utils import timezone

from events.booking import stages
from events.calendar.agenda import DueItem, due
from events.models import Answer, BillRow, CrewCall, Event, Shift, Stage, Status
from stock.catalogue import items
from stock.holds.availability import shortages
from stock.models import Kind
from studio import tenancy
from studio.measures import times
from studio.measures.times import Window
from studio.models import Studio
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.rights import Right, may
from studio.ui.progress import Bead

SLOT: Final = timedelta(hours=3)
"""The strip counts in slots of three hours, as the clock on the wall shows them."""
SLOTS: Final = 56
NARROWEST: Final = 4
"""Slots that a bar takes at least, so that a title can be read on it."""
HORIZON: Final = timedelta(days=14)
"""Shortages are due this long before they bite (common practice, no source)."""


class Lanes(models.TextChoices):
    """What the lanes of the strip are."""

    STATUS = "status", "agreed and pencilled"
    VAN = "van", "vans"
    CREW = "crew", "crew"
    PIECE = "piece", "frames"


Stay = tuple[Event, Window, str]
"""An event, from when to when it takes up a lane, and with which stretch of its work; empty: with all of it."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One event on the strip: from slot to slot, and in which row of its lane."""

    event: Event
    beads: Sequence[Bead]
    from_slot: int
    to_slot: int
    row: int
    is_due: bool
    work: str = ""
    """The stretch: prep, install or strike; empty: the whole event."""


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
    by: Lanes
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


def week_strip(day: date, studio: Studio, by: Lanes = Lanes.STATUS) -> WeekStrip:
    """The week in which ``day`` lies, by the studio's clocks, its bars in lanes of one sort."""
    require(Right.SEE_EVENTS)
    monday, zone = monday_of(day), studio.tz
    span = Window(_midnight(monday, zone), _midnight(monday + timedelta(days=7), zone))
    now = timezone.now()
    what_is_due = due(span)
    touched = {item.event_id for item in what_is_due}
    lanes = tuple(Lane(name, _bars(stays, monday, zone, touched)) for name, stays in _stays(by, span).items())
    return WeekStrip(monday, now.astimezone(zone).date(), by, lanes, tuple(what_is_due), now)


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
    if not words:
        return []
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


def _stays(by: Lanes, span: Window) -> dict[str, list[Stay]]:
    """What stands in each lane, by the lane's name. One query."""
    named: dict[str, list[Stay]] = {}
    for name, stay in _LANES[by](span):
        named.setdefault(name, []).append(stay)
    return named


def _by_status(span: Window) -> Iterable[tuple[str, Stay]]:
    """What is promised first."""
    rows = Event.objects.select_related("venue").filter(load_out_at__lt=span.end, back_at__gt=span.start)
    events = list(rows.exclude(status=Status.CANCELLED).order_by("load_out_at", "pk"))
    for name, agreed in (("Agreed", True), ("Pencilled", False)):
        yield from ((name, (event, event.hold_window(), "")) for event in events if event.is_agreed == agreed)


def _by_van(span: Window) -> Iterable[tuple[str, Stay]]:
    rows = Shift.objects.select_related("van", "event__venue").filter(
        van__isnull=False, starts_at__lt=span.end, ends_at__gt=span.start
    )
    for shift in rows.exclude(event__status=Status.CANCELLED).order_by("van__name", "starts_at", "pk"):
        yield str(shift.van), (shift.event, shift.window(), shift.kind)


def _by_person(span: Window) -> Iterable[tuple[str, Stay]]:
    rows = CrewCall.objects.select_related("member__person", "shift__event__venue").filter(
        shift__starts_at__lt=span.end, shift__ends_at__gt=span.start
    )
    rows = rows.exclude(answer=Answer.NO).exclude(shift__event__status=Status.CANCELLED)
    for call in rows.order_by("member__person__name", "shift__starts_at", "pk"):
        yield call.member.person.name, (call.shift.event, call.shift.window(), call.shift.kind)


def _by_piece(span: Window) -> Iterable[tuple[str, Stay]]:
    """Frames: each stands in one place for the whole stay of its event."""
    rows = BillRow.objects.select_related("event__venue").filter(
        event__load_out_at__lt=span.end,
        event__back_at__gt=span.start,
        code__in=items.in_use(Kind.FRAME).values("code"),
    )
    seen: set[tuple[str, int]] = set()
    for row in rows.exclude(event__status=Status.CANCELLED).order_by("label", "event__load_out_at", "pk"):
        if (row.label, row.event_id) not in seen:
            seen.add((row.label, row.event_id))
            yield row.label, (row.event, row.event.hold_window(), "")


_LANES: Final[Mapping[Lanes, Callable[[Window], Iterable[tuple[str, Stay]]]]] = {
    Lanes.STATUS: _by_status,
    Lanes.VAN: _by_van,
    Lanes.CREW: _by_person,
    Lanes.PIECE: _by_piece,
}


def _bars(
    stays: Sequence[Stay], monday: date, zone: ZoneInfo, due_events: set[int | None]
) -> tuple[Bar, ...]:
    spans = []
    for _, window, _ in stays:
        start = min(slot(window.start, monday, zone), SLOTS - NARROWEST)
        end = max(slot(window.end, monday, zone, end=True), start + NARROWEST)
        spans.append((start, end))
    order = sorted(range(len(stays)), key=lambda number: spans[number])
    rows = packed([spans[number] for number in order])
    return tuple(
        Bar(event, stages.beads(event), *spans[number], row, event.pk in due_events, work)
        for number, row in zip(order, rows, strict=True)
        for event, _, work in (stays[number],)
    )
