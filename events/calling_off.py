"""Calling an event off, and taking it up again."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction

from events import commitment, log, onward, shifts, standing
from events.models import AGREED_STAGES, Event, Status
from stock import holds
from studio.access import Right, require


class CannotCallOff(ValidationError):
    """Another event waits for its pieces and couldn't have them otherwise; nothing was changed."""


def call_off(event_id: int, *, why: str = "") -> Event:
    """The event doesn't take place: its stock is free again. Called off twice is called off once.

    What was to come straight to it or go straight on from it goes by way of the studio then. Raises
    :class:`CannotCallOff` where it isn't free for that.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = standing.locked(event_id)
        if event.is_off:
            return event
        straights = onward.straights_of(event)
        if event.hold_id:
            try:
                holds.release(event.hold_id, key=f"event-{event.pk}-off-{event.hold_id}")
            except holds.CannotHold as refusal:
                raise CannotCallOff(refusal.messages) from refusal
        shifts.part(event)
        event.status = Status.CANCELLED
        standing.keep(event, "status")
        log.record(event, f"Called off: {why.strip()}" if why.strip() else "Called off.")
        onward.put_down_called_off(event, straights)
    return event


def take_up_again(event_id: int) -> Event:
    """Undo calling off. What was agreed must be held anew.

    Raises :class:`~events.commitment.CannotCommit` where something that comes back is gone meanwhile.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = standing.locked(event_id)
        if not event.is_off:
            return event
        if event.stage in AGREED_STAGES:
            commitment.hold_again(event, key=f"again-{event.version}")
            event.status = Status.CONFIRMED
        else:
            event.status = Status.TENTATIVE
        standing.keep(event, "status", "hold")
        log.record(event, "Taken up again.")
    return event
