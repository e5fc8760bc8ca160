"""Kits unpacked: whoever asks for a kit asks for its parts, each by its own number."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from stock.catalogue import KIT_PREFIX, Material, summed
from stock.models import KitPart


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
    wanted = set(codes)
    found: dict[str, dict[str, int]] = {}
    if not wanted:
        return found
    rows = KitPart.objects.filter(kit__code__in=wanted).order_by("pk")
    for kit, item, quantity in rows.values_list("kit__code", "item__code", "quantity"):
        found.setdefault(kit, {})[item] = quantity
    return found
