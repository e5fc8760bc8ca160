"""Papers that other rooms keep for the hands of an event: links beside the load-out list. The room that knows registers
them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

from events.models import Event
from studio.registry import Registry


@dataclass(frozen=True, slots=True)
class Paper:
    """One link: what it is called and where it stands."""

    name: str
    address: str


Provider = Callable[[Event], Iterable[Paper]]
crew_links: Final = Registry[Provider]()
"""Asked on every load-out page, as the person who looks: a provider gives nothing that this person may not see, and
needs a fixed number of queries."""
register: Final = crew_links.register


def of(event: Event) -> list[Paper]:
    """The papers of ``event``, in order of registration."""
    return [paper for provider in crew_links for paper in provider(event)]
