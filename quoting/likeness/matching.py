"""The studio's designs that come nearest to a picture, by their colours and their proportion."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from quoting.craft.change.extent import estimated_extent
from quoting.craft.colour.picture_colours import PictureColour, palette_distance
from quoting.craft.colour.substitutes import LIMIT
from quoting.craft.design.design_file import read_design
from quoting.models import DesignTemplate
from stock.models import Colour, Item, Kind
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.trade.colour_difference import nearest_colours

WEIGHT_OF_PROPORTION: Final = 8.0
"""How much a design of e times the proportion falls behind, in the measure of colours (setting)."""
MOST_SHOWN: Final = 6
ALIKE_IN_COLOUR: Final = 12.0
"""Palettes nearer than this look like each other (setting)."""
MUCH_WIDER: Final = math.log(1.35)
"""From here on somebody sees at a glance that a design is wider or narrower (setting)."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """The colours that somebody wants, with their shares, and width over height of the piece in the picture."""

    colours: tuple[PictureColour, ...]
    proportion: float


@dataclass(frozen=True, slots=True)
class Match:
    """A design beside a picture: how far its colours are, and the logarithm of its proportion over the picture's."""

    template: DesignTemplate
    colours_apart: float
    wider: float

    @property
    def far(self) -> float:
        return self.colours_apart + WEIGHT_OF_PROPORTION * abs(self.wider)


@dataclass(frozen=True, slots=True)
class OnTheShelf:
    """A colour of the picture and the studio's latex nearest to it; None where all of it looks different."""

    wanted: PictureColour
    colour: Colour | None


def nearest_designs(wanted: Wanted) -> list[Match]:
    """The designs in use, nearest first, six at most. One query, however many designs there are."""
    require(Right.SEE_QUOTES)
    palette = [(one.hex, one.share) for one in wanted.colours]
    matches = [
        _match(template, palette, wanted.proportion)
        for template in DesignTemplate.objects.filter(retired_at=None).defer("picture")
    ]
    return sorted(matches, key=lambda one: (one.far, one.template.name))[:MOST_SHOWN]


def on_the_shelf(colours: Sequence[PictureColour]) -> list[OnTheShelf]:
    """For each colour the nearest that the studio keeps latex of. One query."""
    require(Right.SEE_SHELF)
    kept = list(
        Colour.objects.filter(
            retired_at=None, pk__in=Item.objects.filter(kind=Kind.LATEX, retired_at=None).values("colour")
        ).order_by("name")
    )
    if not kept:
        return [OnTheShelf(one, None) for one in colours]
    codes = [colour.hex for colour in kept]
    found = []
    for one in colours:
        (best,) = nearest_colours(one.hex, codes)
        found.append(OnTheShelf(one, kept[best.index] if best.difference <= LIMIT else None))
    return found


# Private


def _match(template: DesignTemplate, palette: Sequence[tuple[str, float]], proportion: float) -> Match:
    design = read_design(template.design)
    extent = estimated_extent(design)
    own = [(colour.hex, colour.share) for colour in design.palette]
    wider = math.log(extent.width / max(extent.top, 0.01) / proportion)
    return Match(template, palette_distance(palette, own), wider)
