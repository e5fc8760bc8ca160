"""Getting a piece to its place: packed volume, longest piece, doors and corners."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quoting.craft.air.inflation import sphere_volume
from studio.trade.ranges import between, not_negative, positive

LOOSE_PACKING = 0.50
"""Share of a bag that tied quads fill. Common practice, no source; equal balls shaken down fill 0.64 (Berryman 1983,
doi:10.1103/PhysRevA.27.1053)."""

DOOR_WIDTH, DOOR_HEIGHT = 0.815, 2.03
"""Clear opening [m] a public door has at least. Source: ADA Standards 404.2.3 (32 in, 815 mm; 80 in)."""


@dataclass(frozen=True)
class Box:
    """A rigid thing as packed, by its three sides [m] in any order."""

    sides: tuple[float, float, float]

    def __post_init__(self) -> None:
        positive("side", self.sides, "m")

    @property
    def longest(self) -> float:
        """Longest side [m]."""
        return max(self.sides)

    @property
    def volume(self) -> float:
        """Space taken [m³]."""
        return math.prod(self.sides)


@dataclass(frozen=True)
class Load:
    """What goes in the van."""

    volume: float  # m³
    longest: float  # m
    mass: float  # kg


@dataclass(frozen=True)
class DoorAnswer:
    """Whether a box goes through an opening, and how it is carried."""

    passes: bool
    along: float  # m, the side that points through the opening
    tilted: bool  # turned in the plane of the opening, its corners in the opening's corners
    clearance: (
        float  # m, what is left when carried straight; below zero when it must be tilted or does not pass
    )


def packed_balloons(balloons: Sequence[tuple[float, int]], *, packing: float = LOOSE_PACKING) -> float:
    """Space [m³] that inflated balloons take in bags or in the van, given as (diameter [m], count).

    packing: share filled, above 0 to 0.7405, the densest possible for equal balls (Kepler; Hales 2005).
    """
    between("packing", packing, 0.05, math.pi / math.sqrt(18), "")
    total = 0.0
    for diameter, count in balloons:
        not_negative("count", count, "balloons")
        total += count * sphere_volume(diameter)
    return total / packing


def load(balloon_volume: float, boxes: Sequence[tuple[Box, float, int]]) -> Load:
    """The load of packed balloons [m³] and boxes, given as (box, mass of one [kg], count)."""
    not_negative("balloon volume", balloon_volume, "m³")
    for _, mass, count in boxes:
        not_negative("mass", mass, "kg")
        not_negative("count", count, "boxes")
    carried = [(box, mass, count) for box, mass, count in boxes if count]
    return Load(
        balloon_volume + math.fsum(box.volume * count for box, _, count in carried),
        max((box.longest for box, _, _ in carried), default=0.0),
        math.fsum(mass * count for _, mass, count in carried),
    )


def goes_through(box: Box, *, width: float = DOOR_WIDTH, height: float = DOOR_HEIGHT) -> DoorAnswer:
    """Does a rigid box go through a clear opening [m], and which side goes first?

    Carried level and straight, turned in the plane of the opening at most; room to line up is taken for
    granted. Of the ways that pass, straight ones come first, then the most
    clearance.
    """
    positive("width", width, "m")
    positive("height", height, "m")
    ways = [_carried(box, first, width, height) for first in range(3)]
    return max(ways, key=lambda way: (way.passes, not way.tilted, way.clearance))


def rectangle_fits(inner: tuple[float, float], outer: tuple[float, float]) -> bool:
    """Whether a rectangle of two sides [m] fits into another, turned as need be.

    With p >= q inside a >= b: p <= a and q <= b, or p > a and
    b >= (2pqa + (p² - q²) sqrt(p² + q² - a²))/(p² + q²). Source: Carver 1957, Amer. Math. Monthly 64, 114.
    """
    q, p = sorted(inner)
    b, a = sorted(outer)
    if q > b:
        return False
    if p <= a:
        return True
    return b * (p * p + q * q) >= 2 * p * q * a + (p * p - q * q) * math.sqrt(p * p + q * q - a * a)


def _carried(box: Box, first: int, width: float, height: float) -> DoorAnswer:
    """The box with one side pointing through the opening."""
    across = [side for index, side in enumerate(box.sides) if index != first]
    short, long = sorted(across)
    narrow, wide = sorted((width, height))
    clearance = min(narrow - short, wide - long)
    passes = clearance >= 0 or rectangle_fits((short, long), (width, height))
    return DoorAnswer(passes, box.sides[first], passes and clearance < 0, clearance)
