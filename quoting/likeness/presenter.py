"""What the page of a picture shows: its colours with the nearest latex, and the designs that come nearest."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from quoting.craft.colour.picture_colours import PictureColour
from quoting.likeness.matching import ALIKE_IN_COLOUR, MUCH_WIDER, Match, OnTheShelf
from quoting.models import DesignTemplate
from studio.models.spelling import spelled


@dataclass(frozen=True, slots=True)
class ColourRow:
    """One colour of the picture: its code, its share in words, the nearest latex, and whether it counts."""

    hex: str
    share: str
    latex: str
    is_used: bool


@dataclass(frozen=True, slots=True)
class Card:
    """A design and how near it comes, in words."""

    template: DesignTemplate
    words: str


def used_of(colours: Sequence[PictureColour], ticked: Collection[str]) -> tuple[PictureColour, ...]:
    """The colours that count: those ticked, else all that don't seem to lie behind the piece, else all."""
    used = tuple(one for one in colours if one.hex[1:] in ticked)
    return used or tuple(one for one in colours if not one.is_behind) or tuple(colours)


def colour_rows(found: Sequence[OnTheShelf], used: Collection[PictureColour]) -> list[ColourRow]:
    """The colours in the order of the picture."""
    whole = sum(one.share for one in used)
    return [
        ColourRow(
            one.wanted.hex,
            f"{100 * one.wanted.share / whole:.0f} %" if one.wanted in used else "",
            one.colour.name if one.colour else "No latex near",
            one.wanted in used,
        )
        for one in found
    ]


def palette_of(found: Sequence[OnTheShelf], used: Collection[PictureColour]) -> str:
    """The colours that count as a palette, in JSON as the design file has it: the latex of the stock list where that is
    near, each once, else a colour of one's own under its code."""
    shares: dict[str, dict[str, object]] = {}
    for one in found:
        if one.wanted not in used:
            continue
        code = one.colour.code if one.colour else f"own-{one.wanted.hex[1:]}"
        name = one.colour.name if one.colour else f"Own {one.wanted.hex.upper()}"
        hex_value = one.colour.hex if one.colour else one.wanted.hex.upper()
        before = shares.get(code, {"share": 0.0})["share"]
        assert isinstance(before, float)
        shares[code] = {"colour": code, "name": name, "hex": hex_value, "share": before + one.wanted.share}
    return json.dumps(list(shares.values()))


def cards(matches: Sequence[Match]) -> list[Card]:
    """The designs with how near they come."""
    return [Card(match.template, f"{_colour_words(match)}, {_shape_words(match)}") for match in matches]


# Private


def _colour_words(match: Match) -> str:
    return spelled("colors are close" if match.colours_apart < ALIKE_IN_COLOUR else "other colors")


def _shape_words(match: Match) -> str:
    if abs(match.wider) < MUCH_WIDER:
        return "about the same proportion"
    return "wider than in the picture" if match.wider > 0 else "narrower than in the picture"
