"""The parts of kits: a bill that names a kit is a bill of its parts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stock.catalogue.items import KIT_PREFIX, Material, sum_by_code
from stock.models import KitPart


@dataclass(frozen=True, slots=True)
class NamedPart:
    """So many of one item in a kit."""

    code: str
    name: str
    quantity: int


def expand_kits(quantities: Mapping[str, int]) -> dict[str, int]:
    """The quantity of each code, with every kit replaced by its parts. One query if a kit is named, else none."""
    named = [code for code in quantities if code.startswith(KIT_PREFIX)]
    if not named:
        return dict(quantities)
    parts = find_kit_parts(named)
    return sum_by_code(
        Material(inner, quantity * each)
        for code, quantity in quantities.items()
        for inner, each in parts.get(code, {code: 1}).items()
    )


def find_kit_parts(codes: Iterable[str]) -> dict[str, dict[str, int]]:
    """The item codes and quantities of each kit, by the kit's code; unknown kits are left out. One query."""
    return {
        kit: {part.code: part.quantity for part in parts}
        for kit, parts in find_named_kit_parts(codes).items()
    }


def find_named_kit_parts(codes: Iterable[str]) -> dict[str, list[NamedPart]]:
    """The parts of each kit with their names, by the kit's code."""
    wanted = set(codes)
    found: dict[str, list[NamedPart]] = {}
    if not wanted:
        return found
    rows = KitPart.objects.filter(kit__code__in=wanted).order_by("pk")
    for kit, code, name, quantity in rows.values_list("kit__code", "item__code", "item__name", "quantity"):
        found.setdefault(kit, []).append(NamedPart(code, name, quantity))
    return found
