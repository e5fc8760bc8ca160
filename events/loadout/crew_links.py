"""Papers of other rooms for the crew of an event: links beside the load-out list. Each room registers its own."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

from events.models import Event
from studio.registry import Registry


@dataclass(frozen=True, slots=True)
class CrewLink:
    """One link: its name and address."""

    name: str
    address: str


Provider = Callable[[Event], Iterable[CrewLink]]
crew_links: Final = Registry[Provider]()
"""Asked on every load-out page, as the person who looks: a provider gives nothing that this person may not see, and
needs a fixed number of queries."""
register: Final = crew_links.register


def find_crew_links(event: Event) -> list[CrewLink]:
    """The links of ``event``, in order of registration."""
    return [link for provider in crew_links for link in provider(event)]
