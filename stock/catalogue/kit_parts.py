"""Kits unpacked: whoever asks for a kit asks for its parts, each by its own number."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stock.catalogue.items import KIT_PREFIX, Material, summed
from stock.models import KitPart


@dataclass(frozen=True, slots=True)
class Part:
    """So many of one item in a kit."""

    code: str
    name: str
    quantity: int


def unpacked(quantities: Mapping[str, int]) -> dict[str, int]:
    """How many of each code, with every kit replaced by its parts. One query if a kit is named, else none."""
    named = [code for code in quantities if code.startswith(KIT_PREFIX)]
    if not named:
        return dict(quantities)
    parts = parts_of(named)
    return summed(
        Material(inner, quantity * each)
        for code, quantity in quantities.items()
        for inner, each in parts.get(code, {code: 1}).items()
    )


def parts_of(codes: Iterable[str]) -> dict[str, dict[str, int]]:
    """The parts of each kit, item code and quantity, by the kit's code; unknown kits are left out. One query,
    none where nothing is asked."""
    return {kit: {part.code: part.quantity for part in parts} for kit, parts in named_parts_of(codes).items()}


def named_parts_of(codes: Iterable[str]) -> dict[str, list[Part]]:
    """The same with what the shelf calls each part."""
    wanted = set(codes)
    found: dict[str, list[Part]] = {}
    if not wanted:
        return found
    rows = KitPart.objects.filter(kit__code__in=wanted).order_by("pk")
    for kit, code, name, quantity in rows.values_list("kit__code", "item__code", "item__name", "quantity"):
        found.setdefault(kit, []).append(Part(code, name, quantity))
    return found
