"""What came of the day: photos, what didn't come back whole, hours spent."""

from __future__ import annotations

from dataclasses import dataclass

from events import hours, loadout, photos
from events.hours import TaskHours
from events.loadout import LineState
from events.models import Event, Photo


@dataclass(frozen=True, slots=True)
class OnSite:
    """The day as the event's page tells it."""

    photos: list[Photo]
    differences: list[LineState]
    """Lines that were counted and of which something broke, was lost, or is too many or too few."""
    was_counted: bool
    hours: list[TaskHours]

    @property
    def has_hours(self) -> bool:
        """Whether anybody said how long something took."""
        return any(row.minutes is not None for row in self.hours)


def of(event: Event) -> OnSite:
    """The day of an agreed event. Six queries."""
    the_list = loadout.load_out_list(event.pk)
    counted = [state for state in the_list.states if state.back]
    return OnSite(
        photos=photos.of(event.pk),
        differences=[state for state in counted if _is_off(state)],
        was_counted=bool(counted),
        hours=hours.spent(the_list),
    )


def _is_off(state: LineState) -> bool:
    back = state.back
    return bool(back and (back.broken or back.lost or back.in_all != state.went_out))
