"""Assigning people and vans to an event's shifts by hand; conflicts are shown, not refused."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.utils import timezone

from events.booking import event_lock, log
from events.crew import people, shifts
from events.models import CrewCall, Event, Shift, ShiftKind, Van
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def assign_person(event_id: int, kind: ShiftKind, membership_id: int, *, drives: bool = False) -> CrewCall:
    """Assign somebody to a shift; twice is once. Raises ``Http404``, ``ValidationError``."""
    require(Right.EDIT_EVENTS)
    who = people.find_person(membership_id)
    with transaction.atomic():
        shift = _shift(event_id, kind)
        call, made = CrewCall.objects.get_or_create(
            shift=shift, member=people.saved_member(who), defaults={"drives": drives, "fixed": True}
        )
        if made:
            log.record(shift.event, f"{who.name} assigned: {shift.get_kind_display()}.")
    return call


def remove_person(call_id: int) -> CrewCall:
    """Remove somebody from a shift. Raises ``Http404``."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        call = CrewCall.objects.select_related("shift__event", "member__person").filter(pk=call_id).first()
        if call is None:
            raise Http404
        call.delete()
        log.record(call.shift.event, f"{call.member.person.name} removed: {call.shift.get_kind_display()}.")
    return call


def assign_van(event_id: int, kind: ShiftKind, van_id: int | None) -> Shift:
    """Choose the van, or none. Raises ``Http404``, ``ValidationError``."""
    require(Right.EDIT_EVENTS)
    van = Van.objects.filter(pk=van_id).first() if van_id else None
    if van_id and van is None:
        raise Http404
    if kind == ShiftKind.PREP and van:
        raise ValidationError("Prep is done at the studio: no van goes out for it.")
    with transaction.atomic():
        shift = _shift(event_id, kind)
        shift.van, shift.van_fixed = van, True
        shift.save(update_fields=["van", "van_fixed"])
        log.record(shift.event, f"{van.name if van else 'No van'} for {shift.get_kind_display()}.")
    return shift


def set_times(event_id: int, kind: ShiftKind, starts_at: datetime, ends_at: datetime) -> Shift:
    """Set a shift's times by hand; people must be asked again. Raises ``ValidationError``."""
    require(Right.EDIT_EVENTS)
    if ends_at <= starts_at:
        raise ValidationError({"ends_at": "This must come after the start."})
    if ends_at <= timezone.now():
        raise ValidationError({"ends_at": "This time is past."})
    with transaction.atomic():
        shift = _shift(event_id, kind)
        if (shift.starts_at, shift.ends_at) == (starts_at, ends_at):
            return shift
        shifts.end_tours(shift.event)
        before = shift.window()
        shift.starts_at, shift.ends_at, shift.times_fixed = starts_at, ends_at, True
        shift.save(update_fields=["starts_at", "ends_at", "times_fixed"])
        shifts.ask_again([(shift, before)])
        log.record(shift.event, f"Other times for {shift.get_kind_display()}.")
    return shift


def restore_planned_times(event_id: int, kind: ShiftKind) -> Shift:
    """Let the shift follow its event's plan again."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        shift = _shift(event_id, kind)
        shift.times_fixed = False
        shift.save(update_fields=["times_fixed"])
        shifts.follow_event(shift.event)
    shift.refresh_from_db()
    return shift


def end_tours(event_id: int) -> Event:
    """End every tour of the event: its shifts start and end at the studio. Raises ``Http404``."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        shifts.end_tours(event)
        log.record(event, "Tour ended: back to the studio in between.")
    return event


# --- Private ---


def _shift(event_id: int, kind: ShiftKind) -> Shift:
    event: Event = event_lock.lock_event(event_id)
    if event.is_off:
        raise ValidationError("This event was called off. Restore it first.")
    shift = shifts.saved_shift(event, kind)
    shift.event = event
    return shift
