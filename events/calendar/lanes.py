"""The lanes of the week: events by status, vans, crew or frames."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from django.db import models
from django.db.models import Value
from django.db.models.functions import Coalesce, NullIf

from events.calendar.shown_event import ShownEvent, columns
from events.models import Answer, BillRow, CrewCall, Event, Shift, Status
from events.models.work import present_code_among
from stock.catalogue import items
from stock.models import Kind
from studio.measures.times import Window


class Lanes(models.TextChoices):
    """How the week is divided into lanes."""

    STATUS = "status", "status"
    VAN = "van", "vans"
    CREW = "crew", "crew"
    PIECE = "piece", "frames"


Stay = tuple[ShownEvent, Window, str]
"""An event, from when to when it is in a lane, and with which shift; empty for the whole event."""


def find_stays(by: Lanes, span: Window) -> dict[str, list[Stay]]:
    """The events in each lane, by the lane's name. One query."""
    named: dict[str, list[Stay]] = {}
    for name, stay in _LANES[by](span):
        named.setdefault(name, []).append(stay)
    return named


# --- Private ---


def _by_status(span: Window) -> Iterable[tuple[str, Stay]]:
    """Agreed events first."""
    rows = Event.objects.filter(load_out_at__lt=span.end, back_at__gt=span.start)
    rows = rows.exclude(status=Status.CANCELLED).order_by("load_out_at", "pk")
    events = [ShownEvent._make(row) for row in rows.values_list(*columns())]
    for name, agreed in (("Agreed", True), ("Tentative", False)):
        yield from ((name, (event, event.hold_window(), "")) for event in events if event.is_agreed == agreed)


def _by_van(span: Window) -> Iterable[tuple[str, Stay]]:
    rows = Shift.objects.filter(van__isnull=False, starts_at__lt=span.end, ends_at__gt=span.start)
    rows = rows.exclude(event__status=Status.CANCELLED).order_by("van__name", "starts_at", "pk")
    for van, kind, start, end, *event in rows.values_list(
        "van__name", "kind", "starts_at", "ends_at", *columns("event__")
    ):
        yield van, (ShownEvent._make(event), Window(start, end), kind)


def _by_person(span: Window) -> Iterable[tuple[str, Stay]]:
    rows = CrewCall.objects.filter(shift__starts_at__lt=span.end, shift__ends_at__gt=span.start)
    rows = rows.exclude(answer=Answer.NO).exclude(shift__event__status=Status.CANCELLED)
    rows = rows.order_by("member__person__name", "shift__starts_at", "pk")
    for person, kind, start, end, *event in rows.values_list(
        *("member__person__name", "shift__kind", "shift__starts_at", "shift__ends_at"),
        *columns("shift__event__"),
    ):
        yield person, (ShownEvent._make(event), Window(start, end), kind)


def _by_piece(span: Window) -> Iterable[tuple[str, Stay]]:
    """Frames: each stands in one place for the whole stay of its event."""
    frames = items.items_in_use(Kind.FRAME).values_list("code", flat=True)
    label = Coalesce(NullIf("now_label", Value("")), "label")
    rows = BillRow.objects.filter(
        present_code_among(frames), event__load_out_at__lt=span.end, event__back_at__gt=span.start
    )
    rows = rows.exclude(event__status=Status.CANCELLED).order_by(label, "event__load_out_at", "pk")
    seen: set[tuple[str, int]] = set()
    for name, now_name, *read in rows.values_list("label", "now_label", *columns("event__")):
        event, present_label = ShownEvent._make(read), now_name or name
        if (present_label, event.pk) not in seen:
            seen.add((present_label, event.pk))
            yield present_label, (event, event.hold_window(), "")


_LANES: Final[Mapping[Lanes, Callable[[Window], Iterable[tuple[str, Stay]]]]] = {
    Lanes.STATUS: _by_status,
    Lanes.VAN: _by_van,
    Lanes.CREW: _by_person,
    Lanes.PIECE: _by_piece,
}
