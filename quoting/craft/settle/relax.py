"""Settling: touching balloons give way a little, keep off tube, cover, floor and wall, and come to rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.frames import Edges, Points
from quoting.craft.geometry.search_tree import search_tree
from quoting.craft.settle.string import Strings, Ties

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

Array = NDArray[np.float64]
Index = NDArray[np.int64]

# Settings of the settling. How far balloons give way and necks stretch: common practice, no source.
COMPRESSION = 0.90  # least distance of two centres as a share of the sum of radii
FIRMNESS = 0.95  # least distance from tube, cover, floor and wall as a share of the radius
NECK_LOW, NECK_HIGH = 0.80, 1.25  # distance of a centre from its knot on the string, in radii
TOLERANCE = 0.002  # pairs are pushed this share farther apart than they must, so that the limit itself holds
PASSES_TIED, PASSES_LOOSE = 40, 800  # the latter is a limit to the work; rest is mostly reached in 20 to 250
REFRESH = 8  # passes between two searches for neighbours
STALE = 0.07  # move of a balloon, as a share of its radius, after which neighbours are searched for again
SKIN = 0.06  # how far beyond touching the search looks, as a share of the sum of radii
STEP, DAMPING = 1.8, 0.25  # over-relaxation, and how it is shared among several contacts of one balloon


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
    """Find all pairs nearer than the sum of their radii times (1 + reach), i < j, in a fixed order.

    Small balloons are searched with a radius of their own, so that a few big rounds do not make every search
    as wide as the biggest of them.

    >>> centres = np.array([(0.0, 0.0, 0.0), (0.9, 0.0, 0.0), (5.0, 0.0, 0.0)])
    >>> neighbours(centres, np.full(3, 0.5), reach=0.0)
    (array([0]), array([1]))
    """
    big = radii > 1.35 * np.median(radii)
    small = np.flatnonzero(~big)
    found: list[Index] = []
    if len(small) > 1:
        tree = search_tree(centres[small])
        widest = 2 * float(radii[small].max()) * (1 + reach)
        found.append(small[tree.query_pairs(widest, output_type="ndarray")].reshape(-1, 2))
    if big.any():
        large = np.flatnonzero(big)
        every = search_tree(centres)
        widest = (float(radii[large].max()) + float(radii.max())) * (1 + reach)
        hits: list[list[int]] = np.asarray(every.query_ball_point(centres[large], widest)).tolist()
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


@dataclass(frozen=True, slots=True)
class Rest:
    """What has come to rest: centres (n, 3) [m], and the knots (n, 3) [m] that they hang on."""

    centres: Array
    knots: Array


def settle(
    centres: Array,
    radii: Array,
    knots: Array,
    room: Room,
    *,
    ties: Ties,
    reach: Array | None = None,
    fixed: NDArray[np.bool_] | None = None,
    passes: tuple[int, int] = (PASSES_TIED, PASSES_LOOSE),
) -> Rest:
    """Let the balloons come to rest, and the strings with them.

    ``knots`` [m], shape (n, 3): where each neck is tied. ``reach`` [m], shape (n,): how far beyond its usual
    length a neck or tail may be led, for balloons that are tied onto the outside. ``fixed``, shape (n,):
    balloons that stay where they are. Of two others the smaller gives way more. First necks are held between
    NECK_LOW and NECK_HIGH radii of knots that stay, while overlaps are pushed apart; then knots give way until no neck
    is longer than LONGEST_NECK and no pair nearer than COMPRESSION times the sum of its radii (within TOLERANCE), at
    most ``passes[1]`` passes. Tube, cover, floor and wall come last, so they hold exactly in the result.
    """
    p, tied = np.ascontiguousarray(centres.T), np.ascontiguousarray(knots.T)
    still = np.zeros(len(radii), bool) if fixed is None else fixed
    held = p[:, still].copy()
    mean = float(2 * radii.mean())
    tail = np.zeros(len(radii)) if reach is None else reach
    strings = Strings(tied, radii, tail, ties, mean)
    near = _Near(radii, tied.copy(), room, still)
    near.look(p)
    fresh = False  # whether the last pass found nothing to push, so that this one searches anew to make sure
    for step in range(sum(passes)):
        if fresh or (step and step % REFRESH == 0 and near.is_stale(p)):
            near.look(p)
        if step < passes[0]:
            _pull_necks(p, tied, NECK_LOW * radii, tail + NECK_HIGH * radii, 0.5)
        else:
            strings.give_way(p, step - passes[0])
            strings.hold(p)
        _keep_off(p, radii, room, near.barriers)
        worst = _push_pairs(p, near.contacts, mean)
        p[:, still] = held
        if step < passes[0] or worst >= TOLERANCE:
            fresh = False
            continue
        _keep_off(p, radii, room, near.barriers)
        p[:, still] = held
        if strings.holds(p) and fresh:
            break
        fresh = strings.holds(p)
    _keep_off(p, radii, room, near.barriers)
    p[:, still] = held
    return Rest(np.ascontiguousarray(p.T), np.ascontiguousarray(tied.T))


# Private


class _Near:
    """What each balloon may touch: other balloons and barriers, as last looked for."""

    def __init__(self, radii: Array, knots: Array, room: Room, still: NDArray[np.bool_]) -> None:
        self.radii, self.knots, self.room = radii, knots, room
        self.give = np.where(still, 0.0, 1.0 / radii)
        trees = [search_tree(obstacle.tube) for obstacle in room.obstacles]
        faces = [one.face if one.face is None else Edges.of(one.face) for one in room.obstacles]
        self.shapes = trees, faces
        self.far = (STALE * radii) ** 2

    def is_stale(self, p: Array) -> bool:
        """Say whether a balloon has moved so far that one which was no neighbour may be one soon."""
        moved = p - self.seen
        return bool((np.einsum("ij,ij->j", moved, moved) > self.far).any())

    def look(self, p: Array) -> None:
        self.seen = p.copy()
        self.contacts = _contacts(p.T, self.radii, self.give)
        self.barriers = _barriers(p.T, self.radii, self.knots[2], self.room, self.shapes)


@dataclass(frozen=True, slots=True)
class _Contacts:
    """Pairs near enough to touch: indices, least distance of centres, share of the push that the first takes."""

    i: Index
    j: Index
    rest: Array
    rest2: Array
    share: Array


@dataclass(frozen=True, slots=True)
class _Barrier:
    """Balloons near one obstacle: those at its tube with their nearest points, those before or behind its face."""

    near: Index
    axis: Array  # (3, k)
    least: Array
    covered: Index
    front: Array  # bounds on z; -inf where there is none
    behind: Array


def _contacts(p: Array, radii: Array, give: Array) -> _Contacts:
    i, j = neighbours(p, radii, SKIN)
    loose = give[i] + give[j] > 0
    i, j = i[loose], j[loose]
    rest = (COMPRESSION + TOLERANCE) * (radii[i] + radii[j])
    return _Contacts(i, j, rest, rest * rest, give[i] / np.maximum(give[i] + give[j], 1e-12))


def _push_pairs(p: Array, contacts: _Contacts, mean: float) -> float:
    """Move overlapping pairs apart; gives the deepest overlap before, beyond the limit, as a share of the distance."""
    i, j = contacts.i, contacts.j
    apart = np.take(p, i, axis=1) - np.take(p, j, axis=1)
    x, y, z = apart
    gap2 = x * x + y * y + z * z
    close = np.flatnonzero(gap2 < contacts.rest2)
    if len(close) == 0:
        return 0.0
    ii, jj, rest = i[close], j[close], contacts.rest[close]
    apart = np.take(apart, close, axis=1)
    gap = np.sqrt(gap2[close])
    lack = rest - gap
    apart *= np.minimum(lack, 0.25 * mean) / np.maximum(gap, 1e-9)
    mine = apart * contacts.share[close]
    mine_and_theirs = np.concatenate([mine, mine - apart], axis=1)
    both, n = np.concatenate([ii, jj]), p.shape[1]
    damp = STEP / np.maximum(1.0, DAMPING * np.bincount(both, minlength=n))
    for k in range(3):
        p[k] += np.bincount(both, mine_and_theirs[k], n) * damp
    return float((lack / rest).max())


def _pull_necks(p: Array, knots: Array, low: Array, high: Array, strength: float) -> None:
    away = p - knots
    length = np.maximum(np.sqrt(np.einsum("ij,ij->j", away, away)), 1e-9)
    p += away * (strength * (np.minimum(np.maximum(length, low), high) / length - 1))


def _barriers(
    p: Array,
    radii: Array,
    knots_z: Array,
    room: Room,
    shapes: tuple[Sequence[cKDTree], Sequence[Edges | None]],
) -> list[_Barrier]:
    found = []
    for obstacle, tree, edges in zip(room.obstacles, *shapes, strict=True):
        reach = 1.4 * float(radii.max()) + obstacle.tube_radius_m
        distance, index = tree.query(p, distance_upper_bound=reach)
        near = np.flatnonzero(distance < 1.4 * radii + obstacle.tube_radius_m)
        covered = np.zeros(0, np.int64)
        if edges is not None:
            close = np.flatnonzero(np.abs(p[:, 2] - obstacle.plane_m) < 1.4 * radii)
            covered = close[edges.around(p[close, :2])]
        narrow = obstacle.plane_m - room.wall_m < 2 * FIRMNESS * radii[covered]  # no room behind the cover
        front = (knots_z[covered] >= obstacle.plane_m) | narrow  # no neck goes through a cover
        clear = FIRMNESS * radii[covered]
        found.append(
            _Barrier(
                near,
                np.ascontiguousarray(obstacle.tube[np.asarray(index)[near]].T),
                FIRMNESS * radii[near] + obstacle.tube_radius_m,
                covered,
                np.where(front, obstacle.plane_m + clear, -np.inf),
                np.where(front, np.inf, obstacle.plane_m - clear),
            )
        )
    return found


def _keep_off(p: Array, radii: Array, room: Room, barriers: Sequence[_Barrier]) -> None:
    for barrier in barriers:
        near = barrier.near
        if len(near):
            here = p[:, near]
            away = here - barrier.axis
            gap = np.maximum(np.sqrt(np.einsum("ij,ij->j", away, away)), 1e-9)
            p[:, near] = here + away * (np.maximum(0.0, barrier.least - gap) / gap)
        if len(barrier.covered):
            z = p[2, barrier.covered]
            p[2, barrier.covered] = np.minimum(np.maximum(z, barrier.front), barrier.behind)
    clear = FIRMNESS * radii
    np.maximum(p[1], clear, out=p[1])
    np.maximum(p[2], room.wall_m + clear, out=p[2])
