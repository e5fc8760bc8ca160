"""Postponing: an event that was called off takes place on another date."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction

from events.booking import event_lock, event_times, log
from events.booking.event_times import EventWindows
from events.jobs import calling_off, changes
from events.models import Event
from studio.models import dates
from studio.tenancy.access import require
from studio.tenancy.rights import Right


class NotCalledOff(ValidationError):
    """The event goes ahead: its times are changed instead."""


def postpone(event_id: int, windows: EventWindows, *, seen_version: int) -> Event:
    """Give a called-off event another date; the stock that it had is held for it, all or nothing.

    Clients, crew and phones are told as for any move. Raises :class:`NotCalledOff`,
    :class:`~events.jobs.commitment.CannotCommit` where a reusable item isn't available then,
    :class:`~events.booking.event_times.WindowsOutOfOrder`, :class:`~events.booking.event_lock.ChangedMeanwhile`,
    ``Http404``.
    """
    require(Right.EDIT_EVENTS)
    windows.check()
    event_times.refuse_past(windows)
    with transaction.atomic():
        event = event_lock.lock_event(event_id, seen_version=seen_version)
        if not event.is_off:
            raise NotCalledOff("This event goes ahead. Change its times instead.")
        ready_before = event.ready_by
        changes.set_moments(event, windows)
        calling_off.put_on_again(event, key=f"postponed-{event.version}")
        event_lock.save_event(event, "status", "hold", *changes.MOMENTS)
        changes.move_crew(event)
        when = event.ready_by.astimezone(event.tz)
        log.record(event, f"Postponed: ready by {dates.moment_written(when)}.")
        calling_off.tell_followers(event)
        changes.tell_followers(event, ready_before)
    return event
