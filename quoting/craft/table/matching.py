"""Which frame a stroke follows, from step to step: the cheapest way through all of them, or none.

Every step of the stroke is on the outline of a frame, on the floor, or in the air. Being away from what is followed
costs, and so does changing what is followed. The way that costs least in all is taken; so a finger that slips off for
a moment stays on the frame. Source of the method: map matching with a hidden Markov model, Newson and Krumm 2009.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.frames import Outline, outline
from quoting.craft.design.records import Frame
from quoting.craft.geometry.search_tree import search_tree
from studio.trade.ranges import FloatArray

# Settings of the drawing.
CATCH_M = 0.2
"""Nearer than this a stroke is on an outline (setting)."""
CHANGE_M = 0.12
"""What a change costs: a frame left for less than twice this length isn't left (setting)."""
ACROSS = (
    1.5  # how much a stroke that runs across an outline costs, as against one at CATCH_M from it (setting)
)
ON_THE_FLOOR_M = 0.12  # a finger this low is on the floor (setting)
OUT_OF_REACH = 50.0  # what the floor costs where a stroke is well above it (setting)
AIR: Final = -1
"""In no frame's reach."""
FLOOR: Final = -2
"""On the floor."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of the stroke, ``first`` to ``last`` step, on frame number ``on`` (or AIR, FLOOR).

    ``along`` [m]: lengths along the frame's outline of these steps; over the foot of a ring they count on.
    """

    on: int
    first: int
    last: int
    along: FloatArray


def matched(stroke: FloatArray, frames: Sequence[Frame]) -> list[Stretch]:
    """Divide a cleaned stroke, (n, 2) [m], into stretches on frames, on the floor and in the air.

    >>> frame = Frame(id="p", shape="panel", item="panel", label="Panel", width_m=1.0, height_m=2.0)
    >>> up = np.column_stack([np.full(60, -0.45), np.linspace(0.0, 1.8, 60)])
    >>> [(one.on, one.first, one.last) for one in matched(up, [frame])]
    [(0, 0, 59)]
    """
    lines = [outline(frame) for frame in frames]
    step_m = float(np.hypot(*np.diff(stroke, axis=0).T).mean())
    way = np.gradient(stroke, axis=0)
    way /= np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
    places = [_nearest(stroke, frame, line) for frame, line in zip(frames, lines, strict=True)]
    costs = [_outline_cost(way, place) for place in places]
    costs += [_floor_cost(stroke, way), np.ones(len(stroke))]
    alongs = [place.along for place in places]
    jumps = [_jumps(place.along, line, step_m) for place, line in zip(places, lines, strict=True)]
    never = np.zeros(len(stroke), dtype=bool)
    labels, leaps = _cheapest(np.column_stack(costs) * step_m, np.column_stack([*jumps, never, never]))
    return _stretches(labels, leaps, alongs, lines)


# Private


@dataclass(frozen=True, slots=True)
class _Places:
    """The nearest places on an outline: distance [m], length along it [m], and the outline's direction there."""

    away: FloatArray
    along: FloatArray
    way: FloatArray


def _nearest(stroke: FloatArray, frame: Frame, line: Outline) -> _Places:
    away, index = search_tree(line.points).query(stroke)
    if frame.shape == "column":
        away = np.maximum(away - frame.width_m / 2, 0.0)
    way = np.gradient(line.points, axis=0)
    way /= np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
    return _Places(np.asarray(away), line.along[index], way[index])


def _outline_cost(way: FloatArray, place: _Places) -> FloatArray:
    """From 0 on the outline and along it; 1, as in the air, at CATCH_M from it."""
    across = way[:, 0] * place.way[:, 1] - way[:, 1] * place.way[:, 0]
    return np.asarray((place.away / CATCH_M) ** 2 + ACROSS * across**2)


def _floor_cost(stroke: FloatArray, way: FloatArray) -> FloatArray:
    above = np.maximum(stroke[:, 1] - ON_THE_FLOOR_M, 0.0) / CATCH_M
    return np.asarray(np.minimum(above**2, OUT_OF_REACH) + ACROSS * way[:, 1] ** 2)


def _jumps(along: FloatArray, line: Outline, step_m: float) -> NDArray[np.bool_]:
    """Where the nearest place leaps from one side of a frame to the other, from the step before to this one."""
    leap = np.abs(np.diff(along, prepend=along[0]))
    if line.closed:
        leap = np.minimum(leap, line.length_m - leap)
    return np.asarray(leap > 5 * step_m + CATCH_M)


def _cheapest(cost: FloatArray, jump: NDArray[np.bool_]) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """The state of every step along the cheapest way, and where it leaps within a state; both (n,)."""
    # Plain numbers: for a handful of states they are quicker than arrays.
    best: list[float] = cost[0].tolist()
    came: list[list[int]] = []
    for prices, leaps in zip(cost[1:].tolist(), jump[1:].tolist(), strict=True):
        least = min(range(len(best)), key=best.__getitem__)
        change = best[least] + CHANGE_M
        stay = [known + CHANGE_M * leap for known, leap in zip(best, leaps, strict=True)]
        came.append([least if change < price else state for state, price in enumerate(stay)])
        best = [min(price, change) + own for price, own in zip(stay, prices, strict=True)]
    way = [min(range(len(best)), key=best.__getitem__)]
    for before in reversed(came):
        way.append(before[way[-1]])
    labels = np.array(way[::-1])
    same = np.concatenate([[False], labels[1:] == labels[:-1]])
    return labels, same & jump[np.arange(len(labels)), labels]


def _stretches(
    labels: NDArray[np.int64],
    leaps: NDArray[np.bool_],
    alongs: Sequence[FloatArray],
    lines: Sequence[Outline],
) -> list[Stretch]:
    starts = np.flatnonzero(np.concatenate([[True], (np.diff(labels) != 0) | leaps[1:]]))
    ends = np.concatenate([starts[1:], [len(labels)]]) - 1
    names = {len(lines): FLOOR, len(lines) + 1: AIR}
    found = []
    for first, last in zip(starts.tolist(), ends.tolist(), strict=True):
        label = int(labels[first])
        if label < len(lines):
            along = alongs[label][first : last + 1]
            if lines[label].closed:
                along = np.unwrap(along, period=lines[label].length_m)
            found.append(Stretch(label, first, last, np.asarray(along)))
        else:
            found.append(Stretch(names[label], first, last, np.zeros(last - first + 1)))
    return found
