"""Strokes of a finger: cleaned, smoothed, and brought down to the few points that a line takes."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from quoting.craft.geometry.polyline import kept_points, points_along, stations
from quoting.craft.table.crossing import Crossings, crossings
from studio.trade.ranges import FloatArray

STEP_M = 0.03
"""Distance of the points of a cleaned stroke (setting)."""
TREMOR_M = 0.05
"""A finger's tremor is shorter than about four of these: what the smoothing takes out (setting)."""
MOST_SAMPLES = 1500  # of a cleaned stroke (setting)


def cleaned_stroke(points: Sequence[tuple[float, float]]) -> FloatArray:
    """Clean a stroke [m]: above the floor, at even steps, without tremor; its ends stay where they are. Gives (n, 2).

    One point comes back where the stroke goes nowhere.

    >>> cleaned_stroke([(0.0, -0.1), (0.06, 0.0), (0.06, 0.0)]).round(3).tolist()
    [[0.0, 0.0], [0.03, 0.0], [0.06, 0.0]]
    >>> len(cleaned_stroke([(1.0, 1.0), (1.0, 1.0)]))
    1
    """
    line = np.array(points, dtype=np.float64).reshape(-1, 2)
    line[:, 1] = np.maximum(line[:, 1], 0.0)
    apart = np.concatenate([[True], np.hypot(*np.diff(line, axis=0).T) > 1e-6])
    line = line[apart]
    if len(line) < 2:
        return np.asarray(line)
    # Tremor makes a stroke longer than it is: what the first time leaves of it goes the second time.
    once = _smoothed(_even(line))
    return _even(_smoothed(_even(once)))


def few_points(line: FloatArray, tolerance_m: float, most: int) -> list[int]:
    """Choose ``most`` points of a line, (n, k) [m], at most: as near to it as that many come. Gives their places.

    >>> turns = np.array([(0.1 * k, 0.2 * (k % 2)) for k in range(40)])
    >>> len(few_points(turns, 0.05, 12)) <= 12
    True
    """
    found = kept_points(line, tolerance_m)
    while len(found) > most:
        tolerance_m *= 1.3
        found = kept_points(line, tolerance_m)
    return found


def without_loops(line: FloatArray, longest_m: float) -> FloatArray:
    """Leave out the loops of a line, (n, 2) [m], that are no longer than ``longest_m``: where it crosses itself soon,
    it goes straight on from the crossing.

    >>> loop = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 0.2), (0.9, 0.2), (0.9, -0.2)])
    >>> without_loops(loop, 1.0).tolist()
    [[0.0, 0.0], [0.9, 0.0], [0.9, -0.2]]
    """
    while True:
        found = crossings(np.column_stack([line, np.zeros(len(line))]))
        short = np.flatnonzero(_loop_lengths(line, found) < longest_m)
        if not len(short):
            return line
        cut = short[int(np.argmin(found.first[short]))]
        first, second = int(found.first[cut]), int(found.second[cut])
        line = np.concatenate([line[: first + 1], found.places[cut][None, :], line[second + 1 :]])


# Private


def _loop_lengths(line: FloatArray, found: Crossings) -> FloatArray:
    """The length of the way from every crossing back to it, (k,) [m]."""
    along = stations(line)
    before = np.hypot(*(line[found.first + 1] - found.places).T)
    after = np.hypot(*(found.places - line[found.second]).T)
    return np.asarray(before + along[found.second] - along[found.first + 1] + after)


def _even(line: FloatArray) -> FloatArray:
    """The same line with points about every STEP_M."""
    length = float(stations(line)[-1])
    count = min(max(2, round(length / STEP_M) + 1), MOST_SAMPLES)
    return points_along(line, np.linspace(0.0, length, count))


def _smoothed(line: FloatArray) -> FloatArray:
    """A weighted mean over neighbours, in the shape of a bell; at the ends the line goes on as its own mirror image."""
    step_m = float(stations(line)[-1]) / (len(line) - 1)
    if len(line) < 3 or step_m <= 0:
        return line
    half = min(max(1, math.ceil(3 * TREMOR_M / step_m)), len(line) - 1)
    weight = np.exp(-0.5 * (np.arange(-half, half + 1) * step_m / TREMOR_M) ** 2)
    weight /= weight.sum()
    before = 2 * line[0] - line[half:0:-1]
    after = 2 * line[-1] - line[-2 : -half - 2 : -1]
    long = np.concatenate([before, line, after])
    return np.column_stack([np.convolve(long[:, k], weight, mode="valid") for k in (0, 1)])
