"""Legs of a route changed by hand: moved, mirrored, taken off their frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from quoting.craft.design.records import Design, Garland, Leg
from quoting.craft.design.routes import Route
from quoting.craft.settle.laying import route_in
from quoting.craft.table.stroke import few_points
from studio.trade.ranges import FloatArray

BEND_M = 0.03  # how far the points of a freed leg may leave the line that it had (setting)
MOST_POINTS = 24  # of one line in the air (setting)
DEEPEST_M = 10.0  # setting of the format
HIGHEST_M = 15.0  # a single thing (setting of the format)
WIDEST_M = 30.0  # as far from the middle as a point may be (setting of the format)


def moved_leg(leg: Leg, across_m: float, up_m: float) -> Leg:
    """A leg with its own points moved [m]; they stay above the floor.

    >>> moved_leg(Leg(kind="through", points=((0.0, 1.0), (1.0, 1.0))), 0.5, -2.0).points
    ((0.5, 0.0), (1.5, 0.0))
    """
    return replace(leg, points=tuple(within(x + across_m, y + up_m) for x, y in leg.points))


def within(x_m: float, y_m: float) -> tuple[float, float]:
    """A point [m] above the floor and within what a design file takes, to the millimetre."""
    x, y = min(max(float(x_m), -WIDEST_M), WIDEST_M), min(max(float(y_m), 0.0), WIDEST_M)
    return round(x, 3), round(y, 3)


def mirrored_leg(leg: Leg, about_x_m: float) -> Leg:
    """A leg as its mirror image: its own points about an upright line [m], its stretch of a frame on the other side.

    >>> leg = mirrored_leg(Leg(kind="along", frame="low", start=0.0, end=0.6), 0.0)
    >>> leg.start, leg.end
    (1.0, 0.4)
    """
    other = {"left": "right", "right": "left"}
    points = tuple(within(2 * about_x_m - x, y) for x, y in leg.points)
    changed = replace(leg, points=points, direction=other[leg.direction])
    if leg.kind != "along":
        return changed
    return replace(changed, start=round(1 - leg.start, 4), end=round(1 - leg.end, 4))


def line_leg(line: FloatArray) -> Leg:
    """A leg through the air along a line in space, (n, 3) [m], by as few points as it takes.

    >>> leg = line_leg(np.array([(0.0, 1.0, 0.2), (0.5, 1.01, 0.2), (1.0, 1.0, 0.2)]))
    >>> leg.points, leg.depths
    (((0.0, 1.0), (1.0, 1.0)), (0.2, 0.2))
    """
    kept = line[few_points(line, BEND_M, MOST_POINTS)]
    points = tuple(within(x, y) for x, y, _ in kept.tolist())
    depths = tuple(_deep(z) for z in kept[:, 2].tolist())
    return Leg(kind="through", points=points, depths=depths)


def freed_route(design: Design, garland: Garland, frame: str) -> tuple[Leg, ...]:
    """The route of a garland that keeps its place where a frame is taken away: its legs there go through the air."""
    route = route_in(design, design.garlands.index(garland))
    return tuple(
        line_leg(_laid(route, k)) if leg.frame == frame else leg for k, leg in enumerate(garland.route)
    )


def with_depths(design: Design, garland: Garland) -> tuple[Leg, ...]:
    """The route with the depth of every point in the air written down, as it is laid."""
    route = route_in(design, design.garlands.index(garland))
    return tuple(
        replace(leg, depths=_depths_at(route, k, leg.points)) if leg.kind == "through" else leg
        for k, leg in enumerate(garland.route)
    )


def deepened(leg: Leg, by_m: float) -> Leg:
    """A leg through the air nearer to the viewer [m]."""
    return replace(leg, depths=tuple(_deep(depth + by_m) for depth in leg.depths))


# Private


def _laid(route: Route, leg: int) -> FloatArray:
    """The points of one leg as it is laid, (n, 3) [m]; two at least."""
    mine = np.flatnonzero(route.legs == leg)
    first, last = (int(mine[0]), int(mine[-1])) if len(mine) else (0, 1)
    return np.asarray(route.points[first : max(last, first + 1) + 1])


def _depths_at(route: Route, leg: int, points: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    laid = _laid(route, leg)
    nearest = (int(np.argmin(np.hypot(*(laid[:, :2] - np.array(point)).T))) for point in points)
    return tuple(_deep(float(laid[place, 2])) for place in nearest)


def _deep(depth_m: float) -> float:
    return round(min(max(depth_m, -DEEPEST_M), DEEPEST_M), 3)
