"""Tools and safety items taken to every event by rule (common practice, no source; local codes decide)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from events.models import Event
from stock.models import Item
from studio.trade.safety import needs_ladder

PREFIX: Final = "along-"
"""Prefix of the code of an item that the shelf doesn't have."""


@dataclass(frozen=True, slots=True)
class KitItem:
    """One item to take: the shelf's own where it has one, else by its plain name."""

    code: str
    label: str
    why: str
    shelf_place: str = ""


def choose_kit(event: Event, tools: Iterable[Item]) -> list[KitItem]:
    """The kit for the event; ``tools`` are those on the shelf."""
    on_shelf = sorted(tools, key=lambda item: item.pk)
    wanted = [("first-aid", "First-aid box", "always")]
    if needs_ladder(event.height_m):
        wanted.append(("ladder", "Ladder", "too high to reach from the floor"))
    if event.venue and "extinguisher" in event.venue.fire_rules.lower():
        wanted.append(("extinguisher", "Fire extinguisher", "required by the venue"))
    return [_piece(word, label, why, on_shelf) for word, label, why in wanted]


# --- Private ---


def _piece(word: str, label: str, why: str, tools: Iterable[Item]) -> KitItem:
    for item in tools:
        if word in item.code or word.replace("-", " ") in item.name.lower().replace("-", " "):
            return KitItem(item.code, item.name, why, item.place)
    return KitItem(f"{PREFIX}{word}", label, why)
