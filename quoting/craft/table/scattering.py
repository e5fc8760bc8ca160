"""Several stems at once: florals scattered along a garland or a frame, each placed by rule."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from quoting.craft.change.extent import garland_reach
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Frame, Garland
from quoting.craft.design.schema import a_code, a_number, a_text, a_whole, held
from quoting.craft.design.things import Spray
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import Acted, Said, SaidCode
from quoting.craft.table.legs import within
from quoting.craft.table.placing import front_at, label_of
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.things import find_thing, free_id, not_for_this, with_thing
from studio.trade.ranges import FloatArray

GOLDEN: Final = (math.sqrt(5) - 1) / 2  # exact: the golden section
"""Steps of this share of the width lie as evenly as any, however many there are (Weyl 1916; Vogel 1979)."""
REACH: Final = 0.7
"""Of how far the balloons reach, so far from the string stems go. Common practice, no source."""
ON_FRAME_M = 0.06  # to either side of a bare outline. Common practice, no source.
LEANS_DEG: Final = 55.0
"""A stem points outwards, and leans along the garland by this much at most. Common practice, no source."""
BEFORE_M = 0.05  # before what is there (setting)
LEAST_SHARE = 0.01  # of the way, between the first and the last (setting)
MOST_AT_ONCE = 40  # setting


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """Put so many stems of a kind along a garland or a frame, from one place on it to another."""

    thing: str = a_text("reference of a garland or a frame, kind:id")
    item: str = a_code("item code of a floral of the studio")
    count: int = a_whole(1, MOST_AT_ONCE, "how many", 6)
    start: float = a_number(0, 1, "where along it the first may be, 0 to 1", 0.0)
    end: float = a_number(0, 1, "where along it the last may be, 0 to 1", 1.0)

    def on(self, design: Design, shelf: Shelf) -> Acted:
        thing = find_thing(design, self.thing)
        if not isinstance(thing, Garland | Frame):
            raise not_for_this(thing, "thing")
        if self.item not in shelf.florals:
            raise DesignError(Fault(code=FaultCode.NOT_OWNED, field="item", found=self.item, what="floral"))
        if abs(self.end - self.start) < LEAST_SHARE:
            raise DesignError(Fault(code=FaultCode.NO_STRETCH, field="end", found=self.end))
        kept, after = shelf.florals[self.item], design
        for x, y, deg in scattered(design, thing, self.count, self.start, self.end):
            depth = round(front_at(design, x, y, 0.0) + BEFORE_M, 3)
            stem = Spray(
                id=free_id(after, "spray"), item=self.item, label=kept.label, kind=kept.kind, hex=kept.hex,
                look=kept.look, size_m=kept.size_m, x_m=0.0, y_m=0.0, turn_deg=deg,
            )  # fmt: skip
            after = with_thing(after, held(stem, x_m=x, y_m=y, z_m=depth))
        said = Said(SaidCode.SCATTERED, label_of(thing), kept.label, {"count": self.count})
        return Acted(after, self.thing, (said,))


def scattered(
    design: Design, thing: Garland | Frame, count: int, start: float, end: float
) -> list[tuple[float, float, float]]:
    """Places [m] of stems and how each is turned [deg], evenly from one share of the way to another.

    Each lies in the middle of its own part of the way; how far aside goes by the golden ratio, so that any number of
    them lies evenly. The same asked for again gives the same places.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> scattered(design, design.garlands[0], 2, 0.2, 0.4) == scattered(design, design.garlands[0], 2, 0.2, 0.4)
    True
    """
    shares = start + (end - start) * (np.arange(count) + 0.5) / count
    aside = 2 * ((np.arange(1, count + 1) * GOLDEN) % 1.0) - 1
    line, way, reach = _way_along(design, thing, shares)
    across = np.column_stack([-way[:, 1], way[:, 0]])
    places = line + across * (aside * reach)[:, None]
    outward = across * np.where(aside < 0, -1.0, 1.0)[:, None]
    turns = np.degrees(np.arctan2(outward[:, 0], outward[:, 1])) + LEANS_DEG * (1 - np.abs(aside)) * _signs(
        count
    )
    turns = (turns + 180) % 360 - 180
    return [
        (*within(x, y), round(deg, 1)) for (x, y), deg in zip(places.tolist(), turns.tolist(), strict=True)
    ]


# Private


def _way_along(
    design: Design, thing: Garland | Frame, shares: FloatArray
) -> tuple[FloatArray, FloatArray, float]:
    """Places on a garland's string or a frame's outline [m], the direction there, and how far stems go aside [m]."""
    if isinstance(thing, Garland):
        points = route_in(design, design.garlands.index(thing)).points[:, :2]
        reach = REACH * garland_reach(thing)
    else:
        points, reach = outline(thing).points, ON_FRAME_M
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    step = 0.01 * along[-1]
    at, before, after = (_at(points, along, shares * along[-1] + off) for off in (0.0, -step, step))
    way = after - before
    return at, way / np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None], reach


def _at(points: FloatArray, along: FloatArray, stations: FloatArray) -> FloatArray:
    return np.column_stack([np.interp(stations, along, points[:, k]) for k in (0, 1)])


def _signs(count: int) -> FloatArray:
    return np.where(np.arange(count) % 2 == 0, 1.0, -1.0)
