"""Legs of a route changed by hand: moved, mirrored, taken off their frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Frame, Garland, Leg
from quoting.craft.design.routes import Route
from quoting.craft.settle.laying import route_in
from quoting.craft.table.stroke import few_points
from studio.trade.ranges import FloatArray

BEND_M = 0.03  # how far the points of a freed leg may leave the line that it had (setting)
MOST_POINTS = 24  # of one line in the air (setting)
ALIKE_M = 0.01  # off less than this an outline is alike on both sides (setting)
IMAGE_STEPS = 49  # of an outline that is looked at (setting)
DEEPEST_M = 10.0  # setting of the format
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


def mirror_line_m(design: Design, garland: Garland) -> float | None:
    """Where a garland's mirror stands [m]: in the middle of its frames, of one in the air in its own middle. None where
    its frames are no mirror image of themselves about one line.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> nested, ring = (load_design(STARTERS / f"{name}.json") for name in ("garland-nested-arches", "ring-half-moon"))
    >>> mirror_line_m(nested, nested.garlands[0]), mirror_line_m(ring, ring.garlands[0])
    (None, 0.0)
    """
    names = {leg.frame for leg in garland.route}
    frames = [frame for frame in design.frames if frame.id in names]
    if not frames:
        across = route_in(design, design.garlands.index(garland)).points[:, 0]
        return float(across.min() + across.max()) / 2
    middle = frames[0].x_m
    return middle if all(_is_own_image(frame, middle) for frame in frames) else None


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


def _is_own_image(frame: Frame, about_x_m: float) -> bool:
    """Whether a frame's outline, run the other way, is its mirror image."""
    if frame.shape == "column":
        return abs(frame.x_m - about_x_m) < ALIKE_M
    line = outline(frame).at(np.linspace(0, 1, IMAGE_STEPS))
    image = line[::-1] * (-1.0, 1.0) + (2 * about_x_m, 0.0)
    return bool(abs(line - image).max() < ALIKE_M)


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
