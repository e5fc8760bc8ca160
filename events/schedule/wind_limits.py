"""What the wind asks of the pieces of an event. The room that designs them registers who knows it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from events.models import Event
from studio.models import Studio
from studio.registry import Registry

Provider = Callable[[Sequence[Event], Studio], Mapping[int, str]]
wind_limits: Final = Registry[Provider]()
"""Asked for many events at once, with a fixed number of queries: a sentence by the event's primary key, none for an
event out of the wind."""
register: Final = wind_limits.register


def find_wind_limits(events: Sequence[Event], studio: Studio) -> dict[int, tuple[str, ...]]:
    """The sentences for each event that has any."""
    found: dict[int, tuple[str, ...]] = {}
    for provider in wind_limits:
        for event_id, words in provider(events, studio).items():
            found[event_id] = (*found.get(event_id, ()), words)
    return found
