"""Triangles of the things that a set piece is built of: metres, counter-clockwise from outside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay

from quoting.craft.design.frames import Points, is_inside
from studio.trade.ranges import FloatArray

Triangles = NDArray[np.int64]

AROUND, DOWN = 24, 13
"""Steps of a balloon round its axis and from crown to neck (setting: round enough at arm's length)."""
NECK_AT: Final = 0.82
"""From here down, as a share of the way from crown to neck, a balloon draws in to its knot (common practice, no
source)."""
NECK_LONG: Final = 1.16
"""Where its knot is, in radii from the middle (common practice, no source; 1.1 to 1.3)."""
NECK_RADIUS: Final = 0.06  # in radii of the balloon (common practice, no source)
KNOT: Final = (
    (0.045, 1.13),
    (0.075, 1.145),
    (0.08, 1.165),
    (0.05, 1.185),
    (0.075, 1.215),
    (0.1, 1.25),
    (0.085, 1.262),
)
"""A knot and the lip under it: how wide and how far down, in radii of the balloon (setting, by eye)."""
TUBE_SIDES: Final = 8  # setting


@dataclass(frozen=True, slots=True)
class Mesh:
    """Places (n, 3) [m], unit normals (n, 3), and triangles (m, 3) by index.

    ``tones`` (n, 3): by what its colour is multiplied at each place, in linear light; None for 1 everywhere.
    """

    places: FloatArray
    normals: FloatArray
    triangles: Triangles
    tones: FloatArray | None = None

    @property
    def volume_m3(self) -> float:
        """What a closed mesh holds [m3], by the divergence theorem."""
        a, b, c = (self.places[self.triangles[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


@lru_cache(maxsize=4)
def balloon(around: int = AROUND, down: int = DOWN, *, tied: bool = False) -> Mesh:
    """A balloon of radius 1 about the origin, its neck pointing down to its knot at y = -1.16.

    In so many steps ``around`` its axis, and ``down`` from crown to neck; ``tied`` shows the knot and the lip under it.

    >>> mesh = balloon()
    >>> len(mesh.places), round(float(mesh.places[:, 0].max()), 2)
    (314, 1.0)
    """
    radius, height = _tied(*_profile(down)) if tied else _profile(down)
    low = KNOT[-1][1] if tied else NECK_LONG
    turn = np.linspace(0, 2 * math.pi, around, endpoint=False)
    rings = np.stack(
        [
            np.outer(radius, np.cos(turn)),
            np.repeat(height[:, None], around, axis=1),
            np.outer(radius, np.sin(turn)),
        ],
        axis=-1,
    )
    places = np.concatenate([[[0.0, 1.0, 0.0]], rings.reshape(-1, 3), [[0.0, -low, 0.0]]])
    return _closed(places, _revolved(len(radius), around))


def tube(line: FloatArray, radius_m: float, sides: int = TUBE_SIDES) -> Mesh:
    """A round tube along a line (n, 3) [m] with flat ends, which meet where the line is closed.

    >>> mesh = tube(np.array([[0.0, 0, 0], [0, 2.0, 0]]), 0.5)
    >>> round(mesh.volume_m3 / (math.pi * 0.25 * 2), 2)
    0.9
    """
    along = np.gradient(line, axis=0)
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    aside = np.cross(along, [0.0, 0.0, 1.0])
    short = np.linalg.norm(aside, axis=1) < 1e-6
    aside[short] = np.cross(along[short], [0.0, 1.0, 0.0])
    aside /= np.linalg.norm(aside, axis=1, keepdims=True)
    up = np.cross(aside, along)
    turn = np.linspace(0, 2 * math.pi, sides, endpoint=False)
    off = aside[:, None] * np.cos(turn)[None, :, None] + up[:, None] * np.sin(turn)[None, :, None]
    rings = line[:, None] + radius_m * off
    places = np.concatenate([rings.reshape(-1, 3), line[:1], line[-1:]])
    return _closed(places, _tube_triangles(len(line), sides))


def box(size_m: tuple[float, float, float]) -> Mesh:
    """A box about the origin, of these sides [m].

    >>> mesh = box((1.0, 2.0, 3.0))
    >>> round(mesh.volume_m3, 6)
    6.0
    """
    faces = []
    for axis in range(3):
        for sign in (-1.0, 1.0):
            normal = np.zeros(3)
            normal[axis] = sign
            first, second = np.roll(np.eye(3), 1, axis=0)[axis], np.roll(np.eye(3), 2, axis=0)[axis]
            if np.dot(np.cross(first, second), normal) < 0:
                first, second = second, first
            corners = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
            faces.append((np.array([normal + a * first + b * second for a, b in corners]), normal))
    places = np.concatenate([corners for corners, _ in faces]) * (np.array(size_m) / 2)
    normals = np.concatenate([np.repeat(normal[None], 4, axis=0) for _, normal in faces])
    quads = 4 * np.arange(len(faces))[:, None, None] + np.array([[0, 1, 2], [0, 2, 3]])
    return Mesh(places, normals, quads.reshape(-1, 3).astype(np.int64))


def cylinder(radius_m: float, height_m: float) -> Mesh:
    """An upright cylinder [m] that stands on the floor about the origin.

    >>> round(cylinder(0.5, 2.0).volume_m3 / (math.pi * 0.25 * 2), 2)
    1.0
    """
    turn = np.linspace(0, 2 * math.pi, 2 * AROUND, endpoint=False)
    circle = np.column_stack([np.cos(turn), np.sin(turn)]) * radius_m
    return sheet(circle, height_m, upright=False)


def sheet(outline: Points, thick_m: float, *, upright: bool = True) -> Mesh:
    """A flat shape (n, 2) [m] of some thickness: upright with its front at z = 0 and the rest behind, or lying with its
    underside at y = 0.

    >>> square = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    >>> round(sheet(square, 0.02).volume_m3, 4)
    0.02
    """
    ring = _counter_clockwise(_without_repeats(outline))
    standing = extruded([ring], _filled(ring), thick_m)
    if upright:
        return standing
    places, normals = standing.places, standing.normals
    return Mesh(
        np.column_stack([places[:, 0], places[:, 2] + thick_m, -places[:, 1]]),
        np.column_stack([normals[:, 0], normals[:, 2], -normals[:, 1]]),
        standing.triangles,
    )


def extruded(rings: Sequence[Points], faces: Triangles, thick_m: float) -> Mesh:
    """A flat shape of outlines (n, 2) [m], filled by triangles over all their points in turn: its front at z = 0.

    >>> square = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    >>> round(extruded([square], np.array([[0, 1, 2], [0, 2, 3]]), 0.5).volume_m3, 6)
    0.5
    """
    flat = np.concatenate(rings)
    front = np.column_stack([flat, np.zeros(len(flat))])
    back = np.column_stack([flat, np.full(len(flat), -thick_m)])
    n = len(flat)
    body = Mesh(
        np.concatenate([front, back]),
        np.concatenate([np.tile([0.0, 0, 1], (n, 1)), np.tile([0.0, 0, -1], (n, 1))]),
        np.concatenate([faces, faces[:, ::-1] + n]),
    )
    ends = np.cumsum([len(ring) for ring in rings])
    rims = [
        Mesh(*_rim(front[end - len(ring) : end], back[end - len(ring) : end]))
        for ring, end in zip(rings, ends, strict=True)
    ]
    return together([body, *rims])


def together(meshes: Sequence[Mesh]) -> Mesh:
    """Several meshes as one.

    >>> cube = box((1.0, 1.0, 1.0))
    >>> round(together([cube, cube]).volume_m3, 6)
    2.0
    """
    starts = np.cumsum([0, *(len(mesh.places) for mesh in meshes[:-1])])
    return Mesh(
        np.concatenate([mesh.places for mesh in meshes]),
        np.concatenate([mesh.normals for mesh in meshes]),
        np.concatenate([mesh.triangles + start for mesh, start in zip(meshes, starts, strict=True)]),
        _tones_of(meshes),
    )


# Private


def _tones_of(meshes: Sequence[Mesh]) -> FloatArray | None:
    if all(mesh.tones is None for mesh in meshes):
        return None
    return np.concatenate([np.ones_like(one.places) if one.tones is None else one.tones for one in meshes])


def _profile(down: int) -> tuple[FloatArray, FloatArray]:
    """Radius and height of the rings of a balloon, from under the crown to its neck: a sphere that draws in."""
    polar = np.linspace(0, math.pi, down + 2)[1:-1]
    radius, height = np.sin(polar), np.cos(polar)
    share = np.clip((polar / math.pi - NECK_AT) / (1 - NECK_AT), 0, 1)
    drawn = share * share * (3 - 2 * share)
    return radius * (1 - drawn) + NECK_RADIUS * drawn, height * (1 - drawn) - NECK_LONG * 0.97 * drawn


def _tied(radius: FloatArray, height: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The rings of a balloon and, below them, those of its knot and lip."""
    wide, low = np.array(KNOT).T
    return np.concatenate([radius, wide]), np.concatenate([height, -low])


def _revolved(rings: int, around: int) -> Triangles:
    """Triangles of a crown, rings and a lowest point, counter-clockwise from outside."""
    k = np.arange(around)
    after = (k + 1) % around
    crown = np.column_stack([np.zeros(around, np.int64), 1 + after, 1 + k])
    last = 1 + rings * around
    end = np.column_stack([np.full(around, last), last - around + k, last - around + after])
    body = []
    for ring in range(rings - 1):
        upper, lower = 1 + ring * around, 1 + (ring + 1) * around
        body.append(np.column_stack([upper + k, upper + after, lower + k]))
        body.append(np.column_stack([upper + after, lower + after, lower + k]))
    return np.concatenate([crown, *body, end])


def _tube_triangles(rings: int, sides: int) -> Triangles:
    k = np.arange(sides)
    after = (k + 1) % sides
    faces = []
    for ring in range(rings - 1):
        here, there = ring * sides, (ring + 1) * sides
        faces.append(np.column_stack([here + k, there + k, here + after]))
        faces.append(np.column_stack([here + after, there + k, there + after]))
    first, last = rings * sides, rings * sides + 1
    faces.append(np.column_stack([np.full(sides, first), k, after]))
    ends = (rings - 1) * sides
    faces.append(np.column_stack([np.full(sides, last), ends + after, ends + k]))
    return np.concatenate(faces)


def _closed(places: FloatArray, triangles: Triangles) -> Mesh:
    """A mesh with smooth normals, turned inside out where it was."""
    a, b, c = (places[triangles[:, k]] for k in range(3))
    flat = np.cross(b - a, c - a)
    normals = np.zeros_like(places)
    for k in range(3):
        np.add.at(normals, triangles[:, k], flat)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    mesh = Mesh(places, normals, triangles)
    return mesh if mesh.volume_m3 > 0 else Mesh(places, -normals, triangles[:, ::-1])


def _without_repeats(outline: Points) -> Points:
    steps = np.hypot(*(outline - np.roll(outline, 1, axis=0)).T)
    return np.asarray(outline[steps > 1e-6])


def _counter_clockwise(ring: Points) -> Points:
    x, y = ring.T
    area = np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)
    return ring if area > 0 else np.asarray(ring[::-1])


def _filled(ring: Points) -> Triangles:
    """Triangles that fill a simple outline: those of Delaunay's whose middle lies inside, counter-clockwise."""
    faces = Delaunay(ring).simplices
    faces = faces[is_inside(ring[faces].mean(axis=1), ring)]
    a, b, c = (ring[faces[:, k]] for k in range(3))
    turn = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    faces[turn < 0] = faces[turn < 0][:, ::-1]
    return np.asarray(faces, dtype=np.int64)


def _rim(front: FloatArray, back: FloatArray) -> tuple[FloatArray, FloatArray, Triangles]:
    """The edge of a sheet: a rectangle for every step of its outline, each with a normal of its own."""
    n = len(front)
    k, after = np.arange(n), (np.arange(n) + 1) % n
    places = np.stack([front[k], back[k], back[after], front[after]], axis=1).reshape(-1, 3)
    way = front[after] - front[k]
    outward = np.column_stack([way[:, 1], -way[:, 0], np.zeros(n)])
    outward /= np.maximum(np.linalg.norm(outward, axis=1, keepdims=True), 1e-12)
    faces = 4 * k[:, None, None] + np.array([[0, 1, 2], [0, 2, 3]])
    return places, np.repeat(outward, 4, axis=0), faces.reshape(-1, 3).astype(np.int64)
