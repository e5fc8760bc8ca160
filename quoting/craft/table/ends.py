"""The ends of a garland: a pool on the floor, a tail that hangs free, or tucked in and tapered."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Garland, Leg
from quoting.craft.settle.garland import body_diameter_m
from quoting.craft.settle.laying import route_in
from quoting.craft.table.following import POOL_JOINT
from quoting.craft.table.legs import within
from quoting.craft.table.things import with_thing

POOL, HANG, TUCK = "pool", "hang", "tuck"
HOW: Final = (POOL, HANG, TUCK)
STEEP: Final = 2.0  # a tail falls so many times as far as it goes aside (setting)
LEAST_TAIL_M = 0.1  # setting of the drawing
LEAST_DROP_M = LEAST_TAIL_M / 4  # between the two points of the shortest tail, its bend left out (setting)
LOWEST_M = 0.15
"""A tail that hangs free ends this far above the floor [m]. Common practice, no source."""
TAPERED: Final = 0.6
"""Thickness of an end that is tucked in. Common practice, no source."""
TAPERED_FROM: Final = 0.12  # the last share of a garland that tapers (setting)
BEND_M = 0.15  # how far a tail goes aside and down before it hangs straight (setting)


@dataclass(frozen=True, slots=True)
class GarlandEnd:
    """One end of a garland: how it ends, where [m], and how long its pool or tail is [m]; 0 where it is tucked in."""

    how: str
    x_m: float
    y_m: float
    z_m: float
    length_m: float = 0.0


def ends_of(design: Design, garland: Garland) -> tuple[GarlandEnd, GarlandEnd]:
    """Describe both ends of a garland.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [end.how for end in ends_of(design, design.garlands[0])]
    ['pool', 'tuck']
    """
    points = route_in(design, design.garlands.index(garland)).points
    return _end_at(garland, points[0].tolist(), at_start=True), _end_at(
        garland, points[-1].tolist(), at_start=False
    )


def ended(design: Design, garland: Garland, *, at_start: bool, how: str, length_m: float) -> Garland:
    """End a garland in another way. A tail ends above the floor.

    DesignError at ``how`` for a tail that the floor leaves no room for.
    """
    bare = replace(
        garland, route=_without_tail(garland, at_start=at_start), fillers=None, strung=None, fullest=None
    )
    if how == POOL:
        bare = to_the_foot(design, bare, at_start=at_start)
    if how == TUCK:
        return replace(bare, profile=tapered(bare.profile, at_start=at_start))
    laid = route_in(with_thing(design, bare), design.garlands.index(garland)).points
    x, y, z = laid[0 if at_start else -1].tolist()
    sign = _outward(design, bare, x, float(laid[:, 0].mean()), at_start=at_start)
    if how == HANG:
        tail = _tail(x, y, z, sign, length_m)
        route = (_reversed(tail), *bare.route) if at_start else (*bare.route, tail)
    else:
        pool = pool_leg(x, sign, length_m, body_diameter_m(garland), at_start=at_start)
        route = (pool, *bare.route) if at_start else (*bare.route, pool)
    return replace(bare, route=route)


def pool_leg(x_m: float, sign: float, length_m: float, ball_m: float, *, at_start: bool) -> Leg:
    """A pool that goes on from where a garland comes down [m]: to the right where ``sign`` is 1, else to the left.

    >>> pool_leg(0.5, -1.0, 0.6, 0.2, at_start=False).direction, pool_leg(0.5, -1.0, 0.6, 0.2, at_start=True).points
    ('left', ((-0.22, 0.15),))
    """
    if not at_start:
        return Leg(kind="pool", length_m=round(length_m, 3), direction=_side(sign))
    far, _ = within(x_m + sign * (POOL_JOINT * ball_m + length_m), 0.0)
    return Leg(kind="pool", points=((far, LOWEST_M),), length_m=round(length_m, 3), direction=_side(-sign))


def tapered(profile: tuple[tuple[float, float], ...], *, at_start: bool) -> tuple[tuple[float, float], ...]:
    """A thickness profile that tapers at one end.

    >>> tapered((), at_start=False)
    ((0.0, 1.0), (0.88, 1.0), (1.0, 0.6))
    """
    end, from_ = (0.0, TAPERED_FROM) if at_start else (1.0, 1 - TAPERED_FROM)
    knots = dict(profile) or {0.0: 1.0, 1.0: 1.0}
    inner = {at: value for at, value in knots.items() if (at > from_ if at_start else at < from_)}
    inner.setdefault(from_, next((value for at, value in knots.items() if at == from_), 1.0))
    return tuple(sorted({**inner, end: TAPERED}.items()))


def to_the_foot(design: Design, garland: Garland, *, at_start: bool) -> Garland:
    """A stretch that ends on its way down an open outline goes on to the foot of its frame."""
    leg = garland.route[0 if at_start else -1]
    frame = design.frame(leg.frame)
    if frame is None or leg.kind != "along" or outline(frame).closed:
        return garland
    outward = leg.start - leg.end if at_start else leg.end - leg.start
    foot = 1.0 if outward > 0 else 0.0
    if outline(frame).points[-1 if foot else 0][1] > LOWEST_M:
        return garland
    longer = replace(leg, start=foot) if at_start else replace(leg, end=foot)
    route = (longer, *garland.route[1:]) if at_start else (*garland.route[:-1], longer)
    return replace(garland, route=route)


# Private


def _end_at(garland: Garland, place: Sequence[float], *, at_start: bool) -> GarlandEnd:
    x, y, z = place
    how, length = _how(garland, at_start=at_start), _length_m(garland, at_start=at_start)
    return GarlandEnd(how, x, y, z, length)


def _how(garland: Garland, *, at_start: bool) -> str:
    leg = garland.route[0 if at_start else -1]
    if leg.kind == "pool":
        return POOL
    return HANG if _is_tail(leg, at_start=at_start) else TUCK


def _length_m(garland: Garland, *, at_start: bool) -> float:
    """The length of a pool; of a tail how far it falls, and the part of it above that bends."""
    leg = garland.route[0 if at_start else -1]
    if leg.kind == "pool":
        return leg.length_m
    if not _is_tail(leg, at_start=at_start):
        return 0.0
    heights = [y for _, y in leg.points]
    fallen = max(heights) - min(heights)
    return fallen + min(BEND_M, fallen)


def _is_tail(leg: Leg, *, at_start: bool) -> bool:
    """Whether a leg in the air falls steeply towards its free end."""
    if leg.kind != "through":
        return False
    (x1, y1), (x2, y2) = (leg.points[-1], leg.points[0]) if at_start else (leg.points[0], leg.points[-1])
    return y1 - y2 > max(STEEP * abs(x2 - x1), LEAST_DROP_M)


def _without_tail(garland: Garland, *, at_start: bool) -> tuple[Leg, ...]:
    route = garland.route
    while len(route) > 1:
        end, rest = (route[0], route[1:]) if at_start else (route[-1], route[:-1])
        is_placed = rest[0].kind != "pool" or bool(
            rest[0].points
        )  # a pool at the beginning needs a place of its own
        if not is_placed or (end.kind != "pool" and not _is_tail(end, at_start=at_start)):
            break
        route = rest
    return route


def _outward(design: Design, garland: Garland, x: float, middle: float, *, at_start: bool) -> float:
    """1 where the end goes on to the right, -1 where to the left: away from its frame, or from the garland's middle."""
    leg = garland.route[0 if at_start else -1]
    frame = design.frame(leg.frame)
    return math.copysign(1.0, x - (frame.x_m if frame else middle))


def _tail(x: float, y: float, z: float, sign: float, length_m: float) -> Leg:
    length_m = min(length_m, y - LOWEST_M)
    if length_m < LEAST_TAIL_M:
        code, low = FaultCode.NO_ROOM_TO_HANG, LEAST_TAIL_M + LOWEST_M
        raise DesignError(Fault(code=code, field="how", found=y, low=low))
    bend = min(BEND_M, length_m / 2)
    aside = sign * bend / 2
    depth = round(z, 3)
    points = (within(x + aside, y - bend), within(x + aside, y - length_m))
    return Leg(kind="through", points=points, depths=(depth, depth))


def _reversed(leg: Leg) -> Leg:
    return replace(leg, points=leg.points[::-1], depths=leg.depths[::-1])


def _side(sign: float) -> str:
    return "right" if sign > 0 else "left"
