"""Tie points: where a garland is made fast, and to what; spaced by rule, or put by hand."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Frame, Garland
from quoting.craft.design.routes import Route
from quoting.craft.settle.garland import CLUSTER, body_diameter_m, mean_diameter_m

EMPTY_260_M = 0.46  # an empty 260 stretched as a string, knots taken off (common practice, no source)
TIE_SPACING_M = 1.10  # on a frame (common practice, no source: about four ties over two nested arches)
TIE_SPACING_FREE_M = 0.60  # where the garland hangs free (common practice, no source)
MOST_ON_A_TIE_KG = 0.35  # what one tail knotted to a clip is asked to carry (common practice, no source)
SKIN_11_KG = 0.0028  # an empty 11-in round; others by the square of their size (common practice, no source)
GREENERY_KG_M = 0.11  # silk greenery (common practice, no source)
TURN_DEG = 60.0  # a turn sharper than this within one spacing takes a closer tie (common practice, no source)
LEAST_HUNG_M = 0.5  # a garland lower than this lies on the floor (common practice, no source)
THICK_TUBE_M = (
    0.032  # from here on a spring clamp holds better than a binder clip (common practice, no source)
)
STEP_M = 0.02  # of a garland's line, to look where it hangs (setting)
BINDER_CLIP, SPRING_CLAMP, OWN_LINE, WALL_CLIP = "binder clip", "spring clamp", "own line", "wall clip"
NOTHING: Final = "nothing"
"""What a tie that was put by hand is made fast to where nothing is in its reach."""


@dataclass(frozen=True, slots=True)
class TiePoint:
    """Where the garland is made fast: place [m], distance along the garland [m], and to what."""

    garland: int
    station_m: float
    x: float
    y: float
    z: float
    frame: str
    holder: str


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of garland that hangs without a tie: where it begins and ends along it, and how long it may be [m]."""

    start_m: float
    end_m: float
    most_m: float

    @property
    def length_m(self) -> float:
        return self.end_m - self.start_m


def tie_points(design: Design, index: int, route: Route) -> tuple[TiePoint, ...]:
    """List the tie points of a garland in its order: those put by hand, else those that are worked out.

    ``route`` is its line as laid.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.settle.laying import routes_of
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [(round(tie.station_m, 2), tie.holder) for tie in tie_points(design, 0, routes_of(design)[0])][:2]
    [(0.95, 'binder clip'), (2.05, 'binder clip')]
    """
    by_hand = design.garlands[index].ties
    if by_hand:
        return tuple(_by_hand(design, index, route, float(at) * route.length_m) for at in by_hand)
    worked = (_worked_out(design, index, route, station) for station in _stations(design, index, route))
    return tuple(tie for tie in worked if tie is not None)


def tie_spacing_m(design: Design, index: int, route: Route, station_m: float) -> float:
    """How far from a place the next tie may be [m]: nearer in the air than on a frame, and as near as the weight
    between two ties asks for."""
    garland = design.garlands[index]
    leg = _leg_at(route, station_m)
    on_frame = leg >= 0 and garland.route[leg].kind in ("along", "wind")
    carried_m = MOST_ON_A_TIE_KG / weight_per_metre(design, garland)
    return min(TIE_SPACING_M if on_frame else TIE_SPACING_FREE_M, carried_m)


def hanging_spans(design: Design, index: int, route: Route) -> tuple[Span, ...]:
    """List the stretches of a garland from tie to tie that hang: what lies on the floor needs none."""
    stations = [tie.station_m for tie in tie_points(design, index, route) if tie.holder != NOTHING]
    bounds = [0.0, *stations, route.length_m]
    return tuple(
        Span(start, end, tie_spacing_m(design, index, route, start))
        for a, z in pairwise(bounds)
        for start, end in _hanging(design.garlands[index], route, a, z)
    )


def weight_per_metre(design: Design, garland: Garland) -> float:
    """Weigh a metre of garland with its greenery [kg/m]: skins of all quads and big rounds, though a thin one leaves
    some out; the 5s of fillers add next to nothing.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> round(weight_per_metre(design, design.garlands[0]), 3)
    0.161
    """
    skins = {k: SKIN_11_KG * (one.size_in / 11) ** 2 for k, one in enumerate(garland.mix)}
    strung = sum(one.share * skins[k] for k, one in enumerate(garland.mix) if one.role in ("body", "round"))
    tied = sum(skins[k] / one.spacing_m for k, one in enumerate(garland.mix) if one.role == "accent")
    green = sum(one.share for one in design.florals if one.kind == "greenery")
    layers = 1 / (garland.pitch * mean_diameter_m(garland))
    return CLUSTER[garland.cluster] * layers * strung + tied + GREENERY_KG_M * green


# Private


def _stations(design: Design, index: int, route: Route) -> Sequence[float]:
    """Where ties go by rule, from the beginning on [m]: closer where the garland turns."""
    reach = min(0.5 * body_diameter_m(design.garlands[index]), route.length_m / 4)
    station, last, stations = reach, route.length_m - reach, []
    heading = np.unwrap(np.arctan2(*np.gradient(route.points[:, :2], axis=0).T[::-1]))
    while station < last:
        stations.append(station)
        spacing = tie_spacing_m(design, index, route, station)
        here, there = np.interp([station, min(station + spacing, last)], route.along, heading)
        if abs(math.degrees(there - here)) > TURN_DEG:
            spacing *= 0.7
        station += spacing
    return [*stations, last]


def _worked_out(design: Design, index: int, route: Route, station: float) -> TiePoint | None:
    """A tie by rule: to the frame that is followed there or in reach, else to the ceiling; none on the floor."""
    x, y, z = route.at(np.array([station]))[0].tolist()
    frame = _frame_there(design, index, route, station)
    if frame is None and (y < LEAST_HUNG_M or _is_pool(design.garlands[index], route, station)):
        return None  # it lies on the floor, and nothing is there to make it fast to
    return TiePoint(index, float(station), x, y, z, frame.id if frame else "", _clip(frame) or OWN_LINE)


def _by_hand(design: Design, index: int, route: Route, station: float) -> TiePoint:
    """A tie by hand: to the frame in reach, else to the wall behind or the ceiling, which outdoors are not there."""
    x, y, z = route.at(np.array([station]))[0].tolist()
    frame = _frame_there(design, index, route, station)
    holder = _clip(frame) or _room_holder(design, y, z)
    return TiePoint(index, station, x, y, z, frame.id if frame else "", holder)


def _room_holder(design: Design, y: float, z: float) -> str:
    if design.site.outdoors or y < LEAST_HUNG_M:
        return NOTHING
    wall = min((frame.z_m for frame in design.frames), default=0.0) - design.site.wall_gap_m
    return WALL_CLIP if z - wall <= EMPTY_260_M else OWN_LINE


def _clip(frame: Frame | None) -> str:
    """What holds on a frame's tube; empty where there is no frame."""
    if frame is None:
        return ""
    return SPRING_CLAMP if frame.tube_m >= THICK_TUBE_M else BINDER_CLIP


def _frame_there(design: Design, index: int, route: Route, station: float) -> Frame | None:
    """The frame that the garland follows at a place, or the one whose tube a tail reaches from there."""
    leg = _leg_at(route, station)
    followed = design.garlands[index].route[leg].frame if leg >= 0 else ""
    if followed:
        return next(frame for frame in design.frames if frame.id == followed)
    x, y, z = route.at(np.array([station]))[0].tolist()
    return _frame_in_reach(design, x, y, z)


def _frame_in_reach(design: Design, x: float, y: float, z: float) -> Frame | None:
    """The frame whose tube a tail reaches from beside it; none where it lies too far off."""
    gaps = [
        (math.hypot(np.hypot(*(outline(frame).points - (x, y)).T).min(), z - frame.z_m), k)
        for k, frame in enumerate(design.frames)
    ]
    nearest = min(gaps, default=(math.inf, 0))
    return design.frames[nearest[1]] if nearest[0] <= EMPTY_260_M and y >= LEAST_HUNG_M else None


def _hanging(garland: Garland, route: Route, start: float, end: float) -> Iterator[tuple[float, float]]:
    """The parts of a stretch that hang, or are led along a frame: from where to where [m]."""
    steps = np.linspace(start, end, max(2, math.ceil((end - start) / STEP_M) + 1))
    high = route.at(steps)[:, 1] >= LEAST_HUNG_M
    led = np.array([_is_led(garland, route, step) for step in steps.tolist()])
    hangs = high | led
    edges = np.flatnonzero(np.diff(np.concatenate([[False], hangs, [False]]).astype(int)))
    for first, after in edges.reshape(-1, 2).tolist():
        yield float(steps[first]), float(steps[after - 1])


def _is_led(garland: Garland, route: Route, station: float) -> bool:
    leg = _leg_at(route, station)
    return leg >= 0 and garland.route[leg].kind in ("along", "wind")


def _is_pool(garland: Garland, route: Route, station: float) -> bool:
    leg = _leg_at(route, station)
    return leg >= 0 and garland.route[leg].kind == "pool"


def _leg_at(route: Route, station: float) -> int:
    return int(route.legs[np.searchsorted(route.along, station).clip(0, len(route.legs) - 1)])
