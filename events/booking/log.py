"""Notes and history of an event."""

from __future__ import annotations

from django.core.exceptions import ValidationError

from events.models import Event, LogEntry, LogKind
from studio import tenancy
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def add_note(event: Event, text: str) -> LogEntry:
    """Add a note. Raises ``ValidationError`` for an empty text or one that is too long."""
    require(Right.EDIT_EVENTS)
    note = text.strip()
    if not note:
        raise ValidationError({"text": "Write a note first."})
    if len(note) > 2000:
        raise ValidationError({"text": f"That is {len(note)} characters; at most 2,000 fit here."})
    return _write(event, LogKind.SAID, note)


def record(event: Event, text: str) -> LogEntry:
    """Record an action in the history, in the same transaction as the action itself."""
    return _write(event, LogKind.DONE, text[:2000])


def _write(event: Event, kind: LogKind, text: str) -> LogEntry:
    who = tenancy.current()
    return LogEntry.objects.create(
        event=event, kind=kind, text=text, person_id=who.person_id, crew_phone_id=who.phone_id
    )
