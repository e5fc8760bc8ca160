"""What an event's bill takes up in a van: packed volume and the longest piece. An estimate for planning.

Balloons are carried inflated. Nominal inches are not what is used: rounds are reckoned at 0.85 of them, tied quads
in big bags fill half their space, frames stand flat with a hand's breadth each (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from events.models import BillRow
from stock.models import Item, Kind

INCH_M: Final = 0.0254
SIZED: Final = 0.85
LOOSE_PACKING: Final = 0.50
FLAT_M: Final = 0.08
CRATE_M3: Final = 0.12
A_CRATE: Final = 24
"""Florals, covers, signs and small parts go in crates of 0.12 m³; so many pieces fill one."""


@dataclass(frozen=True, slots=True)
class VanLoad:
    """Space taken [m³] and the longest piece [m]."""

    volume_m3: float = 0.0
    longest_m: float = 0.0

    def __add__(self, other: VanLoad) -> VanLoad:
        return VanLoad(self.volume_m3 + other.volume_m3, max(self.longest_m, other.longest_m))


def load_of(lines: Iterable[tuple[str, int]], items: Mapping[str, Item]) -> VanLoad:
    """The load of a bill of (code, quantity); what the catalogue doesn't know takes no room."""
    total = VanLoad()
    for code, quantity in lines:
        item = items.get(code)
        if item is not None:
            total += _taken(item, quantity)
    return total


def loads(event_ids: Iterable[int]) -> dict[int, VanLoad]:
    """The load of each event's bill. Two queries, however many events."""
    bills = BillRow.objects.filter(event__in=list(event_ids))
    by_code = {item.code: item for item in Item.objects.filter(code__in=bills.values("code"))}
    by_event: dict[int, list[tuple[str, int]]] = {}
    for event_id, code, quantity in bills.values_list("event_id", "code", "quantity"):
        by_event.setdefault(event_id, []).append((code, quantity))
    return {event_id: load_of(lines, by_code) for event_id, lines in by_event.items()}


# --- Private ---


def _taken(item: Item, quantity: int) -> VanLoad:
    if item.kind == Kind.LATEX and item.size_in:
        ball = math.pi / 6 * (item.size_in * INCH_M * SIZED) ** 3
        return VanLoad(quantity * ball / LOOSE_PACKING)
    if item.kind == Kind.TWISTING:
        return VanLoad()  # carried empty
    outline = item.outline or {}
    width, height = float(outline.get("width_m", 0)), float(outline.get("height_m", 0))
    if width and height:
        return VanLoad(quantity * width * height * FLAT_M, max(width, height))
    return VanLoad(quantity / A_CRATE * CRATE_M3)
