"""Putting down what was said and done."""

from __future__ import annotations

from django.core.exceptions import ValidationError

from events.models import Event, LogEntry, LogKind
from studio import tenancy
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def note(event: Event, text: str) -> LogEntry:
    """Put down what somebody said. Raises ``ValidationError`` for nothing or far too much."""
    require(Right.EDIT_EVENTS)
    said = text.strip()
    if not said:
        raise ValidationError({"text": "Write what was said."})
    if len(said) > 2000:
        raise ValidationError({"text": f"That is {len(said)} characters; at most 2,000 fit here."})
    return _written(event, LogKind.SAID, said)


def record(event: Event, text: str) -> LogEntry:
    """Put down what was done, in the transaction that did it; whoever may do it may have it put down."""
    return _written(event, LogKind.DONE, text[:2000])


def _written(event: Event, kind: LogKind, text: str) -> LogEntry:
    who = tenancy.current()
    return LogEntry.objects.create(
        event=event, kind=kind, text=text, person_id=who.person_id, crew_phone_id=who.phone_id
    )
