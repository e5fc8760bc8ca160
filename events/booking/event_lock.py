"""The event that is about to change: locked, and as the person saw it."""

from __future__ import annotations

from typing import Final

from django.core.exceptions import ValidationError
from django.http import Http404

from events.models import Event

CHANGED: Final = (
    "Somebody changed this event meanwhile. What you typed is below; look at the event, then keep it again."
)


class ChangedMeanwhile(ValidationError):
    """The version that was seen isn't the present one."""


def locked(event_id: int, *, seen_version: int | None = None) -> Event:
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


def keep(event: Event, *fields: str) -> None:
    """Write the fields and count the version up."""
    event.version += 1
    event.save(update_fields=[*fields, "version"])
