"""One item swapped for another on an event's hold: bill, load-out list and history follow, and it can be undone."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Q

from events.booking import event_lock, log
from events.loadout import spares
from events.models import BillRow, Event, LoadOutLine, Stage
from stock.catalogue.items import latex_name
from stock.holds import holds
from stock.holds.holds import CannotHold, Swapped
from stock.models import Item
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class StandingSwap:
    """An item of the agreed bill and the one that stands for it now."""

    out: str
    out_label: str
    into: str
    into_label: str
    quantity: int


def follow_swap(swapped: Swapped) -> None:
    """Change bill and load-out list of the event that owns the hold, and record it in its history.

    Spares of what is swapped out become spares of what comes in. Once the van is loaded it is too late: raises
    ``CannotHold``, and nothing is swapped.
    """
    event = Event.objects.select_for_update(no_key=True).filter(hold_id=swapped.hold_id).first()
    if event is None:
        return
    if event.stage != Stage.AGREED:
        raise CannotHold("The van is loaded already. Nothing was swapped.")
    moved = _moved_rows(event, swapped)
    _change_list(event, swapped, sum(row.spare for row in moved))
    for row in moved:
        is_back = row.code == swapped.into.code
        row.now_code, row.now_label = ("", "") if is_back else (swapped.into.code, _label(swapped.into))
    BillRow.objects.bulk_update(moved, ["now_code", "now_label"])
    log.record(
        event, f"Swapped: {swapped.quantity} × {_label(swapped.into)} instead of {_label(swapped.out)}."
    )


def undo_swap(event_id: int, code: str) -> Event:
    """Put an agreed item back in place of what was swapped in for it. Undoing twice is once.

    Raises ``CannotHold`` where it isn't available any more, or the van is loaded; ``Http404``.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        rows = list(event.bill.filter(code=code).exclude(now_code=""))
        if rows and event.hold_id:
            quantity = sum(row.quantity for row in rows)
            key = f"event-{event.pk}-swap-back-{uuid.uuid4().hex}"
            holds.swap(event.hold_id, out=rows[0].now_code, into=code, quantity=quantity, key=key)
    return event


def standing_swaps(event: Event) -> list[StandingSwap]:
    """What stands for something else that was agreed. One query."""
    rows = event.bill.exclude(now_code="").order_by("pk")
    return [StandingSwap(row.code, row.label, row.now_code, row.now_label, row.quantity) for row in rows]


def present_items(event: Event) -> dict[str, tuple[str, str]]:
    """Code and label of what stands for each code that was swapped out. One query."""
    return {swap.out: (swap.into, swap.into_label) for swap in standing_swaps(event)}


# --- Private ---


def _label(item: Item) -> str:
    """The item as bills name it: latex by colour and size, whatever the studio calls it."""
    return latex_name(item) or item.name[:160]


def _moved_rows(event: Event, swapped: Swapped) -> list[BillRow]:
    """The rows that stood for what is swapped out; of a part only those that it goes back to."""
    rows = [row for row in event.bill.order_by("pk") if row.present_code == swapped.out.code]
    return [row for row in rows if row.code == swapped.into.code] if swapped.left else rows


def _change_list(event: Event, swapped: Swapped, spare: int) -> None:
    code = swapped.out.code
    old = {line.code: line for line in event.load_out.filter(Q(code=code) | Q(spare_of=code), dropped=False)}
    own, beside = old.get(code), old.get(spares.spare_code(code))
    if own is None:
        return
    # The hold may keep fewer by now than the list has.
    spare = min(spare, beside.quantity, swapped.quantity - 1) if beside else 0
    if swapped.left:
        _reduce([(own, swapped.quantity - spare), *([(beside, spare)] if beside else [])])
    else:
        event.load_out.filter(pk__in=[line.pk for line in old.values()]).update(dropped=True)
    into = swapped.into
    _add_line(event, _in_place_of(own, swapped, swapped.quantity - spare))
    if spare:
        _add_line(event, spares.spare_line(event, into.code, into.name, spare, into))


def _reduce(lines: Sequence[tuple[LoadOutLine, int]]) -> None:
    for line, by in lines:
        line.dropped = line.quantity <= by
        line.quantity = line.quantity if line.dropped else line.quantity - by
        line.save(update_fields=["quantity", "dropped"])


def _in_place_of(old: LoadOutLine, swapped: Swapped, quantity: int) -> LoadOutLine:
    return LoadOutLine(
        event=old.event,
        code=swapped.into.code,
        label=_label(swapped.into),
        detail=old.detail,
        quantity=quantity,
        place=old.place,
        position=old.position,
        shelf_place=swapped.into.place,
    )


def _add_line(event: Event, wanted: LoadOutLine) -> None:
    """Add the line to the list, or its quantity to the line of that code."""
    line = event.load_out.filter(code=wanted.code).first()
    if line is None:
        wanted.save()
        return
    line.quantity = wanted.quantity + (0 if line.dropped else line.quantity)
    line.dropped = False
    line.save(update_fields=["quantity", "dropped"])
