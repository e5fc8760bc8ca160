"""One thing swapped for another on an event's hold: the load-out list says so too."""

from __future__ import annotations

from events import log
from events.models import Event, LoadOutLine, Stage
from stock.holds import CannotHold, Swapped


def follow(swapped: Swapped) -> None:
    """Change the load-out list of the event that owns the hold, and put it down in its log.

    Once the van is loaded it is too late: raises ``CannotHold``, and nothing is swapped.
    """
    event = Event.objects.select_for_update(no_key=True).filter(hold_id=swapped.hold_id).first()
    if event is None:
        return
    if event.stage != Stage.AGREED:
        raise CannotHold("The van is loaded already. Nothing was swapped.")
    old = event.load_out.filter(code=swapped.out.code, dropped=False).first()
    if old is not None:
        old.dropped = True
        old.save(update_fields=["dropped"])
        _put_on(event, swapped, old)
    log.record(event, f"Swapped: {swapped.quantity} × {swapped.into.name} in place of {swapped.out.name}.")


def _put_on(event: Event, swapped: Swapped, old: LoadOutLine) -> None:
    line = event.load_out.filter(code=swapped.into.code).first()
    if line is None:
        LoadOutLine.objects.create(
            event=event,
            code=swapped.into.code,
            label=swapped.into.name,
            detail=old.detail,
            quantity=swapped.quantity,
            place=old.place,
            position=old.position,
            shelf_place=swapped.into.place,
        )
        return
    line.quantity = swapped.quantity + (0 if line.dropped else line.quantity)
    line.dropped = False
    line.save(update_fields=["quantity", "dropped"])
