"""Changing an event's details and times."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404

from events.booking import enquiry, event_lock, event_times, log
from events.booking.enquiry import Wanted
from events.booking.event_times import EventWindows
from events.contacts.drives import USUAL_DRIVE_MINUTES
from events.crew import letters, shifts
from events.crew_phones import phone_links
from events.loadout import load_list
from events.models import Event, Stage, Venue
from events.transfers.transfers import CannotTransfer, check_in_time
from stock.holds import holds
from stock.models.hold import ACTIVE_STATES
from studio.measures import times
from studio.models import dates
from studio.registry import Registry
from studio.tenancy.access import require
from studio.tenancy.rights import Right

MOMENTS: Final = ("load_out_at", "access_from", "ready_by", "guests_from", "strike_from", "out_by", "back_at")


Follower = Callable[[Event, datetime], None]
followers: Final = Registry[Follower]()
"""What other rooms do, in the same transaction, when an event moves; they are given when it was to be ready before."""
register: Final = followers.register


class CannotMove(ValidationError):
    """The stock isn't available at the new times; nothing was changed."""


def move(event_id: int, event_windows: EventWindows, *, seen_version: int) -> Event:
    """Give the event other times. The stock that it holds must be available then.

    Raises :class:`~events.booking.event_times.WindowsOutOfOrder`, :class:`CannotMove`,
    :class:`~events.booking.event_lock.ChangedMeanwhile`, ``Http404``.
    """
    require(Right.EDIT_EVENTS)
    event_windows.check()
    event_times.refuse_past(event_windows)
    with transaction.atomic():
        event = event_lock.lock_event(event_id, seen_version=seen_version)
        if event.is_off:
            raise CannotMove("This event was called off. Postpone it, and it is on again.")
        ready_before = event.ready_by
        set_moments(event, event_windows)
        _hold_for_new_window(event)
        event_lock.save_event(event, *MOMENTS)
        move_crew(event)
        when = event.ready_by.astimezone(event.tz)
        log.record(event, f"Moved: ready by {dates.moment_written(when)}.")
        tell_followers(event, ready_before)
    return event


def change_details(
    event_id: int, *, title: str, venue_id: int | None, wanted: Wanted, notes: str, seen_version: int
) -> Event:
    """Change title, venue, sizes and notes.

    Another venue may have another time zone and another drive: the event keeps its clock times, the journey is
    calculated again, and the stock must be available for it. Raises as :func:`move` does.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.lock_event(event_id, seen_version=seen_version)
        event.title, event.notes = title.strip(), notes.strip()
        event.width_m, event.height_m, event.ceiling_m = wanted.width_m, wanted.height_m, wanted.ceiling_m
        if venue_id != event.venue_id:
            _change_venue(event, venue_id)
        event.full_clean()
        event_lock.save_event(
            event, "title", "notes", "width_m", "height_m", "ceiling_m", "venue", "zone", *MOMENTS
        )
        move_crew(event)
        if event.stage == Stage.AGREED:
            load_list.add_standard_kit(event)
        log.record(event, "Details changed.")
    return event


def set_journey(event: Event, load_out_at: datetime, back_at: datetime) -> None:
    """Set when its stock leaves the studio and comes back; the stock must be available then.

    Called with the event's row locked. Raises :class:`CannotMove`.
    """
    if (event.load_out_at, event.back_at) == (load_out_at, back_at):
        return
    event.load_out_at, event.back_at = load_out_at, back_at
    _hold_for_new_window(event)
    event_lock.save_event(event, "load_out_at", "back_at")
    phone_links.follow_event(event)


def set_moments(event: Event, event_windows: EventWindows) -> None:
    """Set the event's times, and the journey around them; the caller saves it."""
    drive = event.venue.drive_minutes if event.venue else USUAL_DRIVE_MINUTES
    journey = event_times.journey(event_windows, drive_minutes=drive)
    event.load_out_at, event.back_at = journey.load_out_at, journey.back_at
    event.access_from, event.ready_by = event_windows.access_from, event_windows.ready_by
    event.guests_from = event_windows.guests_from
    event.strike_from, event.out_by = event_windows.strike_from, event_windows.out_by


def move_crew(event: Event) -> None:
    """Let shifts and phones follow the event's new times, and write to those whose answer doesn't count any more."""
    reset = shifts.follow_event(event)
    if not event.is_off:
        letters.tell_moved(event, reset)
    phone_links.follow_event(event)


def tell_followers(event: Event, ready_before: datetime) -> None:
    """Let other rooms follow an event that moved."""
    for follow in followers:
        follow(event, ready_before)


# --- Private ---


def _change_venue(event: Event, venue_id: int | None) -> None:
    venue = Venue.objects.filter(pk=venue_id).first() if venue_id else None
    if venue_id and venue is None:
        raise Http404
    before = event.tz
    event.venue, event.zone = venue, enquiry.zone_for(venue)

    def there(moment: datetime) -> datetime:
        shown = moment.astimezone(before)
        return times.local(shown.date(), shown.time(), event.tz)

    try:
        moved = EventWindows(
            there(event.access_from),
            there(event.ready_by),
            there(event.guests_from) if event.guests_from else None,
            there(event.strike_from),
            there(event.out_by),
        )
    except times.NoSuchTime as fault:
        raise ValidationError({"venue": str(fault)}) from None
    moved.check()
    set_moments(event, moved)
    _hold_for_new_window(event)


def _hold_for_new_window(event: Event) -> None:
    """The stock must be available then, and its transfers must still be in time."""
    if event.hold is None or event.hold.state not in ACTIVE_STATES:
        return
    key = f"event-{event.pk}-move-{event.version}"
    try:
        holds.change(event.hold.pk, window=event.hold_window(), leaves_at=event.out_by, key=key)
        check_in_time(event)
    except (holds.CannotHold, CannotTransfer) as refusal:
        raise CannotMove(refusal.messages) from refusal
