"""The file that the renderer reads: lines of ``name = value``; beside it meshes in the PLY format and images as PNG.

Sources: the scene description of LuxCore (its reference manual), and the PLY polygon file format (Stanford, 1994).
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from PIL import Image

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
{more}element face {faces}
property list uchar uint vertex_indices
end_header
"""

Value = str | float | Sequence[float]


@dataclass(frozen=True, slots=True)
class StillFiles:
    """What a renderer needs: the scene in words, and by file name its meshes and images."""

    text: str
    parts: dict[str, bytes]


@dataclass
class SceneFile:
    """A scene that is being written."""

    lines: list[str] = field(default_factory=list)
    parts: dict[str, bytes] = field(default_factory=dict)
    known: set[str] = field(default_factory=set)

    def put(self, name: str, **values: Value) -> None:
        """Write values under a name; an underscore in a value's name stands for a dot."""
        self.lines += [
            f"scene.{name}.{key.replace('_', '.')} = {_written(value)}" for key, value in values.items()
        ]

    def is_new(self, name: str) -> bool:
        """Whether nothing of this name was asked for yet; from now on it is known."""
        fresh = name not in self.known
        self.known.add(name)
        return fresh

    def shape(self, name: str, mesh: Mesh, spread: FloatArray | None = None) -> None:
        """A mesh that objects can have; ``spread`` (n, 2) says where on an image each of its corners lies."""
        self.parts[f"{name}.ply"] = ply(mesh, spread)
        self.put(f"shapes.{name}", type="mesh", ply=f"{name}.ply")

    def object(self, name: str, *, shape: str, material: str, place: FloatArray | None = None) -> None:
        """Something to be seen; ``place`` is a matrix (4, 4) that turns, scales and moves its shape."""
        where: dict[str, Value] = {} if place is None else {"transformation": place.T.ravel().tolist()}
        self.put(f"objects.{name}", shape=shape, material=material, **where)

    def image(self, name: str, pixels: FloatArray) -> str:
        """Keep an image from 0 to 1, rows from the top: sRGB, or grey in fine steps; its file's name."""
        steps, kind = (255, np.uint8) if pixels.ndim == 3 else (65535, np.uint16)
        whole = np.round(np.clip(pixels, 0, 1) * steps).astype(kind)
        return self.image_file(name, png(Image.fromarray(whole)))

    def image_file(self, name: str, written: bytes) -> str:
        """Keep an image that is written already, as PNG; its file's name."""
        self.parts[f"{name}.png"] = written
        return f"{name}.png"

    def body(self, name: str, mesh: Mesh, material: str, spread: FloatArray | None = None) -> None:
        """An object with a shape of its own."""
        self.shape(name, mesh, spread)
        self.object(name, shape=name, material=material)

    def files(self) -> StillFiles:
        """What was written."""
        return StillFiles("\n".join(self.lines) + "\n", dict(self.parts))


def png(image: Image.Image) -> bytes:
    """An image as a PNG file.

    >>> png(Image.new("L", (2, 2)))[:4]
    b'\\x89PNG'
    """
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=3)
    return out.getvalue()


def ply(mesh: Mesh, spread: FloatArray | None = None) -> bytes:
    """A mesh with its normals and tones, and with the places (n, 2) of its corners on an image, as a binary PLY file.

    >>> from quoting.craft.solid.meshes import box
    >>> ply(box((1.0, 1.0, 1.0)))[:3]
    b'ply'
    """
    columns = [mesh.places, mesh.normals, *([] if spread is None else [spread])]
    fields = [("corner", "<f4", (sum(column.shape[1] for column in columns),))]
    more = "" if spread is None else "property float s\nproperty float t\n"
    if mesh.tones is not None:
        fields.append(("tone", "u1", (3,)))
        more += "".join(f"property uchar {name}\n" for name in ("red", "green", "blue"))
    corners = np.empty(len(mesh.places), dtype=fields)
    corners["corner"] = np.column_stack(columns)
    if mesh.tones is not None:
        corners["tone"] = np.round(np.clip(mesh.tones, 0, 1) * 255)
    faces = np.empty(len(mesh.triangles), dtype=_FACE)
    faces["count"], faces["corners"] = 3, mesh.triangles
    head = _HEAD.format(corners=len(corners), faces=len(faces), more=more)
    return head.encode() + corners.tobytes() + faces.tobytes()


# Private


def _written(value: Value) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    numbers: Iterable[float] = [value] if isinstance(value, int | float) else value
    return " ".join(f"{number:.6g}" for number in numbers)
