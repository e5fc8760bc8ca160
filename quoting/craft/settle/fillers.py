"""Gaps: searches the surface that a viewer sees for holes, and puts fillers into the largest first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.records import MOST_FULL, Garland, MixEntry
from quoting.craft.design.routes import Route
from quoting.craft.geometry.search_tree import search_tree
from quoting.craft.settle.gap_search import (
    GRID,
    LEAST_REST,
    Envelope,
    GapSearch,
    Group,
    Placed,
    grouped,
    meet,
    near_samples,
)
from quoting.craft.settle.garland import Strung, body_diameter_m
from quoting.craft.settle.relax import Room
from quoting.craft.settle.thinning import Kept, kept_for

Array = NDArray[np.float64]

# Settings of the measure; the depth was chosen on the starters, see MODEL.md.
VIEW_DEG = 105.0  # how far around, from the viewer's line of sight, the envelope is looked at
USUAL_REACH = 1.25  # from string to envelope, in mean diameters: how many samples lie side by side
# A sample is covered if a balloon lies within this share of the mean diameter beneath it.
COVERED_DEPTH = 0.385
WITHIN = 0.02
"""How near the measured fullness comes to the asked one, where the garland can get that full."""
USUAL_RADIUS_M = 0.06  # of a filler, where a garland has none
LEAST_PILLAR = 0.35  # an upright of at least this radius, in mean diameters, hides what is behind it


@dataclass(frozen=True, slots=True)
class Filling:
    """What the search found: filler centres (n, 3), their quad of four; which balloons of the string stay, and what
    share of it; fullness of the whole string without fillers, as it is, and at most."""

    centres: Array
    radii: Array
    station: Array
    quad: NDArray[np.int64]
    kept: NDArray[np.bool_]
    strung: float
    fullness_bare: float
    fullness: float
    highest: float


def envelope_of(
    garland: Garland,
    route: Route,
    strung: Strung,
    every: Array,
    radii: Array,
    groups: Sequence[Group],
    filler_radius: float,
) -> Envelope:
    """The envelope at the mean reach of the quads, with the depth of every sample measured.

    ``every``, ``radii``: all balloons that may cover it, in their ``groups``.
    """
    body = body_diameter_m(garland)
    step = GRID * body
    rows = np.arange(max(2, math.floor(route.length_m / step)), dtype=np.float64)
    station: Array = np.asarray((rows + 0.5) * step, dtype=np.float64)
    reach = _reach(strung, station, body)
    half = math.radians(VIEW_DEG)
    n, m = len(station), max(5, round(2 * half * USUAL_REACH / GRID))
    angle = np.linspace(-half, half, m)
    _, sideways, facing = route.triad(station)
    outward = (
        facing[:, None] * np.cos(angle)[None, :, None] + sideways[:, None] * np.sin(angle)[None, :, None]
    )
    points = route.at(station)[:, None] + outward * reach[:, None, None]
    depth, rest = _depths(
        points.reshape(-1, 3), outward.reshape(-1, 3), every, radii, groups, filler_radius, body
    )
    weight = np.repeat(reach[:, None], m, axis=1) * (points[:, :, 1] > 0.25 * body)
    shape = (n, m)
    return Envelope(
        points, outward, depth.reshape(shape), rest.reshape(shape), weight, COVERED_DEPTH * body, station
    )


class Gaps:
    """The holes of a garland as strung, and the fillers that go into them in their order, two quads at a time.

    The order depends on nothing that is asked of it: it is found as far as it is asked for and goes on from there, so
    that another fullness of the same garland searches no gap again.
    """

    def __init__(self, garland: Garland, route: Route, strung: Strung, near: Near, room: Room) -> None:
        entry = _entry(garland)
        self.strung, self.radius = strung, _radius(entry)
        self.takes_fillers, self._room, self._body = entry is not None, room, body_diameter_m(garland)
        self.seen = envelope_of(garland, route, strung, near.centres, near.radii, near.groups, self.radius)
        self.seen.weight[_hidden(self.seen, room, LEAST_PILLAR * self._body)] = 0.0
        self.bare = self.seen.fullness
        self.whole = float(self.seen.weight.sum())
        self._search: GapSearch | None = None
        self._order: list[list[Placed]] = []
        self._covered: list[float] = []
        self._lock = Lock()

    def covered_with(self, count: int) -> float | None:
        """What is covered with so many fillers of two quads; None where there is no hole for that many."""
        with self._lock:
            if self._search is None:
                blocked = _blocked(self.seen, self._room, self.radius)
                self._search = GapSearch(self.seen, blocked, self.radius, self._body)
                self._covered.append(self._search.covered)
            while len(self._order) < count and (one := self._search.fill(1.0, most=1)):
                self._order.append(one)
                self._covered.append(self._search.covered)
            return self._covered[count] if count < len(self._covered) else None

    def first(self, count: int) -> list[Placed]:
        """So many fillers, which :meth:`covered_with` has found."""
        return [ball for filler in self._order[:count] for ball in filler]

    def count_to(self, fullness: float, *, since: int = 0) -> int:
        """How many fillers until so much is measured, or no hole takes one."""
        count = since
        while (covered := self.covered_with(count)) is not None and covered < fullness * self.whole:
            count += 1
        return count - (covered is None)

    def fullness_with(self, count: int) -> float:
        """What is measured with so many fillers, which there are."""
        covered = self.covered_with(count)
        assert covered is not None
        return covered / self.whole


@dataclass(frozen=True, slots=True)
class Near:
    """The balloons of a garland, then those of others that its gaps could meet, as they are searched: where only the
    rest differs, the gaps are the same."""

    centres: Array
    radii: Array
    groups: list[Group]

    @property
    def key(self) -> bytes:
        """Differs wherever one of them does."""
        parts = [self.centres, self.radii, *(part for group in self.groups for part in group)]
        return b"|".join(np.asarray(part).tobytes() for part in parts)


def near_gaps(garland: Garland, route: Route, strung: Strung, others: tuple[Array, Array]) -> Near:
    """Leave out of ``others``, centres and radii of what hangs on no string of the garland, what is too far from its
    envelope to be found by the search."""
    centres, radii = (
        np.concatenate(pair) for pair in zip((strung.centres, strung.radii), others, strict=True)
    )
    outside = np.linalg.norm(strung.centres - strung.knots, axis=1) + strung.radii
    found_within = radii.max() + _radius(_entry(garland)) + COVERED_DEPTH * body_diameter_m(garland)
    reach = outside.max() + found_within
    low, high = route.points.min(axis=0) - reach, route.points.max(axis=0) + reach
    near = np.all((centres >= low) & (centres <= high), axis=1)
    near[: len(strung.radii)] = True
    place = np.cumsum(near) - 1
    groups = [(place[group[near[group]]], radius) for group, radius in grouped(radii)]
    return Near(centres[near], radii[near], groups)


def fill_gaps(garland: Garland, gaps: Gaps, others: tuple[Array, Array]) -> Filling:
    """Bring a garland to ``garland.fullness``: balloons are left out where it is less than all of them cover, fillers
    added where it is more, the largest hole first, no more than there are holes that take one.

    Where ``garland.strung``, ``fillers`` and ``fullest`` are planned, it is these. ``others``: centres and radii of
    what hangs on no string of this garland.
    """
    strung, bare, radius = gaps.strung, gaps.bare, gaps.radius
    kept = _kept(garland, gaps, others)
    placed: list[Placed] = []
    reached, highest = bare, bare
    if gaps.takes_fillers and (kept is None or garland.fullest is None):
        searched = 0
        if kept is None:
            count, searched = _filled_to(gaps, garland)
            placed, reached = gaps.first(count), gaps.fullness_with(count)
        if garland.fullest is None:
            searched = gaps.count_to(MOST_FULL, since=searched)
        highest = gaps.fullness_with(searched)
    return Filling(
        np.array([centre for centre, _ in placed]).reshape(-1, 3),
        np.full(len(placed), radius),
        np.array([station for _, station in placed]),
        np.arange(len(placed)) // 4,
        np.ones(len(strung.radii), bool) if kept is None else kept.balloons,
        1.0 if kept is None else kept.share,
        bare,
        reached if kept is None else kept.fullness,
        highest if garland.fullest is None else garland.fullest,
    )


def measures_what_stays(garland: Garland) -> bool:
    """Say whether it takes a measurement to know which balloons of a garland stay on their string."""
    if garland.work != "organic" or garland.fillers:
        return False
    return garland.strung is None or garland.strung < 1.0


# Private


def _entry(garland: Garland) -> MixEntry | None:
    return next((mix for mix in garland.mix if mix.role == "filler"), None)


def _radius(entry: MixEntry | None) -> float:
    return (entry.sized_low_m + entry.sized_high_m) / 4 if entry else USUAL_RADIUS_M


def _kept(garland: Garland, gaps: Gaps, others: tuple[Array, Array]) -> Kept | None:
    """What stays on the string; None where everything does."""
    if garland.strung is not None and garland.strung < 1.0:
        return kept_for(gaps.strung, gaps.seen, others, garland.fullness, share=garland.strung)
    if measures_what_stays(garland) and garland.fullness < gaps.bare:
        kept = kept_for(gaps.strung, gaps.seen, others, garland.fullness)
        return None if kept.balloons.all() else kept
    return None


def _filled_to(gaps: Gaps, garland: Garland) -> tuple[int, int]:
    """How many fillers, as planned or until the asked fullness is measured, and how many were tried: the last one is
    left out where it would go beyond by more than ``WITHIN`` and it is nearer without."""
    if garland.fillers is not None:
        count = garland.fillers
        while gaps.covered_with(count) is None:
            count -= 1
        return count, count
    asked = garland.fullness
    tried = gaps.count_to(asked)
    reached, before = gaps.fullness_with(tried), gaps.fullness_with(max(tried - 1, 0))
    return (tried - 1 if reached - asked > max(WITHIN, asked - before) else tried), tried


def _reach(strung: Strung, station: Array, body: float) -> Array:
    """Mean distance from the string to the outside of the quads, smoothed along the route [m]."""
    quads = strung.quad >= 0
    outside = np.linalg.norm(strung.centres[quads] - strung.knots[quads], axis=1) + strung.radii[quads]
    order = np.argsort(strung.station[quads], kind="stable")
    s, outside = strung.station[quads][order], outside[order]
    width = 1.5 * body
    sums = np.concatenate([[0.0], np.cumsum(outside)])
    low = np.searchsorted(s, station - width)
    high = np.maximum(np.searchsorted(s, station + width), low + 1).clip(1, len(s))
    low = np.minimum(low, high - 1)
    return np.asarray((sums[high] - sums[low]) / (high - low))


def _depths(
    points: Array,
    outward: Array,
    centres: Array,
    radii: Array,
    groups: Sequence[Group],
    filler: float,
    body: float,
) -> tuple[Array, Array]:
    """For each sample the way inward to the first balloon, and to where a filler's centre comes to rest."""
    depth = np.full(len(points), 9.0)
    rest = np.full(len(points), 9.0)
    for sample, ball in near_samples(points, centres, groups, filler + COVERED_DEPTH * body):
        d, r = meet(points[sample], outward[sample], centres[ball], radii[ball], filler)
        np.minimum.at(depth, sample, d)
        np.minimum.at(rest, sample, r)
    return depth, rest


def _blocked(seen: Envelope, room: Room, radius: float) -> NDArray[np.bool_]:
    """Samples where a filler would meet floor, wall, tube or cover.

    Both where it comes to rest now and as far out as it may come to rest once others lie beneath it.
    """
    deep = np.minimum(seen.rest, seen.limit_m)
    out = np.minimum(deep, LEAST_REST * seen.limit_m)
    blocked = np.zeros(seen.rest.shape, bool)
    for depth in (deep, (deep + out) / 2, out):
        blocked |= _meets_room(seen.points - seen.outward * depth[:, :, None], room, radius)
    return blocked


def _meets_room(centre: Array, room: Room, radius: float) -> NDArray[np.bool_]:
    meets: NDArray[np.bool_] = (centre[:, :, 1] < radius) | (centre[:, :, 2] < room.wall_m + radius)
    flat = centre.reshape(-1, 3)
    for obstacle in room.obstacles:
        distance, _ = search_tree(obstacle.tube).query(
            flat, distance_upper_bound=radius + obstacle.tube_radius_m
        )
        meets |= np.isfinite(distance).reshape(meets.shape)
        if obstacle.face is not None:
            meets |= np.abs(centre[:, :, 2] - obstacle.plane_m) < radius
    return meets


def _hidden(seen: Envelope, room: Room, least_m: float) -> NDArray[np.bool_]:
    """Samples that no viewer sees because they lie within a pole or pillar, or behind it."""
    hidden = np.zeros(seen.depth.shape, bool)
    for obstacle in room.obstacles:
        x, z = obstacle.tube[:, 0], obstacle.tube[:, 2]
        if np.ptp(x) > 1e-6 or obstacle.tube_radius_m < least_m:
            continue
        across, ahead = seen.points[:, :, 0] - x[0], seen.points[:, :, 2] - z[0]
        hidden |= across**2 + ahead**2 < obstacle.tube_radius_m**2
        hidden |= (np.abs(across) < obstacle.tube_radius_m) & (ahead < 0)
    return hidden
