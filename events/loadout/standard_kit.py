"""Tools and safety things that go along by rule (common practice, no source; local codes decide)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from events.models import Event
from stock.models import Item
from studio.trade.safety import needs_ladder

PREFIX: Final = "along-"
"""Begins the code of what the shelf doesn't have."""


@dataclass(frozen=True, slots=True)
class GoesAlong:
    """One thing that goes along: the shelf's own where it has one, else by its plain name."""

    code: str
    label: str
    why: str
    shelf_place: str = ""


def by_rule(event: Event, tools: Iterable[Item]) -> list[GoesAlong]:
    """What goes along to the event; ``tools`` are those on the shelf."""
    on_shelf = sorted(tools, key=lambda item: item.pk)
    wanted = [("first-aid", "First-aid box", "always")]
    if needs_ladder(event.height_m):
        wanted.append(("ladder", "Ladder", "higher than a hand reaches"))
    if event.venue and "extinguisher" in event.venue.fire_rules.lower():
        wanted.append(("extinguisher", "Fire extinguisher", "the house asks for it"))
    return [_piece(word, label, why, on_shelf) for word, label, why in wanted]


# --- Private ---


def _piece(word: str, label: str, why: str, tools: Iterable[Item]) -> GoesAlong:
    for item in tools:
        if word in item.code or word.replace("-", " ") in item.name.lower().replace("-", " "):
            return GoesAlong(item.code, item.name, why, item.place)
    return GoesAlong(f"{PREFIX}{word}", label, why)
