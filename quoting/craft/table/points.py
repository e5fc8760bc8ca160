"""Points of a garland moved, added and taken out: what becomes of its legs."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.frames import Outline, outline
from quoting.craft.design.records import Design, Frame, Garland, Leg
from quoting.craft.settle.garland import body_diameter_m
from quoting.craft.settle.laying import route_in
from quoting.craft.table.following import POOL_BEFORE
from quoting.craft.table.grips import PIN_M, SAG, WHOLE, Grip, grip_places, grips, is_pin
from quoting.craft.table.legs import with_depths, within
from quoting.craft.table.matching import CATCH_M
from quoting.craft.table.things import not_for_this
from studio.trade.ranges import FloatArray

# Settings of the drawing.
LEAST_SHARE = 0.01  # of an outline, between the ends of a stretch
ROOM_M = 0.3  # beside a point off its frame, for the string to bend
LEAST_POOL_M = 0.1
LOWEST_M = 0.02  # a hanging leg's middle stays this far above the floor

Route = tuple[Leg, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the room [m]."""

    x_m: float
    y_m: float
    z_m: float


def moved_point(
    design: Design, garland: Garland, index: int, grip: Grip, to: Place
) -> tuple[Route, Frame | None]:
    """Move a point; the route, and the frame that the garland leaves there, if it does."""
    leg = garland.route[grip.leg]
    if grip.kind == "along":
        return _moved_on_frame(design, garland, index, grip, to)
    if grip.kind == "through":
        route = with_depths(design, garland)
        return _with_leg(route, grip.leg, _moved_in_air(route[grip.leg], grip.item, to)), None
    if grip.kind == "pool":
        return _with_leg(garland.route, grip.leg, _moved_pool(design, garland, grip.leg, to)), None
    if grip.kind == "wind":
        frame = _frame_of(design, leg)
        share = round(min(max((to.y_m - frame.base_m) / frame.height_m, 0.0), 1.0), 4)
        moved = replace(leg, start=share) if grip.item == 0 else replace(leg, end=share)
        return _with_leg(garland.route, grip.leg, moved), None
    return _with_leg(garland.route, grip.leg, _moved_hanging(design, garland, grip, to)), None


def added_point(design: Design, garland: Garland, at: float) -> tuple[Route, Place]:
    """Add a point at a share of a garland's length. DesignError at ``at`` on a pool, a wound or a hanging leg."""
    laid = route_in(design, design.garlands.index(garland))
    step = int(np.argmin(np.abs(laid.along - at * laid.length_m)))
    place = Place(*laid.points[step].tolist())
    number = int(laid.legs[step])
    if number < 0:  # on the way from one leg to the next
        before = max(int(leg) for leg in laid.legs[:step])
        way = laid.points[min(step + 1, len(laid.points) - 1)] - laid.points[step - 1]
        return _inserted(garland.route, before + 1, pin_leg(place, way)), place
    leg = garland.route[number]
    if leg.kind == "through":
        return _with_point(design, garland, number, at, place), place
    if leg.kind == "along":
        frame = _frame_of(design, leg)
        line = outline(frame)
        share = _share_at(line, place, (leg.start + leg.end) / 2)
        return _off_the_frame(garland.route, number, share, line, place, ROOM_M), place
    raise not_for_this(garland, "at")


def without_point(design: Design, garland: Garland, grip: Grip) -> Route:
    """Take a point out. DesignError at ``index`` where it is one of the last, or one between on a frame."""
    leg = garland.route[grip.leg]
    if grip.kind == "through" and len(leg.points) > 2:
        kept = [k for k in range(len(leg.points)) if k != grip.item]
        points = tuple(leg.points[k] for k in kept)
        depths = tuple(leg.depths[k] for k in kept) if leg.depths else ()
        return _with_leg(garland.route, grip.leg, replace(leg, points=points, depths=depths))
    if grip.kind == "along":
        mine = [one for one in grips(design, garland) if one.leg == grip.leg]
        if len(mine) > 2:
            return _with_leg(garland.route, grip.leg, _shortened(garland, leg, mine, grip))
    return _without_leg(garland.route, grip.leg)


def pin_leg(place: Place, way: FloatArray) -> Leg:
    """A point in the air: a short leg through it, in the direction of the garland."""
    length = float(np.hypot(way[0], way[1]))
    x, y = (way[:2] / length if length > 1e-9 else np.array([1.0, 0.0])) * 0.4 * PIN_M
    points = (within(place.x_m - x, place.y_m - y), within(place.x_m + x, place.y_m + y))
    depth = round(place.z_m, 3)
    return Leg(kind="through", points=points, depths=(depth, depth))


# Private


def _frame_of(design: Design, leg: Leg) -> Frame:
    frame = design.frame(leg.frame)
    assert frame is not None
    return frame


def _with_leg(route: Route, number: int, leg: Leg) -> Route:
    return (*route[:number], leg, *route[number + 1 :])


def _inserted(route: Route, number: int, leg: Leg) -> Route:
    return (*route[:number], leg, *route[number:])


def _without_leg(route: Route, number: int) -> Route:
    """The route without a leg; two stretches of one frame that it parted grow together again."""
    left = (*route[:number], *route[number + 1 :])
    while left and left[0].kind == "pool" and not left[0].points:
        left = left[1:]  # a pool that lay where the garland came down has lost its place
    if not left:
        raise DesignError(Fault(code=FaultCode.LAST_POINTS, field="index"))
    if 0 < number < len(route) - 1:
        before, after = route[number - 1], route[number + 1]
        if _one_stretch(before, after):
            whole = replace(before, end=after.end)
            return (*route[: number - 1], whole, *route[number + 2 :])
    return left


def _one_stretch(before: Leg, after: Leg) -> bool:
    if (before.kind, before.frame, before.side) != (
        after.kind,
        after.frame,
        after.side,
    ) or before.kind != "along":
        return False
    onward = before.end - before.start
    return onward * (after.end - after.start) > 0 and onward * (after.start - before.end) > 0


def _moved_on_frame(
    design: Design, garland: Garland, index: int, grip: Grip, to: Place
) -> tuple[Route, Frame | None]:
    leg, frame = garland.route[grip.leg], _frame_of(design, garland.route[grip.leg])
    line = outline(frame)
    away = float(np.min(np.hypot(*(line.points - np.array([to.x_m, to.y_m])).T)))
    mine = [k for k, one in enumerate(grips(design, garland)) if one.leg == grip.leg]
    at_start, at_end = index == mine[0], index == mine[-1]
    if away >= CATCH_M:
        if at_start or at_end:
            pin = pin_leg(to, _way_past(design, garland, index, to, at_start=at_start))
            return _inserted(garland.route, grip.leg + (0 if at_start else 1), pin), frame
        return _off_the_frame(garland.route, grip.leg, grip.share, line, to, max(ROOM_M, 0.7 * away)), frame
    if not (at_start or at_end):
        return garland.route, None
    share = _share_at(line, to, grip.share)
    other = leg.end if at_start else leg.start
    if abs(share - other) < LEAST_SHARE:
        share = min(max(other + math.copysign(LEAST_SHARE, grip.share - other), 0.0), 1.0)
    moved = replace(leg, start=share) if at_start else replace(leg, end=share)
    return _with_leg(garland.route, grip.leg, moved), None


def _share_at(line: Outline, to: Place, near: float) -> float:
    """The place on an outline nearest to a place; at the foot of a ring, the one nearer to ``near``."""
    step = int(np.argmin(np.hypot(*(line.points - np.array([to.x_m, to.y_m])).T)))
    share = round(float(line.along[step]) / line.length_m, 4)
    if line.closed and abs(share - near) > 0.5:
        return round(near)
    return share


def _way_past(design: Design, garland: Garland, index: int, to: Place, *, at_start: bool) -> FloatArray:
    """The direction of the garland through a place beyond the end of a stretch: from the point before to the one
    after."""
    places = grip_places(design, garland)
    before, after = (index - 1, index) if at_start else (index, index + 1)
    first = places[before] if before >= 0 else to
    last = places[after] if after < len(places) else to
    return np.array([last.x_m - first.x_m, last.y_m - first.y_m])


def _off_the_frame(route: Route, number: int, share: float, line: Outline, to: Place, room_m: float) -> Route:
    leg = route[number]
    onward = math.copysign(room_m / line.length_m, leg.end - leg.start)
    before = replace(leg, end=round(share - onward, 4))
    after = replace(leg, start=round(share + onward, 4))
    ends = line.at(np.clip(np.array([share - onward, share + onward]), 0.0, 1.0))
    whole = (leg.end - leg.start) > 0
    kept = [
        one
        for one in (before, after)
        if ((one.end - one.start) > 0) == whole and abs(one.end - one.start) >= LEAST_SHARE
    ]
    pin = pin_leg(to, ends[1] - ends[0])
    parts = [pin] if not kept else [kept[0], pin, *kept[1:]] if kept[0] == before else [pin, *kept]
    return (*route[:number], *parts, *route[number + 1 :])


def _moved_in_air(leg: Leg, item: int, to: Place) -> Leg:
    depth = round(to.z_m, 3)
    if item == WHOLE:
        (x1, y1), (x2, y2) = leg.points
        x, y = (x2 - x1) / 2, (y2 - y1) / 2
        ends = (within(to.x_m - x, to.y_m - y), within(to.x_m + x, to.y_m + y))
        return replace(leg, points=ends, depths=(depth, depth))
    points = tuple(within(to.x_m, to.y_m) if k == item else point for k, point in enumerate(leg.points))
    depths = tuple(depth if k == item else one for k, one in enumerate(leg.depths))
    return replace(leg, points=points, depths=depths)


def _moved_pool(design: Design, garland: Garland, number: int, to: Place) -> Leg:
    """A pool with its far end elsewhere; its near end stays."""
    leg = garland.route[number]
    if number == 0:
        sign = 1.0 if leg.direction == "right" else -1.0
        near = leg.points[0][0] + sign * leg.length_m
        way = near - to.x_m
        length = max(abs(way), LEAST_POOL_M)
        start = within(near - math.copysign(length, way), leg.points[0][1])
        return replace(leg, points=(start,), length_m=round(length, 3), direction=_direction(way))
    laid = route_in(design, design.garlands.index(garland))
    beginning = float(laid.points[int(np.argmax(laid.legs == number)), 0])
    ball = body_diameter_m(garland)
    sign = 1.0 if leg.direction == "right" else -1.0
    way = to.x_m - (beginning - sign * POOL_BEFORE * ball)
    length = max(abs(way) - POOL_BEFORE * ball, LEAST_POOL_M)
    return replace(leg, length_m=round(length, 3), direction=_direction(way))


def _direction(way_m: float) -> str:
    return "right" if way_m > 0 else "left"


def _moved_hanging(design: Design, garland: Garland, grip: Grip, to: Place) -> Leg:
    leg = garland.route[grip.leg]
    if grip.item != SAG:
        points = tuple(
            within(to.x_m, to.y_m) if k == grip.item else point for k, point in enumerate(leg.points)
        )
        return replace(leg, points=points)
    if leg.points:
        middle = (leg.points[0][1] + leg.points[1][1]) / 2
    else:
        laid = route_in(design, design.garlands.index(garland))
        heights = laid.points[laid.legs == grip.leg, 1]
        middle = float(heights[0] + heights[-1]) / 2
    return replace(leg, sag_m=round(min(max(middle - max(to.y_m, LOWEST_M), 0.0), 8.0), 3))


def _with_point(design: Design, garland: Garland, number: int, at: float, place: Place) -> Route:
    """One more point of a leg through the air, between the two that it lies between."""
    route = with_depths(design, garland)
    leg = route[number]
    if is_pin(leg):
        first = 0
    else:
        found = zip(grips(design, garland), grip_places(design, garland), strict=True)
        first = max(
            (grip.item for grip, one in found if grip.leg == number and one.fraction <= at), default=0
        )
    cut = min(first + 1, len(leg.points) - 1)
    points = (*leg.points[:cut], within(place.x_m, place.y_m), *leg.points[cut:])
    depths = (*leg.depths[:cut], round(place.z_m, 3), *leg.depths[cut:])
    return _with_leg(route, number, replace(leg, points=points, depths=depths))


def _shortened(garland: Garland, leg: Leg, mine: list[Grip], grip: Grip) -> Leg:
    """A stretch of a frame without its first or last point."""
    if grip == mine[0]:
        return replace(leg, start=round(mine[1].share, 4))
    if grip == mine[-1]:
        return replace(leg, end=round(mine[-2].share, 4))
    raise not_for_this(garland, "index")
