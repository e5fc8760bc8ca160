"""Routes of garlands: curves in space by arc length, with a thickness profile."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.frames import Outline, outline, outline_length_m
from quoting.craft.design.giving_way import given_way
from quoting.craft.design.records import Frame, Garland, Leg
from quoting.craft.geometry.catenary import catenary_of_sag
from studio.trade.errors import CraftError

Array = NDArray[np.float64]
STEPS_PER_BALL = 12  # steps of the line for one mean diameter (setting)
# String before the face of the tube, in mean diameters: a tail's length on the clip (common practice, no source).
STAND_OFF = 0.55
HOP_REACH = 0.5  # handle of the joining curve as a share of the gap it bridges (setting)
VIEWER = np.array([0.0, 0.0, 1.0])  # straight ahead (setting)


@dataclass(frozen=True, slots=True)
class Route:
    """A garland's centre line: the string.

    ``points`` [m], shape (n, 3); ``along`` [m], shape (n,); ``thickness``, shape (n,): factor on the
    balloons' size, 1 where the design says nothing; ``legs``, shape (n,): index of the leg, -1 on hops.
    """

    points: Array
    along: Array
    thickness: Array
    legs: NDArray[np.int64]
    hand: float = 1.0  # -1 where the whole design is built as its mirror image

    @property
    def length_m(self) -> float:
        return float(self.along[-1])

    @property
    def drawn_m(self) -> float:
        """The length from point to point: that of the string at rest, longer than as laid where it gave way."""
        return float(np.linalg.norm(np.diff(self.points, axis=0), axis=1).sum())

    def at(self, s: Array) -> Array:
        """Points at arc lengths ``s`` [m], shape (k, 3)."""
        return np.column_stack([np.interp(s, self.along, self.points[:, k]) for k in range(3)])

    def thickness_at(self, s: Array) -> Array:
        return np.asarray(np.interp(s, self.along, self.thickness))

    def led_away(self, s: Array, ways: Array) -> Route:
        """The same line moved by ``ways`` [m], shape (k, 3), at ``s`` [m], and evenly in between.

        It goes through all of these points. Lengths along it stay those of the line as laid.
        """
        along = np.union1d(self.along, s)
        points = self.at(along) + np.column_stack([np.interp(along, s, ways[:, k]) for k in range(3)])
        leg = self.legs[np.searchsorted(self.along, along, side="right") - 1]
        return Route(points, along, self.thickness_at(along), leg, self.hand)

    def triad(self, s: Array) -> tuple[Array, Array, Array]:
        """Unit tangent, sideways and facing directions at ``s``, each (k, 3).

        Facing is the viewer's direction made perpendicular to the tangent, so that layers do not twist.
        """
        step = np.gradient(self.points, self.along, axis=0)
        tangent = np.column_stack([np.interp(s, self.along, step[:, k]) for k in range(3)])
        length = np.linalg.norm(tangent, axis=1, keepdims=True)
        # Where a line folds back it has no direction of its own: any will do.
        tangent = np.where(length > 1e-12, tangent / np.maximum(length, 1e-12), np.array([1.0, 0.0, 0.0]))
        facing = VIEWER - tangent * tangent[:, 2:3]
        length = np.linalg.norm(facing, axis=1, keepdims=True)
        facing = np.where(length > 1e-6, facing / np.maximum(length, 1e-6), np.array([0.0, 1.0, 0.0]))
        return tangent, self.hand * np.cross(tangent, facing), facing


class RouteTooLong(CraftError):
    """A route is longer than whoever asked for it is ready to work out: than ``longest_m`` [m]."""

    def __init__(self, longest_m: float) -> None:
        self.longest_m = longest_m
        super().__init__(f"the route is longer than {longest_m:.0f} m.")


def route_of(
    garland: Garland,
    frames: Sequence[Frame],
    *,
    ball_m: float,
    mirrored: bool = False,
    longest_m: float = math.inf,
) -> Route:
    """The route of ``garland`` over ``frames``.

    ``ball_m`` [m] is the mean sized diameter of its quads: the string keeps clear of floor and tube by a
    share of it. Legs are joined by cubic curves that leave and arrive along the tangents, or by a catenary
    where a hanging leg without ends of its own stands between two others. RouteTooLong, before any of it is worked
    out, where the legs or the ways between them come to more than ``longest_m``.
    """
    hand = -1.0 if mirrored else 1.0
    left_m = longest_m - sum(_leg_length(leg, frames, ball_m) for leg in garland.route)
    if left_m < 0:
        raise RouteTooLong(longest_m)
    runs = given_way(
        _runs(garland, {frame.id: frame for frame in frames}, ball_m, hand), garland.route, ball_m
    )
    line: list[Array] = []
    marks: list[NDArray[np.int64]] = []
    for index, own in enumerate(runs):
        run = own
        if run is None:
            before, after = line[-1][-1], _first_point(runs, index)
            left_m = _spent(left_m, math.dist(before, after), longest_m)
            run = _hung_between(before, after, garland.route[index].sag_m, ball_m)
        elif line and runs[index - 1] is not None:
            left_m = _spent(left_m, math.dist(line[-1][-1], run[0]), longest_m)
            hop = _hop(line[-1], run, ball_m)
            line.append(hop)
            marks.append(np.full(len(hop), -1))
        line.append(run)
        marks.append(np.full(len(run), index))
    points, legs = np.concatenate(line), np.concatenate(marks)
    points[:, 1] = np.maximum(points[:, 1], (0.62 if garland.work == "organic" else 0.5) * ball_m)
    return _resampled(points, legs, garland.profile, ball_m, hand)


# Private


def _spent(left_m: float, way_m: float, longest_m: float) -> float:
    if way_m > left_m:
        raise RouteTooLong(longest_m)
    return left_m - way_m


def _leg_length(leg: Leg, frames: Sequence[Frame], ball_m: float) -> float:
    """About how long a leg is by itself [m], in closed form."""
    straight = sum(math.dist(a, b) for a, b in pairwise(leg.points))
    if leg.kind == "hang":
        return straight + 2 * leg.sag_m
    if leg.kind == "pool":
        return leg.length_m
    if leg.kind == "through":
        return straight + sum(abs(b - a) for a, b in pairwise(leg.depths))
    frame = next(one for one in frames if one.id == leg.frame)
    if leg.kind == "wind":
        around = math.pi * (frame.width_m + 1.1 * ball_m) * leg.turns
        return math.hypot(around, frame.height_m * (leg.end - leg.start))
    turned = math.pi * (frame.tube_m + 0.6 * ball_m) * leg.turns if leg.side == "wrapped" else 0.0
    return math.hypot(outline_length_m(frame) * abs(leg.end - leg.start), turned)


def _runs(garland: Garland, frames: Mapping[str, Frame], ball_m: float, hand: float) -> list[Array | None]:
    """The points of every leg; None for hanging legs that take their ends from their neighbours."""
    runs: list[Array | None] = []
    before: Array | None = None
    stand_off = STAND_OFF if garland.work == "organic" else 0.0
    for leg in garland.route:
        run: Array | None
        if leg.kind == "along":
            run = _along(leg, frames[leg.frame], ball_m, stand_off)
        elif leg.kind == "wind":
            run = _wound(leg, frames[leg.frame], ball_m, hand)
        elif leg.kind == "pool":
            run = _pool(leg, before, ball_m)
        elif leg.kind == "hang" and not leg.points:
            run = None
        else:
            flat = np.array(leg.points)
            flat = _hung(flat, leg.sag_m, ball_m) if leg.kind == "hang" else flat
            depth = before[-1, 2] if before is not None else STAND_OFF * ball_m
            depths = (
                np.array(leg.depths) if leg.kind == "through" and leg.depths else np.full(len(flat), depth)
            )
            run = np.column_stack([flat, depths])
        runs.append(run)
        before = run if run is not None else before
    return runs


def _first_point(runs: Sequence[Array | None], index: int) -> Array:
    after = runs[index + 1]
    assert after is not None  # the design file allows no two such legs in a row, and none at an end
    return np.asarray(after[0])


def _hung_between(before: Array, after: Array, sag_m: float, ball_m: float) -> Array:
    """A catenary in the upright plane through two points in space."""
    flat = _hung(np.array([before[:2], after[:2]]), sag_m, ball_m)
    share = np.linspace(0, 1, len(flat))
    return np.column_stack([flat, before[2] + (after[2] - before[2]) * share])[1:-1]


def _span(line: Outline, leg: Leg, ball_m: float) -> Array:
    n = max(8, math.ceil(abs(leg.end - leg.start) * line.length_m * STEPS_PER_BALL / ball_m))
    return line.at(np.linspace(leg.start, leg.end, n))


def _along(leg: Leg, frame: Frame, ball_m: float, stand_off: float) -> Array:
    flat = _span(outline(frame), leg, ball_m)
    centre = np.array([frame.x_m, frame.base_m + frame.height_m / 2])
    step = np.gradient(flat, axis=0)
    normal = np.column_stack([step[:, 1], -step[:, 0]])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
    inward = np.sign(np.sum(normal * (centre - flat), axis=1).sum() or 1.0)
    front = frame.z_m + (frame.tube_m / 2 + stand_off * ball_m if stand_off else 0.0)
    shift = {"edge": 0.0, "inside": 0.5, "outside": -0.5, "wrapped": 0.0}[leg.side] * ball_m
    flat = flat + inward * shift * normal
    depth = np.full(len(flat), front)
    if leg.side == "wrapped":
        turn = np.linspace(0, 2 * math.pi * leg.turns, len(flat))
        reach = frame.tube_m / 2 + 0.30 * ball_m
        flat = flat + normal * (reach * np.sin(turn))[:, None]
        depth = frame.z_m + reach * np.cos(turn)
    return np.column_stack([flat, depth])


def _wound(leg: Leg, frame: Frame, ball_m: float, hand: float) -> Array:
    radius = frame.width_m / 2 + 0.55 * ball_m
    heights = frame.base_m + frame.height_m * np.array([leg.start, leg.end])
    n = max(24, math.ceil(2 * math.pi * radius * leg.turns * STEPS_PER_BALL / ball_m))
    turn = np.linspace(0, 2 * math.pi * leg.turns, n)
    return np.column_stack(
        [
            frame.x_m + hand * radius * np.sin(turn),
            np.linspace(float(heights[0]), float(heights[1]), n),
            frame.z_m + radius * np.cos(turn),
        ]
    )


def _hung(ends: Array, sag_m: float, ball_m: float) -> Array:
    """A catenary between two ends, whose deepest point hangs ``sag_m`` below the straight line."""
    (x1, y1), (x2, y2) = ends
    span = abs(x2 - x1)
    if span < 1e-6 or sag_m < 1e-3 * span:
        return np.linspace(ends[0], ends[1], 24)
    line = catenary_of_sag(span, sag_m, rise=y2 - y1)
    hung = line.points(max(16, math.ceil(line.length * STEPS_PER_BALL / ball_m)))
    return np.column_stack([x1 + math.copysign(1.0, x2 - x1) * hung[:, 0], y1 + hung[:, 1]])


def _pool(leg: Leg, before: Array | None, ball_m: float) -> Array:
    sign = 1.0 if leg.direction == "right" else -1.0
    if before is None:
        start = np.array([*leg.points[0], STAND_OFF * ball_m])
        first = start[0]
    else:
        start = before[-1]
        first = start[0] + sign * 0.45 * ball_m
    n = max(8, math.ceil(leg.length_m * STEPS_PER_BALL / ball_m))
    x = first + sign * np.linspace(0, leg.length_m, n)
    forward = start[2] + 0.25 * ball_m * np.sin(np.linspace(0, math.pi / 2, n))
    return np.column_stack([x, np.full(n, 0.62 * ball_m), forward])


def _hop(before: Array, after: Array, ball_m: float) -> Array:
    p0, p1 = before[-1], after[0]
    gap = float(np.linalg.norm(p1 - p0))
    if gap < 1e-6:
        return np.asarray(p0[None, :])
    t0, t1 = before[-1] - before[-2], after[1] - after[0]
    t0, t1 = (t / max(float(np.linalg.norm(t)), 1e-12) * gap * HOP_REACH for t in (t0, t1))
    u = np.linspace(0, 1, max(3, math.ceil(gap * STEPS_PER_BALL / ball_m)))[1:-1, None]
    curve: Array = (
        (1 - u) ** 3 * p0 + 3 * (1 - u) ** 2 * u * (p0 + t0) + 3 * (1 - u) * u**2 * (p1 - t1) + u**3 * p1
    )
    return curve


def _resampled(
    points: Array, legs: NDArray[np.int64], profile: Sequence[tuple[float, float]], ball_m: float, hand: float
) -> Route:
    """Even steps, corners rounded as a string of balloons rounds them."""
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    keep = np.concatenate([[True], np.diff(along) > 1e-9])
    points, along, legs = points[keep], along[keep], legs[keep]
    n = max(8, math.ceil(along[-1] * STEPS_PER_BALL / ball_m) + 1)
    s = np.linspace(0, along[-1], n)
    even = np.column_stack([np.interp(s, along, points[:, k]) for k in range(3)])
    even = _rounded(even, max(1, STEPS_PER_BALL // 2))
    marks = legs[np.searchsorted(along, s, side="right").clip(1, len(along)) - 1]
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(even, axis=0), axis=1))])
    apart = np.concatenate(
        [[True], np.diff(run) > 1e-9]
    )  # where a line folds back, two steps may fall together
    even, run, marks = even[apart], run[apart], marks[apart]
    knots = np.array(profile) if profile else np.array([[0.0, 1.0], [1.0, 1.0]])
    share = run / max(float(run[-1]), 1e-9)  # a line that folds back upon itself has no length left
    return Route(even, run, np.interp(share, knots[:, 0], knots[:, 1]), marks, hand)


def _rounded(points: Array, half: int) -> Array:
    """Moving mean over 2*half+1 steps; the window narrows towards the ends so that they stay put."""
    n = len(points)
    sums = np.concatenate([np.zeros((1, 3)), np.cumsum(points, axis=0)])
    i = np.arange(n)
    reach = np.minimum(half, np.minimum(i, n - 1 - i))
    rounded: Array = (sums[i + reach + 1] - sums[i - reach]) / (2 * reach + 1)[:, None]
    return rounded
