"""Gap search: finds the holes of a garland's envelope; fillers go into the largest first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.craft.geometry.search_tree import search_tree
from quoting.craft.settle.relax import COMPRESSION

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Group = tuple[Index, float]
Placed = tuple[Array, float]  # centre [m] and station [m] of one filler balloon

# Settings of the search.
GRID = 0.22  # distance of two samples of the envelope, as a share of the body balloons' mean diameter
LEAST_REST = (
    -0.5
)  # a filler may stand out of the envelope by this share of the stated depth beyond its own middle
# how far apart the two quads of a filler may be wrapped, in mean diameters (0.6 m with 11s; common practice, no source)
HALF_260_REACH = 2.6
NO_ROOM = -9.0  # setting


@dataclass(frozen=True, slots=True)
class Envelope:
    """The visible envelope of a garland, sampled on a grid of stations and angles.

    ``points`` and ``outward`` (stations, angles, 3); ``depth`` [m]: free way from a sample inward to the
    first balloon; ``rest`` [m]: how far a filler's centre can be pushed inward; ``weight``: area that a
    sample stands for, 0 where no viewer sees it; ``limit_m``: the stated depth; ``station`` [m] of each row.
    """

    points: Array
    outward: Array
    depth: Array
    rest: Array
    weight: Array
    limit_m: float
    station: Array

    @property
    def fullness(self) -> float:
        """Share of the visible envelope covered to the stated depth."""
        return float((self.weight * (self.depth <= self.limit_m)).sum() / self.weight.sum())


class GapSearch:
    """Holes of one envelope and what was put into them. The envelope's depths change as fillers are placed."""

    def __init__(self, seen: Envelope, blocked: NDArray[np.bool_], radius: float, body_m: float) -> None:
        """``blocked``: samples where no filler may sit; ``radius`` [m] of a filler balloon; ``body_m`` [m]: mean
        diameter of the quads' balloons, by which the grid is spaced."""
        self.seen, self.radius = seen, radius
        self.half_260_m = HALF_260_REACH * body_m
        self.window = max(1, round(2.6 * radius / (GRID * body_m)))
        self.samples = search_tree(seen.points.reshape(-1, 3))
        self.depth, self.rest = seen.depth.reshape(-1), seen.rest.reshape(-1)
        self.points, self.outward = seen.points.reshape(-1, 3), seen.outward.reshape(-1, 3)
        self.shut = blocked.reshape(-1) | (seen.weight.reshape(-1) <= 0)
        self.rows, self.columns = len(seen.station), seen.depth.size // len(seen.station)
        self.weight = seen.weight.reshape(-1)
        self.covered = float(self.weight[self.depth <= seen.limit_m].sum())
        self.hole: Array = np.zeros((self.rows, self.columns))
        self._measure_holes(np.arange(self.depth.size))

    @property
    def fullness(self) -> float:
        """What is measured with the fillers placed so far."""
        return self.covered / float(self.weight.sum())

    def fill(self, fullness: float, *, most: int | None = None) -> list[Placed]:
        """Place fillers of two quads until the asked fullness is measured, ``most`` are there, or no hole takes a whole
        filler."""
        placed: list[Placed] = []
        total = float(self.weight.sum())
        while self.covered < fullness * total and (most is None or len(placed) < 8 * most):
            knot = int(np.argmax(self.hole))
            if self.hole.flat[knot] <= 0:
                break
            first = self._place_quad(knot)
            second = self._place_quad(self._second_knot(knot)) if first else []
            if first and second:
                placed += first + second
            else:
                self.shut[knot] = True
                self._measure_holes(np.array([knot]))
        return placed

    def _second_knot(self, knot: int) -> int:
        """The largest hole within the reach of half a 260; the first hole again where there is none."""
        near = np.sort(self.samples.query_ball_point(self.points[knot], self.half_260_m))
        best = int(near[np.argmax(self.hole.flat[near])])
        return best if self.hole.flat[best] > 0 else knot

    def _measure_holes(self, changed: Index) -> None:
        """Size of the hole around every sample near ``changed``: open samples within the window, 0 where no filler
        fits."""
        rows, columns = np.divmod(changed, self.columns)
        w = self.window
        inner = (
            slice(max(0, rows.min() - w), min(self.rows, rows.max() + w + 1)),
            slice(max(0, columns.min() - w), min(self.columns, columns.max() + w + 1)),
        )
        outer = (
            slice(max(0, inner[0].start - w), inner[0].stop + w),
            slice(max(0, inner[1].start - w), inner[1].stop + w),
        )
        wide_open = (self.seen.depth[outer] > self.seen.limit_m) & (self.seen.weight[outer] > 0)
        sums = np.zeros((wide_open.shape[0] + 1, wide_open.shape[1] + 1))
        np.cumsum(np.cumsum(wide_open, axis=0), axis=1, out=sums[1:, 1:])
        a = np.arange(inner[0].start, inner[0].stop) - outer[0].start
        b = np.arange(inner[1].start, inner[1].stop) - outer[1].start
        high_a, low_a = np.minimum(a + w + 1, wide_open.shape[0])[:, None], np.maximum(a - w, 0)[:, None]
        high_b, low_b = np.minimum(b + w + 1, wide_open.shape[1])[None, :], np.maximum(b - w, 0)[None, :]
        size = sums[high_a, high_b] - sums[low_a, high_b] - sums[high_a, low_b] + sums[low_a, low_b]
        rest = self.seen.rest[inner]
        fits = (
            (rest > 0.7 * LEAST_REST * self.seen.limit_m)
            & (rest < 8)
            & ~self.shut.reshape(self.hole.shape)[inner]
        )
        self.hole[inner] = np.where(fits & wide_open[a[:, None], b[None, :]], size, 0.0)

    def _place_quad(self, knot: int) -> list[Placed]:
        """Four balloons around a knot, each in the deepest pocket within the neck's reach; none if four do not fit."""
        limit = self.seen.limit_m
        for reach in (2 * self.window, 4 * self.window):
            cells = cells_around(divmod(knot, self.columns), reach, (self.rows, self.columns))
            cells = cells[~self.shut[cells]]
            found: list[Placed] = []
            undo: list[tuple[Index, Array, Array]] = []
            while len(found) < 4 and len(cells):
                here = self.rest[cells]
                score = np.minimum(here, limit) + np.where(self.depth[cells] > limit, 0.5 * limit, 0.0)
                score[here < LEAST_REST * limit] = NO_ROOM
                best = int(np.argmax(score))
                if score[best] == NO_ROOM:
                    break
                undo.append(self._put(int(cells[best]), found))
            if len(found) == 4:
                self._measure_holes(np.concatenate([touched for touched, _, _ in undo]))
                return found
            for touched, depth, rest in reversed(undo):
                self._set_depth(touched, depth)
                self.rest[touched] = rest
        return []

    def _put(self, cell: int, found: list[Placed]) -> tuple[Index, Array, Array]:
        """One balloon pushed in at a sample; what it changed, so that it can be taken back."""
        limit = self.seen.limit_m
        centre = self.points[cell] - self.outward[cell] * min(self.rest[cell], limit)
        found.append((centre, float(self.seen.station[cell // self.columns])))
        touched = np.array(
            self.samples.query_ball_point(centre, 2 * self.radius + 1.6 * limit), dtype=np.int64
        )
        before = touched, self.depth[touched], self.rest[touched]
        depth, rest = meet(self.points[touched], self.outward[touched], centre, self.radius, self.radius)
        self._set_depth(touched, np.minimum(before[1], depth))
        self.rest[touched] = np.minimum(before[2], rest)
        return before

    def _set_depth(self, cells: Index, depth: Array) -> None:
        limit, weight = self.seen.limit_m, self.weight[cells]
        self.covered += float(weight[depth <= limit].sum() - weight[self.depth[cells] <= limit].sum())
        self.depth[cells] = depth


def grouped(radii: Array) -> list[Group]:
    """The small balloons, then the big rounds, so that these do not widen the search for all: as indices, with the
    largest radius [m] of each."""
    big = radii > 1.35 * np.median(radii) if len(radii) else np.zeros(0, bool)
    groups = (np.flatnonzero(~big), np.flatnonzero(big))
    return [(group, float(radii[group].max())) for group in groups if len(group)]


def near_samples(
    points: Array, centres: Array, groups: Sequence[Group], beyond_m: float
) -> Iterator[tuple[Index, Index]]:
    """Pairs of a sample and a balloon whose surface is nearer than ``beyond_m``, as indices."""
    samples = search_tree(points)
    for group, radius in groups:
        if len(group):
            reach = radius + beyond_m
            hits = samples.sparse_distance_matrix(search_tree(centres[group]), reach, output_type="ndarray")
            yield hits["i"].astype(np.int64), group[hits["j"]]


def covering(seen: Envelope, centres: Array, radii: Array) -> tuple[Index, Index]:
    """Pairs of a sample and a balloon that covers it to the stated depth, as indices."""
    points, outward = seen.points.reshape(-1, 3), seen.outward.reshape(-1, 3)
    found = [np.zeros((2, 0), np.int64)]
    for sample, ball in near_samples(points, centres, grouped(radii), seen.limit_m):
        depth, _ = meet(points[sample], outward[sample], centres[ball], radii[ball], 0.0)
        covered = depth <= seen.limit_m
        found.append(np.stack([sample[covered], ball[covered]]))
    sample, ball = np.concatenate(found, axis=1)
    return sample, ball


def meet(
    points: Array, outward: Array, centres: Array, radii: Array | float, filler: float
) -> tuple[Array, Array]:
    """Where rays from ``points`` inward meet spheres, and where a filler pushed along them stops."""
    offset = centres - points
    along = -np.einsum("ij,ij->i", offset, outward)
    lateral2 = np.einsum("ij,ij->i", offset, offset) - along**2
    hit2 = radii**2 - lateral2
    depth = np.where(hit2 > 0, along - np.sqrt(np.maximum(hit2, 0)), 9.0)
    touch = (COMPRESSION + 0.02) * (radii + filler)
    stop2 = touch**2 - lateral2
    rest = np.where(stop2 > 0, along - np.sqrt(np.maximum(stop2, 0)), 9.0)
    return depth, rest


def cells_around(knot: tuple[int, int], reach: int, shape: tuple[int, int]) -> NDArray[np.int64]:
    """Flat indices of the cells within ``reach`` of the knot in either direction."""
    rows = np.arange(max(0, knot[0] - reach), min(shape[0], knot[0] + reach + 1))
    columns = np.arange(max(0, knot[1] - reach), min(shape[1], knot[1] + reach + 1))
    return (rows[:, None] * shape[1] + columns[None, :]).ravel()
