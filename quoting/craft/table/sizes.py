"""Sizes: what a thing is when it is asked to be so wide and so high."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from quoting.craft.design.records import ROUND_SIZES_IN, Bouquet, Frame, Garland, OwnedSize, Sign, Wall
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray
from quoting.craft.table.boxes import size_of
from quoting.craft.table.things import Thing, not_for_this
from studio.trade.packing import INCH_M

SIZED_SHARE: Final = 0.9
"""A round is inflated to this share of its nominal size. Common practice, no source."""


def sized_m(size_in: int) -> float:
    """The usual sized diameter of a round [m].

    >>> sized_m(24)
    0.549
    """
    return round(SIZED_SHARE * size_in * INCH_M, 3)


def round_of_size(diameter_m: float) -> int:
    """The nominal size [in] of the round that is sized nearest to a diameter [m].

    >>> round_of_size(0.5), round_of_size(0.8)
    (24, 36)
    """
    return min(ROUND_SIZES_IN, key=lambda size: abs(sized_m(size) - diameter_m))


def nearest_owned(frame: Frame, width_m: float, height_m: float) -> OwnedSize | None:
    """The owned size of a frame nearest to a width and height [m]; None for a frame made to measure."""
    return min(
        frame.sizes,
        key=lambda size: (abs(size.width_m - width_m) + abs(size.height_m - height_m), size.item),
        default=None,
    )


def in_size(frame: Frame, size: OwnedSize) -> Frame:
    """A frame in one of its owned sizes, with the cover that fits it."""
    cover = frame.cover
    if cover and size.cover_item:
        cover = replace(cover, item=size.cover_item)
    sized = replace(frame, item=size.item, label=size.label, weight_kg=size.weight_kg, cover=cover)
    return stretched(sized, size.width_m, size.height_m)


def stretched(frame: Frame, width_m: float, height_m: float) -> Frame:
    """A frame made so wide and so high [m]; a free outline is stretched with it."""
    across, up = width_m / frame.width_m, height_m / frame.height_m
    points = tuple((x * across, y * up) for x, y in frame.points)
    return replace(frame, width_m=width_m, height_m=height_m, points=points)


def sized_thing(thing: Thing, width_m: float, height_m: float) -> Thing:
    """A thing so wide and so high [m], as near as its kind comes to it. DesignError at ``thing`` for a garland.

    >>> sized_thing(Round(id="r", size_in=24, sized_m=0.55, colour="oat", x_m=0, y_m=1), 0.8, 0.8).size_in
    36
    """
    if isinstance(thing, Garland):
        raise not_for_this(thing, "thing")
    if isinstance(thing, Frame):
        size = nearest_owned(thing, width_m, height_m)
        return in_size(thing, size) if size else stretched(thing, width_m, height_m)
    if isinstance(thing, Round):
        size_in = round_of_size(max(width_m, height_m))
        return replace(thing, size_in=size_in, sized_m=sized_m(size_in))
    if isinstance(thing, Bouquet):
        return replace(thing, top_m=height_m)
    if isinstance(thing, Sign | Prop | Wall):
        return replace(thing, width_m=width_m, height_m=height_m)
    return _grown(thing, max(width_m / size_of(thing)[0], height_m / size_of(thing)[1]))


# Private


def _grown(thing: Foil | Lettering | Spray, factor: float) -> Thing:
    """A thing that keeps its proportions, larger by a factor."""
    if isinstance(thing, Foil):
        return replace(thing, flat_m=round(thing.flat_m * factor, 3))
    if isinstance(thing, Lettering):
        return replace(thing, height_m=round(thing.height_m * factor, 3))
    return replace(thing, size_m=round(thing.size_m * factor, 3))
