"""Leaves, picks, blooms and plumes as thin sheets, seen from both sides. Figures are settings of the look, by eye."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from quoting.craft.design.records import Floral
from quoting.craft.design.things import Spray
from quoting.craft.rigging.florals import Leaf
from quoting.craft.solid.meshes import Mesh, Triangles, together
from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
PETALS: Final = 7
INNER: Final = 5
FANS: Final = {"leaf": (-0.7, -0.35, 0.0, 0.35, 0.7), "plume": (-0.3, -0.1, 0.1, 0.3)}
"""How the blades of a pick or spray are turned from its own way [rad]; the picture gives sprays more (setting)."""
FINE, COARSE = (0.28, 0.58, 0.84), (0.45,)
"""Where along a blade its sides are, between foot and tip."""


Place = tuple[float, float, float]
Rows = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """The shape of a blade: how broad over its length, how far it leans to the viewer, how much it bends and folds."""

    breadth: float
    lean: float
    bend: float = 0.16
    fold: float = 0.22
    fullest: float = 0.8
    """Below 1 it is broadest near its foot, as a leaf is; above 1 near its tip, as a petal."""


# Settings of the look, by eye.
LEAF: Final = Cut(0.34, 0.25)
PLUME: Final = Cut(0.1, 0.2, bend=0.3)
PETAL: Final = Cut(0.62, 0.45, bend=-0.2, fold=0.3, fullest=1.7)
HEART: Final = Cut(0.7, 1.6, bend=-0.3, fold=0.4, fullest=1.7)
"""A petal of the middle, nearly upright."""


def leaves_of(floral: Floral, leaves: Sequence[Leaf], rows: Rows = FINE) -> Mesh | None:
    """All leaves of one floral of a garland as one mesh, each where it stands; None where it has none."""
    blades = [
        blade
        for leaf in leaves
        for blade in _blades(
            "" if floral.kind == "greenery" else floral.look,
            (leaf.x, leaf.y, leaf.z),
            leaf.angle,
            leaf.size_m,
            rows,
        )
    ]
    return together(blades) if blades else None


def spray_mesh(spray: Spray, rows: Rows = FINE) -> Mesh:
    """A placed floral, turned clockwise from upright as the picture has it.

    >>> from quoting.craft.design.things import Spray
    >>> mesh = spray_mesh(Spray(id="a", item="fern", label="Fern", hex="#7E9A78", size_m=0.4, x_m=1.0, y_m=2.0))
    >>> bool(1.7 < mesh.places[:, 1].min() < 1.9 and mesh.places[:, 1].max() > 2.1)
    True
    """
    upward = math.pi / 2 - math.radians(spray.turn_deg)
    foot = -spray.size_m / 2
    x, y = spray.x_m + foot * math.cos(upward), spray.y_m + foot * math.sin(upward)
    if spray.look == "bloom":
        x, y = spray.x_m, spray.y_m
    return together(list(_blades(spray.look, (x, y, spray.z_m), upward, spray.size_m, rows)))


def leaf_mesh(size_m: float) -> Mesh:
    """One leaf of this length [m], its foot at the origin, pointing to the right."""
    return _blade((0.0, 0.0, 0.0), 0.0, size_m, LEAF, FINE)


# Private


def _blades(look: str, foot: Place, angle: float, size_m: float, rows: Rows) -> Iterator[Mesh]:
    """The blades of one leaf ("") or of one pick, bloom or plume."""
    if look == "bloom":
        yield from _bloom(foot, angle, size_m / 2, rows)
    elif look == "plume":
        for turn in FANS["plume"]:
            for beside in (-0.05, 0.05):
                yield _blade(foot, angle + turn + beside, size_m * (1 - 0.5 * abs(turn)), PLUME, rows)
    else:
        for turn in FANS["leaf"] if look else (0.0,):
            yield _blade(foot, angle + turn, size_m * (1 - 0.3 * abs(turn)), LEAF, rows)


def _bloom(foot: Place, angle: float, radius_m: float, rows: Rows) -> Iterator[Mesh]:
    """Petals lying outwards, and others that stand in the middle."""
    for k in range(PETALS):
        yield _blade(foot, angle + 2 * math.pi * k / PETALS, radius_m, PETAL, rows)
    for k in range(INNER):
        yield _blade(foot, angle + 2 * math.pi * (k + 0.5) / INNER, 0.62 * radius_m, HEART, rows)


def _blade(foot: Place, angle: float, size_m: float, cut: Cut, rows: Rows) -> Mesh:
    along = np.array([math.cos(angle), math.sin(angle), cut.lean])
    along /= np.linalg.norm(along)
    aside = np.array([-math.sin(angle), math.cos(angle), 0.0])
    towards = np.cross(along, aside)
    towards *= 1.0 if towards[2] >= 0 else -1.0
    points = [np.zeros(3)]
    for share in rows:
        half = cut.breadth / 2 * math.sin(math.pi * share**cut.fullest)
        middle = share * along - cut.bend * share * share * towards
        raised = cut.fold * half * towards
        points += [middle + half * aside + raised, middle, middle - half * aside + raised]
    points.append(along - cut.bend * towards)
    places = np.array(foot) + size_m * np.array(points)
    return _both_sides(places, _faces(len(rows)))


@cache
def _faces(rows: int) -> Triangles:
    """Triangles of foot, rows of three and tip."""
    faces = [(0, 1, 2), (0, 2, 3)]
    for row in range(rows - 1):
        a, b = 1 + 3 * row, 4 + 3 * row
        faces += [(a, b, a + 1), (a + 1, b, b + 1), (a + 1, b + 1, a + 2), (a + 2, b + 1, b + 2)]
    last, tip = 1 + 3 * (rows - 1), 1 + 3 * rows
    faces += [(last, tip, last + 1), (last + 1, tip, last + 2)]
    return np.array(faces, dtype=np.int64)


def _both_sides(places: FloatArray, faces: Triangles) -> Mesh:
    a, b, c = (places[faces[:, k]] for k in range(3))
    flat = np.cross(b - a, c - a)
    normals = np.zeros_like(places)
    for k in range(3):
        np.add.at(normals, faces[:, k], flat)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    return Mesh(
        np.concatenate([places, places]),
        np.concatenate([normals, -normals]),
        np.concatenate([faces, faces[:, ::-1] + len(places)]),
    )
