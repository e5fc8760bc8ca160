"""Where a line crosses itself, as seen from the front."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studio.trade.ranges import FloatArray


@dataclass(frozen=True, slots=True)
class Crossings:
    """Pairs of pieces that meet, numbered along the line, the earlier first, (k,) each; where [m], (k, 2); how far
    apart in depth [m], (k,)."""

    first: NDArray[np.int64]
    second: NDArray[np.int64]
    places: FloatArray
    apart_m: FloatArray


def crossings(line: FloatArray) -> Crossings:
    """Find where a line in space, (n, 3) [m], crosses itself as seen from the front. Neighbours meet at their ends, and
    so do both ends of a closed line: that is no crossing.

    >>> eight = np.array([(0, 0, 0), (1, 1, 0), (1, 0, 0), (0, 1, 0)], dtype=float)
    >>> found = crossings(eight)
    >>> found.first.tolist(), found.second.tolist(), found.places.tolist()
    ([0], [2], [[0.5, 0.5]])
    """
    step = np.diff(line, axis=0)
    first, second = _pairs(line)
    between = line[second] - line[first]
    turn = _cross(step[first], step[second])
    parallel = np.abs(turn) < 1e-12
    turn = np.where(parallel, 1.0, turn)
    on_first = _cross(between, step[second]) / turn
    on_second = _cross(between, step[first]) / turn
    meet = ~parallel & (on_first >= 0) & (on_first <= 1) & (on_second >= 0) & (on_second <= 1)
    first, second, on_first, on_second = first[meet], second[meet], on_first[meet], on_second[meet]
    here, there = (
        line[first] + on_first[:, None] * step[first],
        line[second] + on_second[:, None] * step[second],
    )
    return Crossings(first, second, here[:, :2], np.abs(here[:, 2] - there[:, 2]))


# Private


def _pairs(line: FloatArray) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """All pairs of pieces that are no neighbours."""
    count = len(line) - 1
    first, second = np.triu_indices(count, k=2)
    if np.hypot(*(line[0, :2] - line[-1, :2])) < 1e-9:
        inner = (first != 0) | (second != count - 1)
        first, second = first[inner], second[inner]
    return first, second


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
