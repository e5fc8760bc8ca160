"""End quads: the last quads of an organic garland at its foot or a free end, made as a batch and tied in on site."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from quoting.craft.settle.build import GarlandResult
from quoting.craft.settle.garland import body_diameter_m
from studio.trade.ranges import FloatArray

AT_AN_END: Final = 4
"""End quads at each end; two ends make eight, six to ten are usual. Common practice, no source."""
MOST_OF_A_GARLAND: Final = 4
"""At most every fourth quad is at an end, so that a short garland keeps a strung part (setting)."""
MEETING: Final = 1.5
"""Ends nearer to each other than so many diameters of a balloon meet: the garland goes on. Common practice, no
source."""
ON_THE_FLOOR_M: Final = 0.45
"""An end lower than this lies on the floor. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class EndQuads:
    """The quads at one end: index of the garland, first and last quad counted from 0, and where the end is [m]."""

    garland: int
    first: int
    last: int
    station_m: float
    x: float
    y: float
    z: float

    @property
    def count(self) -> int:
        return self.last - self.first + 1


def end_quads(garlands: Sequence[GarlandResult]) -> tuple[EndQuads, ...]:
    """List the batches of end quads: none where a garland closes on itself or runs on into another one, and none in
    classic work.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.settle.build import built
    >>> ends = end_quads(built(load_design(STARTERS / "garland-nested-arches.json")).garlands)
    >>> [(one.count, one.y < ON_THE_FLOOR_M) for one in ends]
    [(4, True), (4, False)]
    """
    points = [(k, at) for k, result in enumerate(garlands) for at in _ends_m(result)]
    places = [garlands[k].route.at(np.array([at]))[0] for k, at in points]
    found = []
    for number, ((k, station_m), place) in enumerate(zip(points, places, strict=True)):
        result = garlands[k]
        count = min(AT_AN_END, result.quads // MOST_OF_A_GARLAND)
        near = MEETING * body_diameter_m(result.garland)
        others = [other for j, other in enumerate(places) if j != number]
        if count and result.garland.work == "organic" and not _meets(place, others, near):
            first = 0 if station_m == 0 else result.quads - count
            x, y, z = place.tolist()
            found.append(EndQuads(k, first, first + count - 1, station_m, x, y, z))
    return tuple(found)


# Private


def _ends_m(result: GarlandResult) -> tuple[float, float]:
    return 0.0, float(result.route.length_m)


def _meets(place: FloatArray, others: Iterable[FloatArray], near_m: float) -> bool:
    return any(float(np.linalg.norm(place - other)) < near_m for other in others)
