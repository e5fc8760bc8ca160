"""What becomes of an end of a garland where it is let go: it pools on the floor, follows a frame, or hangs free."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from quoting.craft.design.frames import Outline, outline
from quoting.craft.design.records import Design, Frame, Garland, Leg
from quoting.craft.settle.garland import body_diameter_m
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import Said, SaidCode
from quoting.craft.table.ends import LOWEST_M, pool_leg, to_the_foot
from quoting.craft.table.following import POOL_BEFORE, POOL_JOINT
from quoting.craft.table.grips import Grip, grips
from quoting.craft.table.matching import CATCH_M, ON_THE_FLOOR_M
from quoting.craft.table.points import Place, Route, pin_leg
from quoting.craft.table.things import with_thing
from studio.trade.ranges import FloatArray

# Settings of the drawing [m].
LIFTED_M = 0.5  # the end of a pool that is let go higher than this is taken off the floor
ON_FRAME_M = 0.3  # of a frame that an end is put on, so much is followed
LEAST_POOL_M, MOST_POOL_M = 0.2, 0.6  # of an end that comes down to the floor through the air
COMES_DOWN_M = 0.35  # an end higher than this needs a way down to its pool


def dropped_end(
    design: Design, garland: Garland, index: int, grip: Grip, to: Place
) -> tuple[Route, Said] | None:
    """Let an end of a garland go at a place: on the floor it pools, at a frame it follows it, and a pool that was
    lifted hangs free. None for a point between, and where the end stays on what it is on.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> main = design.garlands[0]
    >>> last = len(grips(design, main)) - 1
    >>> route, said = dropped_end(design, main, last, grips(design, main)[last], Place(1.9, 0.05, 0.1))
    >>> route[-1].kind, said.code.value
    ('pool', 'pools')
    """
    last = len(grips(design, garland)) - 1
    if index not in (0, last):
        return None
    at_start = index == 0
    own = garland.route[grip.leg].frame
    on_floor = to.y_m < ON_THE_FLOOR_M
    found = None if on_floor else _frame_at(design, to)
    if _stays(design, grip, own, to, found, on_floor=on_floor):
        return None
    bare = _without_end(garland.route, grip, at_start=at_start)
    if not bare:
        return None
    rest = replace(garland, route=bare)
    if on_floor:
        return _pooled(design, rest, to, at_start=at_start), Said(SaidCode.POOLS, garland.label)
    if found:
        leg = _on_frame(found, to, _coming_from(design, rest, at_start=at_start), at_start=at_start)
        return _joined(bare, leg, at_start=at_start), Said(SaidCode.ON_FRAME, garland.label, found.label)
    if grip.kind != "pool":
        return None
    way = np.array([to.x_m, to.y_m]) - _coming_from(design, rest, at_start=at_start)
    free = pin_leg(to, -way if at_start else way)
    return _joined(bare, free, at_start=at_start), Said(SaidCode.OFF_THE_FLOOR, garland.label)


# Private


def _stays(design: Design, grip: Grip, own: str, to: Place, found: Frame | None, *, on_floor: bool) -> bool:
    """Whether an end is let go on what it is on: its pool, or its own frame."""
    if grip.kind == "pool":
        return to.y_m < LIFTED_M
    if not own:
        return False
    mine = next(frame for frame in design.frames if frame.id == own)
    return (found is not None and found.id == own) or (on_floor and _away(outline(mine), to) < CATCH_M)


def _frame_at(design: Design, to: Place) -> Frame | None:
    """The frame, but for poles, whose outline is nearest to a place, within CATCH_M."""
    near = [
        (away, k)
        for k, frame in enumerate(design.frames)
        if frame.shape != "column" and (away := _away(outline(frame), to)) < CATCH_M
    ]
    return design.frames[min(near)[1]] if near else None


def _away(line: Outline, to: Place) -> float:
    return float(np.min(np.hypot(*(line.points - np.array([to.x_m, to.y_m])).T)))


def _without_end(route: Route, grip: Grip, *, at_start: bool) -> Route:
    """The route without the point that the hand holds; a stretch on a frame stays."""
    leg, rest = route[grip.leg], route[1:] if at_start else route[:-1]
    if grip.kind == "pool" or (grip.kind == "through" and grip.item < 0):
        return rest if rest and (rest[0].kind != "pool" or rest[0].points) else ()
    if grip.kind != "through":
        return route
    kept = slice(1, None) if at_start else slice(None, -1)
    left = replace(leg, points=leg.points[kept], depths=leg.depths[kept])
    if len(left.points) > 1:
        return _joined(rest, left, at_start=at_start)
    (x, y), way = left.points[0], np.subtract(leg.points[1], leg.points[0])
    depth = left.depths[0] if left.depths else 0.0
    return _joined(rest, pin_leg(Place(x, y, depth), way), at_start=at_start)


def _joined(route: Route, leg: Leg, *, at_start: bool) -> Route:
    return (leg, *route) if at_start else (*route, leg)


def _coming_from(design: Design, rest: Garland, *, at_start: bool) -> FloatArray:
    """Where the garland ends without the point that the hand holds [m]."""
    index = next(k for k, one in enumerate(design.garlands) if one.id == rest.id)
    points = route_in(with_thing(design, rest), index).points
    return np.asarray(points[0 if at_start else -1, :2])


def _on_frame(frame: Frame, to: Place, before: FloatArray, *, at_start: bool) -> Leg:
    """A short stretch of a frame about a place, in the direction in which the garland comes to it."""
    line = outline(frame)
    half = min(ON_FRAME_M / line.length_m, 1.0) / 2
    step = int(np.argmin(np.hypot(*(line.points - np.array([to.x_m, to.y_m])).T)))
    share = min(max(float(line.along[step]) / line.length_m, half), 1 - half)
    ends = line.at(np.array([share - half, share + half]))
    onward = float(np.dot(ends[1] - ends[0], np.array([to.x_m, to.y_m]) - before)) >= 0
    low, high = round(share - half, 4), round(share + half, 4)
    start, end = (low, high) if onward != at_start else (high, low)
    return Leg(kind="along", frame=frame.id, start=start, end=end)


def _pooled(design: Design, rest: Garland, to: Place, *, at_start: bool) -> Route:
    """A garland with a pool whose far end is at a place; from high up it comes down through the air first."""
    rest = to_the_foot(design, rest, at_start=at_start)
    ball_m = body_diameter_m(rest)
    index = next(k for k, one in enumerate(design.garlands) if one.id == rest.id)
    laid = route_in(with_thing(design, rest), index).points
    x, y, _ = laid[0 if at_start else -1].tolist()
    joint = (POOL_JOINT if at_start else POOL_BEFORE) * ball_m
    sign = math.copysign(1.0, to.x_m - x)
    length = max(abs(to.x_m - x) - joint, LEAST_POOL_M)
    route = rest.route
    if y > COMES_DOWN_M:
        length = min(length, MOST_POOL_M)
        x = to.x_m - sign * (length + joint)
        down = np.array([0.0, -1.0])
        pin = pin_leg(Place(x, LOWEST_M, to.z_m), -down if at_start else down)
        route = _joined(route, pin, at_start=at_start)
    return _joined(route, pool_leg(x, sign, length, ball_m, at_start=at_start), at_start=at_start)
