"""The points by which a garland is taken hold of, numbered from its beginning."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Garland, Leg
from quoting.craft.design.routes import Route
from quoting.craft.settle.laying import route_in

GRIP_EVERY_M = 0.8  # of a stretch along a frame (setting)
PIN_M = 0.25
"""A leg through the air shorter than this, with two points, is one point: it is moved as a whole (setting)."""
WHOLE: Final = -1
"""Number for all points of a leg at once (setting)."""
SAG: Final = 2
"""Number of the deepest point of a hanging leg (setting)."""


@dataclass(frozen=True, slots=True)
class Grip:
    """A point of a garland: its leg, the number of the point in it (WHOLE for all of them), the kind of the leg, and
    for a stretch of a frame the place on the outline, 0 to 1."""

    leg: int
    item: int
    kind: str
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class GripPlace:
    """Where a grip is [m], and its place along the garland, 0 to 1."""

    x_m: float
    y_m: float
    z_m: float
    fraction: float


def grips(design: Design, garland: Garland) -> tuple[Grip, ...]:
    """List the points of a garland in order.

    Along a frame: both ends and one every GRIP_EVERY_M; through the air: every point; a pool: its far end; a hanging
    leg: its own ends and its deepest point; wound: both ends.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [(grip.kind, round(grip.share, 2)) for grip in grips(design, design.garlands[0])][:4]
    [('pool', 0.0), ('along', 0.02), ('along', 0.19), ('along', 0.35)]
    """
    return tuple(grip for k, leg in enumerate(garland.route) for grip in _of_leg(design, leg, k))


def grip_places(design: Design, garland: Garland) -> tuple[GripPlace, ...]:
    """Where the points of a garland are, in the order of ``grips``; their places along it never go back."""
    route = route_in(design, design.garlands.index(garland))
    lines = {frame.id: outline(frame) for frame in design.frames}
    found: list[GripPlace] = []
    reached = 0
    for grip in grips(design, garland):
        leg = garland.route[grip.leg]
        mine = np.flatnonzero(route.legs == grip.leg)
        on_leg = mine[mine >= reached] if (mine >= reached).any() else np.array([reached])
        if grip.kind == "along":
            flat = lines[leg.frame].at(np.array([grip.share]))[0]
            at = _nearest(route, on_leg, flat)
        elif grip.kind == "through":
            flat = np.mean(leg.points, axis=0) if grip.item == WHOLE else np.array(leg.points[grip.item])
            at = _nearest(route, on_leg, flat)
        else:
            at = _at_share(on_leg, mine, grip)
            flat = route.points[at, :2]
        reached = at
        fraction = float(route.along[at] / route.length_m)
        found.append(GripPlace(float(flat[0]), float(flat[1]), float(route.points[at, 2]), fraction))
    return tuple(found)


def is_pin(leg: Leg) -> bool:
    """Whether a leg through the air is so short that it is one point."""
    if leg.kind != "through" or len(leg.points) != 2:
        return False
    (x1, y1), (x2, y2) = leg.points
    return bool(np.hypot(x2 - x1, y2 - y1) < PIN_M)


# Private


def _of_leg(design: Design, leg: Leg, k: int) -> Iterator[Grip]:
    if leg.kind == "along":
        frame = design.frame(leg.frame)
        assert frame is not None
        length_m = outline(frame).length_m * abs(leg.end - leg.start)
        pieces = max(1, round(length_m / GRIP_EVERY_M))
        for j, share in enumerate(np.linspace(leg.start, leg.end, pieces + 1).tolist()):
            yield Grip(k, j, "along", share)
    elif leg.kind == "wind":
        yield Grip(k, 0, "wind", leg.start)
        yield Grip(k, 1, "wind", leg.end)
    elif leg.kind == "pool":
        yield Grip(k, 0, "pool")
    elif is_pin(leg):
        yield Grip(k, WHOLE, "through")
    elif leg.kind == "through":
        yield from (Grip(k, j, "through") for j in range(len(leg.points)))
    else:
        order = (0, SAG, 1) if leg.points else (SAG,)
        yield from (Grip(k, item, "hang") for item in order)


def _nearest(route: Route, places: np.ndarray[tuple[int, ...], np.dtype[np.int64]], flat: object) -> int:
    away = np.hypot(*(route.points[places, :2] - np.asarray(flat)).T)
    return int(places[int(np.argmin(away))])


def _at_share(
    on_leg: np.ndarray[tuple[int, ...], np.dtype[np.int64]],
    mine: np.ndarray[tuple[int, ...], np.dtype[np.int64]],
    grip: Grip,
) -> int:
    """The step of the route for a grip that is told by its place in the leg: its beginning, its end or its middle."""
    if not len(mine):
        return int(on_leg[0])
    if grip.kind == "pool":
        return int(mine[0] if grip.leg == 0 else mine[-1])
    share = {0: 0.0, 1: 1.0, SAG: 0.5}[grip.item]
    return int(max(mine[round(share * (len(mine) - 1))], on_leg[0]))
