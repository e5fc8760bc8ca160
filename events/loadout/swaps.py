"""The load-out list follows when one item is swapped for another on an event's hold."""

from __future__ import annotations

from django.db.models import Q

from events.booking import log
from events.loadout import spares
from events.models import Event, LoadOutLine, Stage
from stock.holds.holds import CannotHold, Swapped


def change_list(swapped: Swapped) -> None:
    """Change the load-out list of the event that owns the hold, and record it in its history.

    Spares of what is swapped out become spares of what comes in. Once the van is loaded it is too late: raises
    ``CannotHold``, and nothing is swapped.
    """
    event = Event.objects.select_for_update(no_key=True).filter(hold_id=swapped.hold_id).first()
    if event is None:
        return
    if event.stage != Stage.AGREED:
        raise CannotHold("The van is loaded already. Nothing was swapped.")
    code = swapped.out.code
    old = {line.code: line for line in event.load_out.filter(Q(code=code) | Q(spare_of=code), dropped=False)}
    if own := old.get(code):
        event.load_out.filter(pk__in=[line.pk for line in old.values()]).update(dropped=True)
        spare = old.get(spares.spare_code(code))
        # The hold may keep fewer by now than the list has.
        spare_number = min(spare.quantity, swapped.quantity - 1) if spare else 0
        _add_line(event, _in_place_of(own, swapped, swapped.quantity - spare_number))
        if spare_number:
            into = swapped.into
            _add_line(event, spares.spare_line(event, into.code, into.name, spare_number, into))
    log.record(event, f"Swapped: {swapped.quantity} × {swapped.into.name} in place of {swapped.out.name}.")


# --- Private ---


def _in_place_of(old: LoadOutLine, swapped: Swapped, quantity: int) -> LoadOutLine:
    return LoadOutLine(
        event=old.event,
        code=swapped.into.code,
        label=swapped.into.name,
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
