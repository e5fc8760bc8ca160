"""Shapes that the rooms of a still are built of. Metres; x right, y up, z towards the viewer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from quoting.craft.solid.meshes import Mesh, Triangles
from studio.trade.ranges import FloatArray

FAR_M: Final = 16.0  # setting: how far a room reaches to either side
_CORNERS: Final = ((-1, -1), (1, -1), (1, 1), (-1, 1))
Place = tuple[float, float, float]


def moved(mesh: Mesh, place: Place) -> Mesh:
    """The mesh, moved by so much [m]."""
    return Mesh(mesh.places + np.array(place), mesh.normals, mesh.triangles)


def at(place: Sequence[float] | FloatArray, turn: FloatArray | None = None, size: float = 1.0) -> FloatArray:
    """A matrix (4, 4) that scales, turns and moves to a place [m].

    >>> (at((1.0, 2.0, 3.0), size=2.0) @ [1.0, 0.0, 0.0, 1.0]).tolist()
    [3.0, 2.0, 3.0, 1.0]
    """
    matrix = np.eye(4)
    matrix[:3, :3] = (np.eye(3) if turn is None else turn) * size
    matrix[:3, 3] = place
    return matrix


def about_y(angle: float) -> FloatArray:
    """The rotation (3, 3) about the upright axis by an angle [rad]."""
    cos, sin = np.cos(angle), np.sin(angle)
    return np.array([[cos, 0.0, sin], [0.0, 1.0, 0.0], [-sin, 0.0, cos]])


def any_turn(chance: np.random.Generator) -> FloatArray:
    """A rotation (3, 3) any way."""
    turned, _ = np.linalg.qr(chance.normal(size=(3, 3)))
    return turned


def facing(place: FloatArray, aim: FloatArray, size: tuple[float, float]) -> Mesh:
    """A rectangle of this width and height [m] at a place that turns its face to a point."""
    ahead = aim - place
    ahead /= np.linalg.norm(ahead)
    right = np.cross(ahead, [0.0, 1.0, 0.0])
    right /= np.linalg.norm(right)
    up = np.cross(right, ahead)
    corners = np.array([place + a * size[0] / 2 * right + b * size[1] / 2 * up for a, b in _CORNERS])
    return Mesh(corners, np.tile(ahead, (4, 1)), np.array([[0, 2, 1], [0, 3, 2]]))


def drawn_across(line: Sequence[tuple[float, float]], x: float, half_m: float = FAR_M) -> Mesh:
    """A sheet whose cut from the side is a line of heights and depths [m], facing up and the viewer."""
    heights, depths = np.array(line).T
    middles = np.full(len(line), x)
    left = np.column_stack([middles - half_m, heights, depths])
    right = np.column_stack([middles + half_m, heights, depths])
    return between(left, right)


def between(first: FloatArray, second: FloatArray) -> Mesh:
    """A ruled sheet between two lines (n, 3) [m]; both sides are lit alike."""
    n, k = len(first), np.arange(len(first) - 1)
    along = np.gradient((first + second) / 2, axis=0)
    normal = np.cross(along, second - first)
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
    faces: Triangles = np.concatenate(
        [np.column_stack([k, k + 1, k + n]), np.column_stack([k + n, k + 1, k + n + 1])]
    )
    return Mesh(np.concatenate([first, second]), np.concatenate([normal, normal]), faces)
