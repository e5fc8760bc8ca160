"""The lanes of the week: events by status, vans, crew or frames."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from django.db import models
from django.db.models import Value
from django.db.models.functions import Coalesce, NullIf

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


Stay = tuple[Event, Window, str]
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
    rows = Event.objects.select_related("venue").filter(load_out_at__lt=span.end, back_at__gt=span.start)
    events = list(rows.exclude(status=Status.CANCELLED).order_by("load_out_at", "pk"))
    for name, agreed in (("Agreed", True), ("Tentative", False)):
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
    frames = items.items_in_use(Kind.FRAME).values_list("code", flat=True)
    label = Coalesce(NullIf("now_label", Value("")), "label")
    rows = BillRow.objects.select_related("event__venue").filter(
        present_code_among(frames), event__load_out_at__lt=span.end, event__back_at__gt=span.start
    )
    seen: set[tuple[str, int]] = set()
    for row in rows.exclude(event__status=Status.CANCELLED).order_by(label, "event__load_out_at", "pk"):
        if (row.present_label, row.event_id) not in seen:
            seen.add((row.present_label, row.event_id))
            yield row.present_label, (row.event, row.event.hold_window(), "")


_LANES: Final[Mapping[Lanes, Callable[[Window], Iterable[tuple[str, Stay]]]]] = {
    Lanes.STATUS: _by_status,
    Lanes.VAN: _by_van,
    Lanes.CREW: _by_person,
    Lanes.PIECE: _by_piece,
}
