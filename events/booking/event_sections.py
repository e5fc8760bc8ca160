"""What other rooms have to say about an event: sections of its page. The room that knows registers them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from events.models import Event
from studio.registry import Registry


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


Provider = Callable[[Event], Sequence[Section]]
event_sections: Final = Registry[Provider]()
"""Asked on every event page, as the person who looks: a provider gives nothing where that person may see nothing, and
needs a fixed number of queries."""
register: Final = event_sections.register


def sections(event: Event) -> list[Section]:
    """What the other rooms have to say about ``event``, in order of registration."""
    return [section for provider in event_sections for section in provider(event)]
