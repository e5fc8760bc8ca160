"""Legs along frames give way where frames stand nearer to each other than when the garland was drawn over them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.records import Leg

Array: TypeAlias = NDArray[np.float64]

BACKWARD: Final = -0.5
"""Cosine between the way to the next leg and the direction of one: beyond it the string would turn back (setting)."""
JOINT: Final = 1.2  # least way from one leg to the next where they gave way, in mean diameters (setting)
LOOKED_AT: Final = 120  # points of a leg that are tried (setting)
LEAST_POINTS: Final = 8  # setting: of a leg that gave way


def given_way(runs: Sequence[Array | None], legs: Sequence[Leg], ball_m: float) -> list[Array | None]:
    """Shorten legs along frames, where the string would have to turn back to reach the next leg, by as little as it
    takes to go on. ``runs`` [m], (n, 3) each: the points of ``legs``; other legs stay, and so does a leg that no
    shortening helps.

    >>> forth = np.column_stack([np.linspace(0, 2, 41), np.ones(41), np.zeros(41)])
    >>> legs = [Leg(kind="along", frame="a"), Leg(kind="along", frame="b")]
    >>> first, second = given_way([forth, forth + np.array([1.0, 0.0, 0.0])], legs, 0.25)
    >>> round(float(first[-1, 0]), 2), round(float(second[0, 0]), 2)
    (1.9, 2.2)
    """
    found = list(runs)
    for k in range(1, len(found)):
        before, after = found[k - 1], found[k]
        gives = legs[k - 1].kind == "along", legs[k].kind == "along"
        firm = {legs[k - 1].kind, legs[k].kind} - {"along", "through"}
        if (
            before is not None
            and after is not None
            and not firm
            and any(gives)
            and _turns_back(before, after)
        ):
            found[k - 1], found[k] = _shortened(before, after, gives, ball_m)
    return found


# Private


def _turns_back(before: Array, after: Array) -> bool:
    """Whether the way from one leg to the next leads back against one of them, as seen from the front."""
    if min(len(before), len(after)) < 2:
        return False
    way = after[0, :2] - before[-1, :2]
    length = float(np.hypot(way[0], way[1]))
    if length < 1e-6:
        return False
    leaving, arriving = _directions(before)[-1], _directions(after)[0]
    return bool(min(float(way @ leaving), float(way @ arriving)) < BACKWARD * length)


def _directions(run: Array) -> Array:
    """Unit vectors along a leg at its points, (n, 2)."""
    step = np.gradient(run[:, :2], axis=0)
    return np.asarray(step / np.maximum(np.hypot(step[:, 0], step[:, 1]), 1e-12)[:, None])


def _shortened(before: Array, after: Array, gives: tuple[bool, bool], ball_m: float) -> tuple[Array, Array]:
    ends, starts = _tried(len(before), gives[0]), len(after) - 1 - _tried(len(after), gives[1])
    way = after[starts][None, :, :2] - before[ends][:, None, :2]
    length = np.hypot(way[..., 0], way[..., 1])
    leaving = np.einsum("ijk,ik->ij", way, _directions(before)[ends])
    arriving = np.einsum("ijk,jk->ij", way, _directions(after)[starts])
    goes_on = (leaving >= 0) & (arriving >= 0) & (length >= JOINT * ball_m)
    if not goes_on.any():
        return before, after
    lost = _lengths(before)[-1] - _lengths(before)[ends][:, None] + _lengths(after)[starts][None, :]
    at, to = np.unravel_index(int(np.argmin(np.where(goes_on, lost, np.inf))), lost.shape)
    return before[: int(ends[at]) + 1], after[int(starts[to]) :]


def _tried(count: int, gives: bool) -> NDArray[np.int64]:
    """Places where a leg of so many points may end, its own end first."""
    if not gives or count <= LEAST_POINTS:
        return np.array([count - 1])
    return np.unique(np.linspace(LEAST_POINTS - 1, count - 1, LOOKED_AT).round().astype(np.int64))[::-1]


def _lengths(run: Array) -> Array:
    steps = np.hypot(*np.diff(run[:, :2], axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])
