"""The progress of an event, as pages and lists show it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache

from events.models import Event, Stage
from events.progress.event_pictures import EventPicture, find_pictures
from studio.ui.progress import Bead, thread_of


@dataclass(frozen=True, slots=True)
class EventRow:
    """An event in a list: how far it is, and what is built there."""

    event: Event
    beads: Sequence[Bead]
    picture: EventPicture | None


@cache
def stage_beads(stage: str) -> tuple[Bead, ...]:
    """A bead for each stage of an event that stands at ``stage``, without days: a list draws the same few."""
    return tuple(thread_of(Stage.choices, now=stage))


def event_beads(event: Event, reached: Mapping[str, datetime] | None = None) -> list[Bead]:
    """A bead for each stage of the event, with the day it was reached by the clocks at the venue."""
    dates: dict[str, date | datetime | str] = {
        stage: moment.astimezone(event.tz).date() for stage, moment in (reached or {}).items()
    }
    return thread_of(Stage.choices, now=event.stage, dates=dates)


def event_rows(events: Iterable[Event]) -> list[EventRow]:
    """The lines of ``events/progress/_event_rows.html``."""
    listed = list(events)
    pictures = find_pictures([event.pk for event in listed])
    return [EventRow(event, stage_beads(event.stage), pictures.get(event.pk)) for event in listed]
