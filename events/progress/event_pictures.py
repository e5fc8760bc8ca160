"""A small picture of what is built at an event, for lists and heads of pages. The room that has pictures registers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from studio.registry import Registry


@dataclass(frozen=True, slots=True)
class EventPicture:
    """The address of a picture, and what it shows."""

    address: str
    alt: str


Provider = Callable[[Sequence[int]], Mapping[int, EventPicture]]
event_pictures: Final = Registry[Provider]()
"""Given the keys of events, asked as the person who looks: a provider gives nothing that this person may not see, and
needs a fixed number of queries."""
register: Final = event_pictures.register


def find_pictures(events: Sequence[int]) -> dict[int, EventPicture]:
    """By event, its picture; events without one are left out."""
    found: dict[int, EventPicture] = {}
    for provider in event_pictures:
        found |= provider(events)
    return found
