"""Papers that other rooms keep for the hands of an event: links beside the load-out list. The room that knows registers
them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

from events.models import Event


@dataclass(frozen=True, slots=True)
class Paper:
    """One link: what it is called and where it stands."""

    name: str
    address: str


Provider = Callable[[Event], Iterable[Paper]]
_providers: Final[list[Provider]] = []


def register(provider: Provider) -> Provider:
    """Have ``provider`` asked on every load-out page; called from the app's ``ready``. Twice is once.

    It runs as the person who looks and gives nothing that this person may not see, in a fixed number of queries.
    """
    if provider not in _providers:
        _providers.append(provider)
    return provider


def of(event: Event) -> list[Paper]:
    """The papers of ``event``, in order of registration."""
    return [paper for provider in _providers for paper in provider(event)]
