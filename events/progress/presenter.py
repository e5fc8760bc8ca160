"""The progress of an event, as pages and lists show it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from functools import cache

from events.models import Event, Stage
from studio.ui.progress import Bead, thread_of


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


def event_rows(events: Iterable[Event]) -> list[tuple[Event, Sequence[Bead]]]:
    """Each event with its beads, for ``events/progress/_event_rows.html``."""
    return [(event, stage_beads(event.stage)) for event in events]
