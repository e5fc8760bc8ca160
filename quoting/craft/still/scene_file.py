"""The file that the renderer reads: lines of ``name = value``, and meshes beside it in the PLY format.

Sources: the scene description of LuxCore (its reference manual), and the PLY polygon file format (Stanford, 1994).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from quoting.craft.solid.meshes import Mesh
from studio.trade.ranges import FloatArray

SCENE_FILE: Final = "scene.scn"
_FACE: Final = np.dtype([("count", "u1"), ("corners", "<u4", 3)])
_HEAD: Final = """ply
format binary_little_endian 1.0
element vertex {corners}
property float x
property float y
property float z
property float nx
property float ny
property float nz
element face {faces}
property list uchar uint vertex_indices
end_header
"""

Value = str | float | Sequence[float]


@dataclass(frozen=True, slots=True)
class StillFiles:
    """What a renderer needs: the scene in words, and its meshes by file name."""

    text: str
    meshes: dict[str, bytes]


@dataclass
class SceneFile:
    """A scene that is being written."""

    lines: list[str] = field(default_factory=list)
    meshes: dict[str, bytes] = field(default_factory=dict)

    def put(self, name: str, **values: Value) -> None:
        """Write values under a name; an underscore in a value's name stands for a dot."""
        self.lines += [
            f"scene.{name}.{key.replace('_', '.')} = {_written(value)}" for key, value in values.items()
        ]

    def shape(self, name: str, mesh: Mesh) -> None:
        """A mesh that objects can have."""
        self.meshes[f"{name}.ply"] = ply(mesh)
        self.put(f"shapes.{name}", type="mesh", ply=f"{name}.ply")

    def object(self, name: str, *, shape: str, material: str, place: FloatArray | None = None) -> None:
        """Something to be seen; ``place`` is a matrix (4, 4) that turns, scales and moves its shape."""
        where: dict[str, Value] = {} if place is None else {"transformation": place.T.ravel().tolist()}
        self.put(f"objects.{name}", shape=shape, material=material, **where)

    def body(self, name: str, mesh: Mesh, material: str) -> None:
        """An object with a shape of its own."""
        self.shape(name, mesh)
        self.object(name, shape=name, material=material)

    def files(self) -> StillFiles:
        """What was written."""
        return StillFiles("\n".join(self.lines) + "\n", dict(self.meshes))


def ply(mesh: Mesh) -> bytes:
    """A mesh with its normals as a binary PLY file.

    >>> from quoting.craft.solid.meshes import box
    >>> ply(box((1.0, 1.0, 1.0)))[:3]
    b'ply'
    """
    corners = np.column_stack([mesh.places, mesh.normals]).astype("<f4")
    faces = np.empty(len(mesh.triangles), dtype=_FACE)
    faces["count"], faces["corners"] = 3, mesh.triangles
    head = _HEAD.format(corners=len(corners), faces=len(faces))
    return head.encode() + corners.tobytes() + faces.tobytes()


# Private


def _written(value: Value) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    numbers: Iterable[float] = [value] if isinstance(value, int | float) else value
    return " ".join(f"{number:.6g}" for number in numbers)
