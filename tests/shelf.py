"""A stocked shelf in four statements, for tests that stand on one and do not ask how it came to be.

The catalogue checks and writes row by row; tests/stock/test_put_down.py holds that what is put down here are the
rows that it would have written.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.text import slugify

from stock.catalogue.items import USUAL_NATURE, latex_code, twisting_code
from stock.ledger import movements
from stock.models import Colour, Item, Kind, MovementKind
from studio.trade.colour import lab_of


def colours(hex_by_name: Mapping[str, str]) -> dict[str, Colour]:
    """Matt colours in the entered studio, by their code."""
    made = []
    for name, value in hex_by_name.items():
        lightness, a, b = lab_of(value)
        made.append(Colour(code=slugify(name), name=name, hex=value, lightness=lightness, a=a, b=b))
    return {colour.code: colour for colour in Colour.objects.bulk_create(made)}


def latex(colour: Colour, size_in: int, **facts: Any) -> Item:
    """Rounds, not put down yet."""
    return _item(
        Kind.LATEX, f"{colour.name} {size_in} in", latex_code(size_in, colour.code),
        colour=colour, size_in=size_in, **facts,
    )  # fmt: skip


def twisting(colour: Colour, **facts: Any) -> Item:
    """260s, not put down yet."""
    return _item(Kind.TWISTING, f"{colour.name} 260", twisting_code(colour.code), colour=colour, **facts)


def thing(kind: Kind, name: str, *, code: str = "", **facts: Any) -> Item:
    """Anything else, not put down yet."""
    return _item(kind, name, code or slugify(name), **facts)


def put(rows: Sequence[tuple[Item, int]], *, kind: MovementKind = MovementKind.OPENING) -> dict[str, Item]:
    """Put so many of each on the shelf of the entered studio, none of those that are 0; by code."""
    items = Item.objects.bulk_create([item for item, _ in rows])
    counted = [(item, kind, pieces) for item, (_, pieces) in zip(items, rows, strict=True) if pieces]
    movements.write_movements(counted)
    return {item.code: item for item in items}


def _item(kind: Kind, name: str, code: str, **facts: Any) -> Item:
    return Item(kind=kind, name=name, code=code, **{"nature": USUAL_NATURE[kind], **facts})
