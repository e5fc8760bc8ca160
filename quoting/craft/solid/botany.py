"""Florals by their kind as thin sheets in space: what is set in at one place of a garland, drawn once.

A floral has its foot at the origin, its way along x and its face towards z; its length is 1. A bloom has its middle at
the origin and looks along z; it is 1 across. Leaves are seen from both sides. Every corner has a tone, by which the
floral's own colour is multiplied in linear light. All figures are settings of the look, by eye.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from quoting.craft.solid.meshes import Mesh, Triangles, together, tube
from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
GREEN: Final = (0.34, 0.62, 0.3)
"""What makes a pink of a petal the green of its leaves, more or less."""
TWIG: Final = (0.78, 0.58, 0.5)
STALK: Final = (0.62, 0.72, 0.55)
Tone = tuple[float, float, float]
Way = Sequence[float] | FloatArray
GOLDEN: Final = 2.399963  # a whole turn by the golden section [rad], exact


@dataclass(frozen=True, slots=True)
class Cut:
    """The shape of a leaf of length 1: how broad, how far it bends away from its face and folds along its rib."""

    breadth: float
    bend: float = 0.2
    fold: float = 0.25
    fullest: float = 0.8
    """Below 1 it is broadest near its foot, above 1 near its tip."""
    rounded: float = 1.0
    """Below 1 its outline is fuller than a pointed leaf's."""


# Settings of the look, by eye.
LEAF: Final = Cut(0.34)
ROUND: Final = Cut(0.86, bend=0.14, fold=0.16, fullest=0.92, rounded=0.55)
LANCE: Final = Cut(0.36, bend=0.26, fold=0.3, fullest=0.78)
PINNA: Final = Cut(0.26, bend=0.3, fold=0.2, fullest=0.7)
SEGMENT: Final = Cut(0.1, bend=0.1, fold=0.5, fullest=0.7)
HAIR: Final = Cut(0.09, bend=0.35, fold=0.0, fullest=0.6)


@dataclass(frozen=True, slots=True)
class Detail:
    """How much there is of what is small: rows of a leaf and of a petal, columns of a petal, pairs, hairs."""

    rows: tuple[float, ...]
    petal: tuple[int, int]
    pairs: int
    hairs: int
    hair_broad: float


# For pictures, and for models on a phone: settings, by eye.
FINE: Final = Detail((0.12, 0.32, 0.55, 0.8), (6, 7), 15, 700, 0.6)
COARSE: Final = Detail((0.3, 0.7), (3, 3), 9, 46, 2.4)


@cache
def floral_mesh(kind: str, *, branched: bool = False, detail: Detail = FINE) -> Mesh:
    """One floral of a kind, as often as it is asked for the same mesh; ``branched``: several on one stem.

    >>> mesh = floral_mesh("fern")
    >>> bool(0.9 < mesh.places[:, 0].max() < 1.1)
    True
    """
    return together(list(MADE[kind](detail, branched)))


@cache
def leaf(cut: Cut, rows: tuple[float, ...]) -> Mesh:
    """One leaf of length 1 along x, its face up along z, darker towards its foot."""
    points = [np.zeros(3)]
    shares = [0.0]
    for share in rows:
        half = cut.breadth / 2 * math.sin(math.pi * share**cut.fullest) ** cut.rounded
        rise = -cut.bend * share * share
        points += [
            np.array([share, half, rise + cut.fold * half]),
            np.array([share, 0.0, rise]),
            np.array([share, -half, rise + cut.fold * half]),
        ]
        shares += [share] * 3
    points.append(np.array([1.0, 0.0, -cut.bend]))
    shares.append(1.0)
    tones = np.repeat((0.72 + 0.28 * np.sqrt(shares))[:, None], 3, axis=1)
    return lit(np.array(points), _leaf_faces(len(rows)), tones)


def lit(places: FloatArray, faces: Triangles, tones: FloatArray) -> Mesh:
    """A sheet with smooth normals."""
    a, b, c = (places[faces[:, k]] for k in range(3))
    flat = np.cross(b - a, c - a)
    normals = np.zeros_like(places)
    for k in range(3):
        np.add.at(normals, faces[:, k], flat)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    return Mesh(places, normals, faces, tones)


def set_at(mesh: Mesh, foot: Way, way: Way, face: Way, size: float, tone: Tone | float = 1.0) -> Mesh:
    """A mesh with its foot at a place, turned along ``way`` with its face towards ``face``, so many times as large."""
    along = np.asarray(way, dtype=float) / np.linalg.norm(way)
    aside = np.cross(face, along)
    aside /= max(float(np.linalg.norm(aside)), 1e-9)
    turn = np.array([along, aside, np.cross(along, aside)])
    tones = None if mesh.tones is None else mesh.tones * np.asarray(tone)
    return Mesh(np.asarray(foot) + size * mesh.places @ turn, mesh.normals @ turn, mesh.triangles, tones)


# Private


@cache
def _leaf_faces(rows: int) -> Triangles:
    """Triangles of foot, rows of three and tip, counter-clockwise as the face is seen."""
    faces = [(0, 2, 1), (0, 3, 2)]
    for row in range(rows - 1):
        a, b = 1 + 3 * row, 4 + 3 * row
        faces += [(a, a + 1, b), (a + 1, b + 1, b), (a + 1, a + 2, b + 1), (a + 2, b + 2, b + 1)]
    last, tip = 1 + 3 * (rows - 1), 1 + 3 * rows
    faces += [(last, last + 1, tip), (last + 1, last + 2, tip)]
    return np.array(faces, dtype=np.int64)


def _stem(points: Sequence[Way], radius: float, tone: Tone) -> Mesh:
    made = tube(np.array(points, dtype=float), radius, 4)
    return Mesh(made.places, made.normals, made.triangles, np.tile(tone, (len(made.places), 1)))


def _bow(share: float, high: float = 0.16, aside: float = 0.05) -> FloatArray:
    """Where a stem is, so far along it: it rises from the garland and comes back."""
    return np.array([share, aside * math.sin(2.4 * share), high * math.sin(math.pi * 0.8 * share)])


def _eucalyptus(detail: Detail, branched: bool) -> Iterator[Mesh]:
    """Round leaves in pairs along a thin twig, smaller towards its tip, no two turned alike."""
    pairs, largest = (6, 0.24) if branched else (4, 0.32)
    yield _stem([_bow(share) for share in (0.0, 0.3, 0.6, 0.88)], 0.012, TWIG)
    blade = leaf(ROUND, detail.rows)
    for pair in range(pairs):
        share = 0.14 + 0.7 * pair / pairs
        size = largest * (1 - 0.42 * pair / pairs)
        for side in (-1, 1):
            spin = 0.55 * math.sin(5.1 * pair + 1.7 * side)
            way = (0.55 + 0.5 * pair / pairs, side, 0.3 + 0.35 * spin)
            tone = (0.7, 0.84, 1.0)[(pair + (side > 0)) % 3]
            yield set_at(blade, _bow(share), way, (0.3 * spin, -0.7 * side * spin, 1.0), size, tone)
    yield set_at(blade, _bow(0.86), (1.0, 0.1, 0.1), (0.0, 0.2, 1.0), 0.6 * largest)


def _ruscus(detail: Detail, branched: bool) -> Iterator[Mesh]:
    """Pointed leaves by turns to both sides of a bending stem."""
    many, largest = (13, 0.3) if branched else (9, 0.4)
    yield _stem([_bow(share) for share in (0.0, 0.3, 0.6, 0.9)], 0.011, STALK)
    blade = leaf(LANCE, detail.rows)
    for k in range(many):
        share, side = 0.06 + 0.76 * k / many, 1 if k % 2 else -1
        spin = 0.5 * math.sin(3.7 * k)
        way = (0.8 + 0.5 * k / many, side, 0.28 + 0.3 * spin)
        tone = (0.68, 0.84, 1.0)[k % 3]
        yield set_at(
            blade,
            _bow(share),
            way,
            (0.0, 0.5 * spin - 0.3 * side, 1.0),
            largest * (1 - 0.35 * k / many),
            tone,
        )
    yield set_at(blade, _bow(0.84), (1.0, 0.05, 0.0), (0.0, 0.2, 1.0), 0.16 / 0.84)


def _fern(detail: Detail, branched: bool) -> Iterator[Mesh]:
    """Long fronds from one foot, each with leaflets in pairs that grow shorter towards its tip."""
    fronds = ((0.0, 1.0, 0.16), (-0.72, 0.84, -0.3), (0.75, 0.8, 0.34))
    more = ((-0.36, 0.9, -0.2), (0.4, 0.92, 0.2)) if branched else ()
    for number, (turn, size, bow) in enumerate((*fronds, *more)):
        yield from _frond(detail, turn, size, bow, (1.0, 0.8, 0.68)[number % 3])


def _frond(detail: Detail, turn: float, size: float, bow: float, tone: float) -> Iterator[Mesh]:
    def at(share: float) -> FloatArray:
        bent = turn + 0.5 * bow * share
        rise = 0.3 * math.sin(math.pi * 0.75 * share)
        return size * np.array([math.cos(bent) * share, math.sin(bent) * share, rise])

    yield _stem([at(share) for share in (0.0, 0.35, 0.7, 1.0)], 0.009, STALK)
    blade = leaf(PINNA, detail.rows[1::2])
    for pair in range(detail.pairs):
        share = 0.1 + 0.88 * pair / detail.pairs
        ahead = at(share + 0.02) - at(share)
        ahead /= np.linalg.norm(ahead)
        aside = np.cross([0.0, 0.0, 1.0], ahead)
        long = size * (0.27 * math.sin(math.pi * (0.24 + 0.74 * pair / detail.pairs)) + 0.02)
        for side in (-1, 1):
            way = ahead * (0.35 + 0.5 * share) + side * aside
            yield set_at(
                blade, at(share), way, (0.0, -0.25 * side, 1.0), long, tone * (1.0 if side > 0 else 0.86)
            )


def _palm(detail: Detail, branched: bool) -> Iterator[Mesh]:
    """A fan: folded segments that spread from the end of a stalk."""
    many = 17 if branched else 13
    yield _stem([(0.0, 0.0, 0.0), (0.14, 0.0, 0.05), (0.26, 0.0, 0.06)], 0.016, STALK)
    blade = leaf(SEGMENT, detail.rows)
    for k in range(many):
        turn = -1.3 + 2.6 * k / (many - 1)
        way = (math.cos(turn), math.sin(turn), 0.22 * math.cos(turn))
        size = 0.76 * (1 - 0.16 * turn * turn / 1.7)
        yield set_at(blade, (0.25, 0.0, 0.06), way, (0.0, 0.0, 1.0), size, (1.0, 0.78)[k % 2])


def _pampas(detail: Detail, branched: bool) -> Iterator[Mesh]:
    """Fluffy plumes on bending stems: fine hairs that leave them all around, fullest below the middle."""
    plumes = ((0.0, 1.0, 0.1), (-0.3, 0.84, -0.34), (0.32, 0.8, 0.36)) if branched else ((0.0, 1.0, 0.12),)
    for turn, size, bow in plumes:
        yield from _plume(detail, turn, 0.88 * size, bow)


def _plume(detail: Detail, turn: float, size: float, bow: float) -> Iterator[Mesh]:
    def at(share: float) -> FloatArray:
        bent = turn + 0.6 * bow * share * share
        rise = 0.22 * math.sin(math.pi * 0.7 * share)
        return size * np.array([math.cos(bent) * share, math.sin(bent) * share, rise])

    yield _stem([at(share) for share in (0.0, 0.3, 0.6, 0.9)], 0.01, (0.6, 0.55, 0.38))
    hair = leaf(HAIR, detail.rows[:1])
    broad = Mesh(hair.places * [1.0, detail.hair_broad, 1.0], hair.normals, hair.triangles, hair.tones)
    chance = np.random.default_rng(23)
    for k in range(detail.hairs):
        share = 0.22 + 0.74 * (k + 0.5) / detail.hairs
        full = math.sin(math.pi * (0.12 + 0.84 * (share - 0.22) / 0.74)) ** 0.7
        ahead = at(share + 0.02) - at(share)
        ahead /= np.linalg.norm(ahead)
        around = k * GOLDEN
        out = np.array(
            [-math.sin(turn) * math.cos(around), math.cos(turn) * math.cos(around), math.sin(around)]
        )
        way = ahead + out * (0.4 + 0.75 * full) * chance.uniform(0.5, 1.25)
        long = size * (0.15 + 0.17 * full) * chance.uniform(0.7, 1.2)
        yield set_at(broad, at(share), way, out - 0.3 * ahead, long, chance.uniform(0.78, 1.0))


Ring = tuple[int, float, float, float, float]
# Settings of the look, by eye.
ROSE: Final[tuple[Ring, ...]] = (
    (5, 0.0, 0.5, 0.1, 1.0), (5, 0.63, 0.43, 0.17, 0.94), (5, 0.2, 0.33, 0.24, 0.86),
    (4, 0.5, 0.22, 0.29, 0.8), (3, 0.1, 0.14, 0.32, 0.72), (3, 0.9, 0.07, 0.33, 0.66),
)  # fmt: skip
PEONY: Final[tuple[Ring, ...]] = (
    (7, 0.0, 0.52, 0.12, 0.92), (7, 0.45, 0.47, 0.2, 0.96), (7, 0.2, 0.4, 0.27, 1.0), (6, 0.6, 0.32, 0.32, 0.95),
    (6, 0.1, 0.23, 0.35, 0.88), (5, 0.4, 0.14, 0.37, 0.82), (3, 0.2, 0.07, 0.38, 0.78),
)  # fmt: skip
"""Rings of petals from outside: how many, how they are turned, how far and how high they reach, their tone."""


def _rose(detail: Detail, branched: bool) -> Iterator[Mesh]:
    """Petals in rings that overlap and wind inwards, the outer ones fallen back, over a few green leaves."""
    del branched
    yield from _bloom(detail, ROSE, 0.0)


def _peony(detail: Detail, branched: bool) -> Iterator[Mesh]:
    """Fuller, and its petals ruffled."""
    del branched
    yield from _bloom(detail, PEONY, 0.05)


def _bloom(detail: Detail, rings: Sequence[Ring], ruffled: float) -> Iterator[Mesh]:
    blade = leaf(LANCE, detail.rows)
    for turn in (0.5, 2.7, 4.4):
        way = (math.cos(turn), math.sin(turn), -0.1)
        yield set_at(blade, (0.3 * way[0], 0.3 * way[1], -0.03), way, (0.0, 0.0, 1.0), 0.44, GREEN)
    for many, shift, reach, high, tone in rings:
        for k in range(many):
            yield _petal(
                detail, shift + 2 * math.pi * k / many, 1.35 * math.pi / many, reach, high, tone, ruffled
            )


def _petal(
    detail: Detail, turn: float, half: float, reach: float, high: float, tone: float, ruffled: float
) -> Mesh:
    """A petal as a part of a cup: it rises from the middle, opens, and its rim falls outwards."""
    rows, columns = detail.petal
    up = np.linspace(0.0, 1.0, rows + 1)[1:, None]
    across = np.linspace(-1.0, 1.0, columns)[None, :]
    rim = 1 - 0.22 * across**2 - ruffled * np.cos(9 * across + 7 * turn) * up
    radial = reach * (0.18 + 0.82 * up**1.25) * (1 - (1 - rim) * up)
    rise = high * np.sin(math.pi * 0.62 * up**0.75) * rim + ruffled * 0.5 * up * np.sin(8 * across + 5 * turn)
    angle = turn + half * across * np.sin(math.pi * (0.22 + 0.5 * up)) + 0.12 * across * across
    places = np.stack([radial * np.cos(angle), radial * np.sin(angle), rise + 0 * across], axis=-1).reshape(
        -1, 3
    )
    depth = np.broadcast_to(tone * (0.68 + 0.32 * up**0.8), (rows, columns)).reshape(-1, 1)
    # What lies deep in a bloom is warmer as well as darker: its light has gone through petals.
    tones = depth ** np.array([0.75, 1.1, 1.0])
    return lit(places, _grid(rows, columns), np.clip(tones, 0, 1))


@cache
def _grid(rows: int, columns: int) -> Triangles:
    """Triangles of rows of corners, counter-clockwise as seen from above where columns go counter-clockwise."""
    corner = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)[None, :]).ravel()
    return np.concatenate(
        [
            np.column_stack([corner, corner + columns, corner + 1]),
            np.column_stack([corner + 1, corner + columns, corner + columns + 1]),
        ]
    )


MADE: Final[dict[str, Callable[[Detail, bool], Iterator[Mesh]]]] = {
    "eucalyptus": _eucalyptus, "ruscus": _ruscus, "fern": _fern, "palm": _palm, "pampas": _pampas, "rose": _rose,
    "peony": _peony,
}  # fmt: skip
"""How each kind is made."""
