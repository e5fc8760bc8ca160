"""What other rooms have to say about an event: sections of its page. The room that knows registers them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from events.models import Event


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a section."""

    title: str
    address: str = ""
    sub: str = ""
    end: str = ""
    """What stands at the right: an amount, a state."""


@dataclass(frozen=True, slots=True)
class Act:
    """A button: ``verb`` is what it says; a ``post`` changes something."""

    verb: str
    address: str
    post: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """One section of an event's page."""

    title: str
    rows: tuple[Row, ...] = ()
    acts: tuple[Act, ...] = ()
    empty: str = ""
    """What is said where there are no rows."""


Provider = Callable[[Event], Section | None]
_providers: Final[list[Provider]] = []


def register(provider: Provider) -> Provider:
    """Have ``provider`` asked on every event page; called from the app's ``ready``. Twice is once.

    It runs as the person who looks and gives nothing where that person may see nothing, in a fixed number of
    queries.
    """
    if provider not in _providers:
        _providers.append(provider)
    return provider


def sections(event: Event) -> list[Section]:
    """What the other rooms have to say about ``event``, in order of registration."""
    return [section for provider in _providers if (section := provider(event))]
