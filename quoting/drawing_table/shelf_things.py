"""Props and foil balloons of the shelf as the drawing table puts them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from quoting.craft.table.shelf import ShelfFoil, ShelfProp
from stock.models import Item, Kind

LETTER: Final = re.compile(r"-[a-z0-9]$")
"""The end of the code of one letter or digit; before it stands the code of its set."""
NAMED_LETTER: Final = re.compile(r"\s*[“\"„'].[”\"“']\s*$")
"""The same at the end of its name."""
PROP_HEX: Final = {"plinth": "#F4EFE6", "rug": "#B4654A", "candle": "#F4EFE6", "balloon-stand": "#8C8C90"}
WOOD: Final = "#A97B50"
GOLD: Final = "#D9B45B"


def find_props(items: Iterable[Item]) -> dict[str, ShelfProp]:
    """The props that have an outline, by code: others can't be drawn."""
    return {item.code: _prop(item) for item in items if item.kind == Kind.PROP and item.outline}


def find_foils(items: Iterable[Item]) -> dict[str, ShelfFoil]:
    """The foil balloons that have an outline, by code; letters and digits of one set are one entry.

    A letter whose code doesn't end with it belongs to no set and is left out: a bill could not name it.
    """
    found: dict[str, ShelfFoil] = {}
    for item in items:
        if item.kind != Kind.FOIL or not item.outline:
            continue
        is_letter = item.outline["shape"] == "glyphs"
        if is_letter and not LETTER.search(item.code):
            continue
        code = LETTER.sub("", item.code) if is_letter else item.code
        name = NAMED_LETTER.sub("", item.name) if is_letter else item.name
        hex_value = item.colour.hex if item.colour else GOLD
        flat_m = float(item.outline["height_m"])
        set_of = found.setdefault(
            code, ShelfFoil(label=name, shape=item.outline["shape"], flat_m=flat_m, hex=hex_value)
        )
        if is_letter:
            found[code] = replace(set_of, glyphs=set_of.glyphs + item.code[-1])
    return found


# Private


def _prop(item: Item) -> ShelfProp:
    assert item.outline
    look = item.outline["shape"]
    width, height, depth = (float(item.outline[side]) for side in ("width_m", "height_m", "depth_m"))
    hex_value = item.colour.hex if item.colour else PROP_HEX.get(look, WOOD)
    prop = ShelfProp(label=item.name, look=look, width_m=width, height_m=height, depth_m=depth, hex=hex_value)
    return prop if item.weight_kg is None else replace(prop, weight_kg=float(item.weight_kg))
