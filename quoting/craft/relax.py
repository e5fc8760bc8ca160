"""Settling: touching balloons give way a little, are kept off tube, cover, floor and wall, and come to rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from quoting.craft.frames import Points, is_inside

Array = NDArray[np.float64]
Index = NDArray[np.int64]

COMPRESSION = 0.90  # least distance of two centres as a share of the sum of radii
FIRMNESS = 0.95  # least distance from tube, cover, floor and wall as a share of the radius
NECK_LOW, NECK_HIGH = 0.80, 1.25  # distance of a centre from its knot on the string, in radii
REFRESH = 8  # passes between two searches for neighbours
SKIN = 0.12  # how far beyond touching the search looks, as a share of the mean diameter


@dataclass(frozen=True, slots=True)
class Obstacle:
    """A frame as the balloons meet it: its tube as points on the axis, and its face where that is covered."""

    tube: Array  # (n, 3) [m]
    tube_radius_m: float
    face: Points | None  # (m, 2) [m]; None where nothing is stretched over the frame
    plane_m: float


@dataclass(frozen=True, slots=True)
class Room:
    """What bounds the balloons: the floor at y = 0, a wall at ``wall_m`` (z) and the frames."""

    obstacles: tuple[Obstacle, ...]
    wall_m: float


def neighbours(centres: Array, radii: Array, reach: float) -> tuple[Index, Index]:
    """All pairs nearer than the sum of their radii times (1 + reach), i < j, in a fixed order.

    Small balloons are searched with a radius of their own, so that a few big rounds do not make every search
    as wide as the biggest of them.
    """
    big = radii > 1.35 * np.median(radii)
    small = np.flatnonzero(~big)
    found: list[Index] = []
    if len(small) > 1:
        tree = cKDTree(centres[small])
        widest = 2 * float(radii[small].max()) * (1 + reach)
        found.append(small[tree.query_pairs(widest, output_type="ndarray")].reshape(-1, 2))
    if big.any():
        large = np.flatnonzero(big)
        every = cKDTree(centres)
        widest = (float(radii[large].max()) + float(radii.max())) * (1 + reach)
        hits = every.query_ball_point(centres[large], widest)
        rows = np.repeat(large, [len(hit) for hit in hits])
        columns = np.fromiter((k for hit in hits for k in hit), dtype=np.int64, count=len(rows))
        keep = (rows < columns) | ((rows > columns) & ~big[columns])
        found.append(np.column_stack([rows[keep], columns[keep]]))
    if not found:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    pairs = np.sort(np.concatenate(found), axis=1)
    gap = np.linalg.norm(centres[pairs[:, 0]] - centres[pairs[:, 1]], axis=1)
    pairs = pairs[gap < (radii[pairs[:, 0]] + radii[pairs[:, 1]]) * (1 + reach)]
    order = np.lexsort((pairs[:, 1], pairs[:, 0]))
    return pairs[order, 0], pairs[order, 1]


def settle(
    centres: Array,
    radii: Array,
    knots: Array,
    room: Room,
    *,
    passes: int = 90,
    mobility: Array | None = None,
    neck: tuple[float, float] = (NECK_LOW, NECK_HIGH),
) -> Array:
    """Centres at rest [m], shape (n, 3).

    ``knots`` [m], shape (n, 3): where each neck is tied. ``mobility``, shape (n,): how readily a balloon gives
    way; by default smaller ones more. Each pass moves overlapping pairs apart to COMPRESSION times the sum of
    their radii, keeps necks between ``neck`` radii, then applies tube, cover, floor and wall, so that these last
    are never violated when the pass ends.
    """
    p = centres.copy()
    give = 1.0 / radii if mobility is None else mobility
    mean = float(2 * radii.mean())
    i = j = np.zeros(0, np.int64)
    for step in range(passes):
        if step % REFRESH == 0:
            i, j = neighbours(p, radii, SKIN)
            rest = COMPRESSION * (radii[i] + radii[j])
            share = give[i] / np.maximum(give[i] + give[j], 1e-12)
            contact = _nearest_tube(p, radii, room.obstacles)
        _pull_necks(p, radii, knots, neck, strength=0.5 if step < passes - 20 else 0.15)
        _push_pairs(p, i, j, rest, share, mean)
        _keep_off(p, radii, room, contact)
    return p


def deepest_overlap(centres: Array, radii: Array) -> tuple[float, float]:
    """Largest and 99.9th percentile overlap as a share of the sum of radii, over all touching pairs."""
    i, j = neighbours(centres, radii, 0.0)
    if len(i) == 0:
        return 0.0, 0.0
    gap = np.linalg.norm(centres[i] - centres[j], axis=1)
    share = 1 - gap / (radii[i] + radii[j])
    return float(share.max()), float(np.quantile(share, 0.999))


# Private


def _push_pairs(p: Array, i: Index, j: Index, rest: Array, share: Array, mean: float) -> None:
    apart = p[i] - p[j]
    gap2 = np.einsum("ij,ij->i", apart, apart)
    close = gap2 < rest * rest
    if not close.any():
        return
    ii, jj, apart = i[close], j[close], apart[close]
    gap = np.sqrt(gap2[close])
    push = np.minimum(rest[close] - gap, 0.25 * mean) / np.maximum(gap, 1e-9)
    apart *= push[:, None]
    mine = share[close]
    n = len(p)
    touching = np.bincount(ii, minlength=n) + np.bincount(jj, minlength=n)
    damp = 1.0 / np.maximum(1.0, 0.55 * touching)
    for k in range(3):
        move = np.bincount(ii, apart[:, k] * mine, n) - np.bincount(jj, apart[:, k] * (1 - mine), n)
        p[:, k] += move * damp * 1.5


def _pull_necks(p: Array, radii: Array, knots: Array, neck: tuple[float, float], *, strength: float) -> None:
    away = p - knots
    length = np.maximum(np.sqrt(np.einsum("ij,ij->i", away, away)), 1e-9)
    wanted = np.clip(length, neck[0] * radii, neck[1] * radii)
    p += away * (strength * (wanted / length - 1))[:, None]


def _nearest_tube(p: Array, radii: Array, obstacles: Sequence[Obstacle]) -> list[tuple[Index, Index, Index, Array]]:
    """For each obstacle: balloons near its tube and their nearest points, balloons before its face and their side."""
    near = []
    for obstacle in obstacles:
        distance, index = cKDTree(obstacle.tube).query(p)
        reach = np.flatnonzero(distance < 1.5 * radii + obstacle.tube_radius_m)
        covered = np.zeros(0, np.int64)
        if obstacle.face is not None:
            close = np.flatnonzero(np.abs(p[:, 2] - obstacle.plane_m) < 1.3 * radii)
            covered = close[is_inside(p[close, :2], obstacle.face)]
        side = np.where(p[covered, 2] >= obstacle.plane_m, 1.0, -1.0)
        near.append((reach, index[reach], covered, side))
    return near


def _keep_off(p: Array, radii: Array, room: Room, contact: list[tuple[Index, Index, Index, Array]]) -> None:
    for obstacle, (near, index, covered, side) in zip(room.obstacles, contact, strict=True):
        if len(near):
            away = p[near] - obstacle.tube[index]
            gap = np.maximum(np.sqrt(np.einsum("ij,ij->i", away, away)), 1e-9)
            least = FIRMNESS * radii[near] + obstacle.tube_radius_m
            p[near] += away * (np.maximum(0.0, least - gap) / gap)[:, None]
        if len(covered):
            least = obstacle.plane_m + side * FIRMNESS * radii[covered]
            p[covered, 2] = np.where(side > 0, np.maximum(p[covered, 2], least), np.minimum(p[covered, 2], least))
    p[:, 1] = np.maximum(p[:, 1], FIRMNESS * radii)
    p[:, 2] = np.maximum(p[:, 2], room.wall_m + FIRMNESS * radii)
