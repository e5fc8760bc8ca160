"""What is due: the lines under the week strip. Rooms that know more than this one register what they have.

A provider is called inside the studio, as the person who looks, with the span that the strip shows. It gives
only what that person may see, and needs a fixed number of queries.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from studio.measures.times import Window
from studio.registry import Registry


@dataclass(frozen=True, slots=True)
class DueItem:
    """One thing that wants doing."""

    at: datetime
    """When it is due; what is overdue has a moment that is past."""
    what: str
    """What is to be done, as a person would say it: "Offer lapses", "22 oat 11 in short"."""
    about: str
    """The event's or client's name."""
    address: str
    """Where it is done."""
    event_id: int | None = None


Provider = Callable[[Window], Iterable[DueItem]]
agenda: Final = Registry[Provider]()
register: Final = agenda.register


def due(span: Window) -> list[DueItem]:
    """Everything due in ``span`` and what is overdue, soonest first."""
    return sorted((item for provider in agenda for item in provider(span)), key=lambda item: item.at)
