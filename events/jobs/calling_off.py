"""Calling an event off, and restoring it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction

from events.booking import event_lock, log
from events.crew import letters, shifts
from events.crew.letters import News
from events.jobs import commitment
from events.models import AGREED_STAGES, Event, Status
from events.transfers.changing import record_called_off
from events.transfers.transfers import find_event_transfers
from stock.holds import holds
from studio.registry import Registry
from studio.tenancy.access import require
from studio.tenancy.rights import Right

Follower = Callable[[Event], None]
followers: Final = Registry[Follower]()
"""What other rooms do, in the same transaction, when an event is called off. They lock nothing: what needs locks goes
through the outbox."""
register: Final = followers.register
on_again_followers: Final = Registry[Follower]()
"""What other rooms do, in the same transaction, when a called-off event is on again."""
register_on_again: Final = on_again_followers.register


class CannotCallOff(ValidationError):
    """Another event depends on its items; nothing was changed."""


def call_off(event_id: int, *, why: str = "") -> Event:
    """Call the event off and release its stock. Twice is once.

    Transfers to and from it go through the studio instead. Raises :class:`CannotCallOff` where the stock
    isn't available for that.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        if event.is_off:
            return event
        transfers = find_event_transfers(event)
        if event.hold_id:
            try:
                holds.release(event.hold_id, key=f"event-{event.pk}-off-{event.hold_id}")
            except holds.CannotHold as refusal:
                raise CannotCallOff(refusal.messages) from refusal
        shifts.end_tours(event)
        event.status = Status.CANCELLED
        event_lock.save_event(event, "status")
        letters.tell_crew(event, News.OFF)
        log.record(event, f"Called off: {why.strip()}" if why.strip() else "Called off.")
        record_called_off(event, transfers)
        for follow in followers:
            follow(event)
    return event


def take_up_again(event_id: int) -> Event:
    """Restore an event that was called off; its stock is held again.

    Raises :class:`~events.jobs.commitment.CannotCommit` where a reusable item is no longer available.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        if not event.is_off:
            return event
        put_on_again(event, key=f"again-{event.version}")
        event_lock.save_event(event, "status", "hold")
        letters.tell_crew(event, News.ON_AGAIN)
        log.record(event, "Restored.")
        tell_followers(event)
    return event


def put_on_again(event: Event, *, key: str) -> None:
    """Hold the stock of a called-off event for its window and give it the status it had; the caller saves it.

    Raises :class:`~events.jobs.commitment.CannotCommit`.
    """
    if event.stage in AGREED_STAGES:
        commitment.hold_again(event, key=key)
        event.status = Status.CONFIRMED
    else:
        event.status = Status.TENTATIVE


def tell_followers(event: Event) -> None:
    """Let other rooms follow an event that is on again."""
    for follow in on_again_followers:
        follow(event)
