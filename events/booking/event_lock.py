"""Locking an event before a change, and refusing a change that is based on an old version."""

from __future__ import annotations

from typing import Final

from django.core.exceptions import ValidationError
from django.http import Http404

from events.models import Event

CHANGED: Final = (
    "Somebody else has changed this event. Your changes are below; check the event, then save again."
)


class ChangedMeanwhile(ValidationError):
    """The event has changed since the person opened the form."""


def lock_event(event_id: int, *, seen_version: int | None = None) -> Event:
    """The event, its row locked until the transaction ends.

    Raises ``Http404`` where the studio has none, :class:`ChangedMeanwhile` where ``seen_version`` is out of
    date.
    """
    event = (
        Event.objects.select_for_update(of=("self",), no_key=True)
        .select_related("venue", "client", "hold")
        .filter(pk=event_id)
        .first()
    )
    if event is None:
        raise Http404
    if seen_version is not None and seen_version != event.version:
        raise ChangedMeanwhile(CHANGED)
    return event


def save_event(event: Event, *fields: str) -> None:
    """Save the fields and raise the version."""
    event.version += 1
    event.save(update_fields=[*fields, "version"])
