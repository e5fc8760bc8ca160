"""Doors: whether a frame goes through, and how it is carried."""

from __future__ import annotations

import math
from dataclasses import dataclass

from studio.trade.ranges import positive

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
class DoorAnswer:
    """Whether a box goes through an opening, and how it is carried."""

    passes: bool
    along: float  # m, the side that points through the opening
    tilted: bool  # turned in the plane of the opening, its corners in the opening's corners
    clearance: (
        float  # m, what is left when carried straight; below zero when it must be tilted or does not pass
    )


def goes_through(box: Box, *, width: float = DOOR_WIDTH, height: float = DOOR_HEIGHT) -> DoorAnswer:
    """Tell whether a rigid box goes through a clear opening [m], and which side goes first.

    Carried level and straight, turned in the plane of the opening at most; room to line up is taken for
    granted. Of the ways that pass, straight ones come first, then the most
    clearance.

    >>> goes_through(Box((1.2, 2.2, 0.06)), width=0.9, height=2.0)
    DoorAnswer(passes=True, along=2.2, tilted=False, clearance=0.8)
    """
    positive("width", width, "m")
    positive("height", height, "m")
    ways = [_carried(box, first, width, height) for first in range(3)]
    return max(ways, key=lambda way: (way.passes, not way.tilted, way.clearance))


def rectangle_fits(inner: tuple[float, float], outer: tuple[float, float]) -> bool:
    """Tell whether a rectangle of two sides [m] fits into another, turned as need be.

    With p >= q inside a >= b: p <= a and q <= b, or p > a and
    b >= (2pqa + (p² - q²) sqrt(p² + q² - a²))/(p² + q²). Source: Carver 1957, Amer. Math. Monthly 64, 114.

    >>> rectangle_fits((0.1, 2.1), (0.9, 2.0)), rectangle_fits((1.0, 2.1), (0.9, 2.0))
    (True, False)
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
