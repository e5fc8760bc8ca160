"""Where something stands that there are several of: one mesh, moved, turned and scaled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial.transform import Rotation

from quoting.craft.solid.meshes import Mesh, together
from studio.trade.ranges import FloatArray


@dataclass(frozen=True, slots=True)
class Stance:
    """A place [m], a rotation (3, 3) and a size [times that of the mesh]."""

    place: tuple[float, float, float]
    turn: FloatArray
    size: float

    @property
    def matrix(self) -> FloatArray:
        """The matrix (4, 4) that scales, turns and moves."""
        matrix = np.eye(4)
        matrix[:3, :3] = self.turn * self.size
        matrix[:3, 3] = self.place
        return matrix

    @property
    def quaternion(self) -> list[float]:
        """The rotation as a unit quaternion (x, y, z, w). Source of the conversion: SciPy."""
        return [round(float(value), 4) + 0.0 for value in Rotation.from_matrix(self.turn).as_quat()]


def looking(way: Sequence[float] | FloatArray, face: Sequence[float] | FloatArray) -> FloatArray:
    """The rotation (3, 3) that turns x along ``way`` and z as far towards ``face`` as goes.

    >>> (looking((0.0, 1.0, 0.0), (0.0, 0.0, 1.0)) @ [1.0, 0.0, 0.0]).tolist()
    [0.0, 1.0, 0.0]
    """
    along = np.asarray(way, dtype=float) / np.linalg.norm(way)
    aside = np.cross(face, along)
    aside /= np.linalg.norm(aside)
    return np.column_stack([along, aside, np.cross(along, aside)])


def stood(mesh: Mesh, stances: Sequence[Stance]) -> Mesh:
    """The mesh in all its places as one; as it is where none is named."""
    if not stances:
        return mesh
    return together(
        [
            Mesh(
                one.size * mesh.places @ one.turn.T + np.array(one.place),
                mesh.normals @ one.turn.T,
                mesh.triangles,
                mesh.tones,
            )
            for one in stances
        ]
    )
