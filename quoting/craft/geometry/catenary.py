"""A garland or string that hangs free between two points.

The garland is taken for an even, slack chain. Stiff or light ones in moving air hang a little flatter.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from studio.trade.ranges import FloatArray, between, positive, whole

MOST_POINTS = 200_000
"""Setting: more points than this are refused, a sign of a slip in the units."""

SLACKEST = 50.0
"""Setting: sag or slack length in spans beyond which a line is refused: its two halves would hang as one."""


@dataclass(frozen=True)
class Catenary:
    """A line hanging from (0, 0) to (span, rise) [m]: y = a cosh((x - lowest)/a) + const.

    parameter: a [m], also the level pull over the weight a metre; lowest: x of the vertex [m], which may lie
    outside the span; length: of the line [m]; sag: deepest drop below the straight line between its ends [m].
    """

    span: float
    rise: float
    parameter: float
    lowest: float
    length: float
    sag: float

    def height(self, across: FloatArray) -> FloatArray:
        """Height [m] at places across [m] from the first end; negative below it."""
        a = self.parameter
        # The product form keeps its digits where the line is almost taut and a is huge.
        return 2 * a * np.sinh(across / (2 * a)) * np.sinh((across - 2 * self.lowest) / (2 * a))

    def points(self, count: int) -> FloatArray:
        """The line as `count` points across and up [m], (count, 2), evenly spaced along it, ends included."""
        whole("count of points", count, 2, MOST_POINTS)
        a = self.parameter
        run = np.linspace(0.0, self.length, count) + a * math.sinh(-self.lowest / a)
        across = self.lowest + a * np.arcsinh(run / a)
        across[0], across[-1] = 0.0, self.span
        return np.column_stack([across, self.height(across)])


@lru_cache(maxsize=256)
def catenary_of_sag(span: float, sag: float, *, rise: float = 0.0) -> Catenary:
    """Hang a line with a sag [m] between two points a span [m] apart, the second higher by rise [m].

    sag: deepest drop below the straight line between the points, so that it also fits ends of unequal height;
    for level ends sag = a (cosh(b/(2a)) - 1). Source: Routh, Analytical Statics I, 1891, ch. X (the common
    catenary). CraftError for a sag or rise of more than 50 spans.

    >>> line = catenary_of_sag(4.0, 1.0)
    >>> round(line.length, 4), round(line.parameter, 4)
    (4.6032, 2.1486)
    """
    positive("span", span, "m")
    between("rise", rise, -SLACKEST * span, SLACKEST * span, "m")
    between("sag", sag, 1e-6 * span, SLACKEST * span, "m")
    bend = _root(lambda u: _catenary(span, rise, u).sag, sag)
    return _catenary(span, rise, bend)


def _catenary(span: float, rise: float, bend: float) -> Catenary:
    """The line of given ends whose half span over a is `bend`."""
    a = span / (2 * bend)
    level = 2 * a * math.sinh(bend)
    lowest = span / 2 - a * math.asinh(rise / level)
    length = math.hypot(level, rise)
    deepest = lowest + a * math.asinh(rise / span)
    drop = rise / span * deepest - 2 * a * math.sinh(deepest / (2 * a)) * math.sinh(
        (deepest - 2 * lowest) / (2 * a)
    )
    return Catenary(span, rise, a, lowest, length, drop)


def _root(rising: Callable[[float], float], wanted: float) -> float:
    """The bend in (0, 20] at which a rising function takes a wanted value, by halving."""
    low, high = 1e-7, 20.0
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if rising(middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2
