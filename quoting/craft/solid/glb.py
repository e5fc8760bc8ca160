"""A scene as a binary glTF file (GLB): one mesh a colour, a node a balloon or floral, true to scale, metres, y up.

Source: glTF 2.0 (ISO/IEC 12113:2022).
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final, TypeAlias, cast

import numpy as np

from quoting.craft.solid.meshes import Mesh, balloon
from quoting.craft.solid.printed import printed_face, spots
from quoting.craft.solid.scene import Ball, Paint, Scene, Solid
from quoting.craft.solid.stances import Stance
from studio.trade.colour import linear, srgb_from_hex
from studio.trade.ranges import FloatArray

# Numbers of the format. Source: glTF 2.0 (ISO/IEC 12113:2022), 3.6.2.2 and 4.4.
MAGIC: Final = 0x46546C67
JSON_CHUNK, BINARY_CHUNK = 0x4E4F534A, 0x004E4942
FLOAT, BYTE, SHORT, WIDE = 5126, 5121, 5123, 5125
ARRAY, ELEMENTS = 34962, 34963
CLAMPED: Final = 33_071
MOST_SHORT: Final = 65_535  # exact: the most that an unsigned short counts
MANY: Final = 1000
ROUGH: Final = (16, 9)
"""More balloons than this have fewer corners each: steps round the axis, and from crown to neck (settings, by eye)."""
PLACE_STEP, NORMAL_STEP, FINEST_STEP = 2.0**-11, 2.0**-8, 2.0**-20
"""Of corners of a floral, of normals and of other corners: steps that the eye can't tell, since short numbers pack
well (settings)."""
LIGHTEST: Final = 0.92
"""Of light thrown back in every channel; no latex is whiter (setting)."""

Values: TypeAlias = dict[str, object]


@dataclass(frozen=True, slots=True)
class Shine:
    """How a finish takes the light, as glTF has it: metalness and roughness, 0 to 1."""

    metal: float
    rough: float


SHINES: Final = {
    "plain": Shine(0.0, 0.42),
    "pearl": Shine(0.25, 0.35),
    "metallic": Shine(0.6, 0.35),
    "mirror": Shine(1.0, 0.08),
    "crystal": Shine(0.0, 0.1),
    "confetti": Shine(0.0, 0.12),
    "double-stuffed": Shine(0.0, 0.35),
}
"""Settings, by eye."""
METAL, CLOTH = Shine(0.9, 0.3), Shine(0.0, 0.85)  # settings, by eye
OVER_ANOTHER: Final = 0.6  # of a balloon over another one (setting, by eye)
INNER_SHARE: Final = 0.94  # its size beside the outer one's (setting, by eye; they touch)
CLEAR: Final = {"crystal": 0.45, "confetti": 0.4}
"""How much of a clear finish hides what is behind it (setting)."""


def glb(
    scene: Scene, notes: Sequence[Values] = (), prints: Mapping[str, bytes] = MappingProxyType({})
) -> bytes:
    """Write the scene as one binary glTF file. The same scene gives the same bytes.

    ``notes``: what to say beside of each balloon and then of each solid, in the scene's order (glTF's ``extras``).
    ``prints``: the images that covers are printed with, by digest; a cover whose image isn't there is plain. A balloon
    within another is a node of its own, and the outer one is seen through.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.solid.scene import scene_of
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> glb(scene_of(take_off(load_design(STARTERS / "table-garland.json"))))[:4]
    b'glTF'
    """
    parts = _Parts()
    shape = parts.mesh_data(balloon_of(scene))
    for colour, paint in enumerate(scene.paints):
        mine = [(place, ball) for place, ball in enumerate(scene.balls) if ball.colour == colour]
        if mine:
            mesh = parts.mesh(paint.name, shape, parts.material(_paint(paint)))
            for place, ball in mine:
                parts.node({"name": ball.name, "mesh": mesh, **_stance(ball), **_extras(notes, place)})
        if mine and paint.inner_hex:
            inner = parts.mesh(f"{paint.name} within", shape, parts.material(_paint(within(paint))))
            for place, ball in mine:
                stance = _stance(replace(ball, radius_m=INNER_SHARE * ball.radius_m))
                name = f"{ball.name}, the balloon within"
                parts.node({"name": name, "mesh": inner, **stance, **_extras(notes, place)})
    for place, solid in enumerate(scene.solids, start=len(scene.balls)):
        primitive, cloth = parts.mesh_data(solid.mesh), _cloth(solid)
        if printed := _printed(solid, prints):
            primitive, cloth = parts.printed(primitive, cloth, *printed)
        mesh = parts.mesh(solid.name, primitive, parts.material(cloth))
        named: Values = {"name": solid.name, **_extras(notes, place)}
        if solid.stances:
            parts.group(named, [{"mesh": mesh, **_stood(one)} for one in solid.stances])
        else:
            parts.node({**named, "mesh": mesh})
    return parts.file(scene.name)


def balloon_of(scene: Scene) -> Mesh:
    """The balloon that all balloons of a scene share: with fewer corners where there are many.

    >>> len(balloon_of(Scene("", (), (), ())).places)
    314
    """
    return balloon() if len(scene.balls) <= MANY else balloon(*ROUGH)


def paint_cover(paint: Paint) -> float:
    """How much of a paint hides what is behind it, 0 to 1.

    >>> paint_cover(Paint("oat", "Oat", "#EFE6D6", "plain")), paint_cover(Paint("air", "Air", "#FFFFFF", "crystal"))
    (1.0, 0.45)
    """
    return OVER_ANOTHER if paint.inner_hex else CLEAR.get(paint.finish, 1.0)


def within(paint: Paint) -> Paint:
    """The paint of the balloon that is within one of this paint.

    >>> within(Paint("deep", "Deep", "#EFE6D6", "double-stuffed", "#5A2A4A")).hex
    '#5A2A4A'
    """
    return Paint(paint.code, f"{paint.name} within", paint.inner_hex, "plain")


def light_of(code: str) -> list[float]:
    """A colour in linear light, never whiter than latex is.

    >>> light_of("#808080")
    [0.2159, 0.2159, 0.2159]
    """
    return [round(min(float(value), LIGHTEST), 4) for value in linear(srgb_from_hex(code))]


def turn_from_down(way: Sequence[float]) -> list[float]:
    """The unit quaternion (x, y, z, w) that turns straight down into ``way``, which is a unit vector.

    >>> turn_from_down((0.0, -1.0, 0.0))
    [0.0, 0.0, 0.0, 1.0]
    """
    x, y, z = way
    if y > 1 - 1e-9:
        return [1.0, 0.0, 0.0, 0.0]
    # The axis is down x way, w is 1 + down . way; both divided by their length.
    quaternion = np.array([-z, 0.0, x, 1 - y])
    quaternion /= math.sqrt(float(quaternion @ quaternion))
    return [round(float(value), 4) + 0.0 for value in quaternion]


# Private


def _printed(solid: Solid, prints: Mapping[str, bytes]) -> tuple[FloatArray, bytes] | None:
    """Where a cover's corners lie on its print, and the print; None where it is plain."""
    frame = solid.covers
    if frame is None or frame.cover_print is None or frame.cover_print.digest not in prints:
        return None
    image = printed_face(frame, prints[frame.cover_print.digest])
    return (spots(frame, solid.mesh), image) if image else None


def _extras(notes: Sequence[Values], place: int) -> Values:
    return {"extras": notes[place]} if notes else {}


@dataclass
class _Parts:
    """What a file is put together from."""

    binary: bytearray = field(default_factory=bytearray)
    views: list[Values] = field(default_factory=list)
    accessors: list[Values] = field(default_factory=list)
    materials: list[Values] = field(default_factory=list)
    meshes: list[Values] = field(default_factory=list)
    nodes: list[Values] = field(default_factory=list)
    within: set[int] = field(default_factory=set)
    images: list[Values] = field(default_factory=list)
    shapes: dict[int, Values] = field(default_factory=dict)

    def mesh_data(self, mesh: Mesh) -> Values:
        """Put places, normals, tones and triangles into the binary part; gives a primitive without material. The same
        mesh is put in once."""
        if id(mesh) not in self.shapes:
            self.shapes[id(mesh)] = self._mesh_data(mesh)
        return self.shapes[id(mesh)]

    def _mesh_data(self, mesh: Mesh) -> Values:
        places = _stepped(mesh.places, PLACE_STEP if mesh.tones is not None else FINEST_STEP).astype("<f4")
        bounds: Values = {"min": places.min(axis=0).tolist(), "max": places.max(axis=0).tolist()}
        small = len(places) <= MOST_SHORT
        indices = mesh.triangles.astype("<u2" if small else "<u4").tobytes()
        position = self._accessor(places.tobytes(), ARRAY, FLOAT, len(places), "VEC3", **bounds)
        normal = self._accessor(
            _stepped(mesh.normals, NORMAL_STEP).astype("<f4").tobytes(), ARRAY, FLOAT, len(places), "VEC3"
        )
        count = 3 * len(mesh.triangles)
        faces = self._accessor(indices, ELEMENTS, SHORT if small else WIDE, count, "SCALAR")
        attributes: Values = {"POSITION": position, "NORMAL": normal}
        if mesh.tones is not None:
            attributes["COLOR_0"] = self._tones(mesh.tones)
        return {"attributes": attributes, "indices": faces}

    def _tones(self, tones: FloatArray) -> int:
        """Tones as four bytes each, the last of which says that they hide what is behind them."""
        shown = np.full((len(tones), 4), 255, dtype=np.uint8)
        shown[:, :3] = np.round(np.clip(tones, 0, 1) * 255)
        return self._accessor(shown.tobytes(), ARRAY, BYTE, len(tones), "VEC4", normalized=True)

    def printed(
        self, primitive: Values, material: Values, spots_on: FloatArray, image: bytes
    ) -> tuple[Values, Values]:
        """A primitive and its material with a print, a JPEG, which takes the place of the colour."""
        data = spots_on.astype("<f4").tobytes()
        attributes = dict(cast("Values", primitive["attributes"]))
        attributes["TEXCOORD_0"] = self._accessor(data, ARRAY, FLOAT, len(spots_on), "VEC2")
        view: Values = {"buffer": 0, "byteOffset": len(self.binary), "byteLength": len(image)}
        self.views.append(view)
        self.binary += image + b"\0" * (-len(image) % 4)
        self.images.append({"bufferView": len(self.views) - 1, "mimeType": "image/jpeg"})
        surface = dict(cast("Values", material["pbrMetallicRoughness"]))
        surface |= {
            "baseColorFactor": [1.0, 1.0, 1.0, 1.0],
            "baseColorTexture": {"index": len(self.images) - 1},
        }
        return {**primitive, "attributes": attributes}, {**material, "pbrMetallicRoughness": surface}

    def material(self, values: Values) -> int:
        """The number of a material; alike ones are one."""
        if values not in self.materials:
            self.materials.append(values)
        return self.materials.index(values)

    def mesh(self, name: str, primitive: Values, material: int) -> int:
        self.meshes.append({"name": name, "primitives": [{**primitive, "material": material}]})
        return len(self.meshes) - 1

    def node(self, values: Values) -> None:
        self.nodes.append(values)

    def group(self, values: Values, members: Sequence[Values]) -> None:
        """A node and, after it, those that belong to it."""
        first = len(self.nodes) + 1
        numbers = range(first, first + len(members))
        self.nodes += [{**values, "children": list(numbers)}, *members]
        self.within.update(numbers)

    def file(self, name: str) -> bytes:
        document: Values = {
            "asset": {"version": "2.0", "generator": "Billowbook"},
            "scene": 0,
            "scenes": [{"name": name, "nodes": [k for k in range(len(self.nodes)) if k not in self.within]}],
            "nodes": self.nodes,
            "meshes": self.meshes,
            "materials": self.materials,
            "accessors": self.accessors,
            "bufferViews": self.views,
            "buffers": [{"byteLength": len(self.binary)}],
        }
        if self.images:
            document["images"] = self.images
            document["samplers"] = [{"wrapS": CLAMPED, "wrapT": CLAMPED}]
            document["textures"] = [{"source": k, "sampler": 0} for k in range(len(self.images))]
        text = json.dumps(document, separators=(",", ":"), ensure_ascii=False).encode()
        text += b" " * (-len(text) % 4)
        whole = 12 + 8 + len(text) + 8 + len(self.binary)
        head = struct.pack("<III", MAGIC, 2, whole)
        return b"".join(
            [
                head,
                struct.pack("<II", len(text), JSON_CHUNK),
                text,
                struct.pack("<II", len(self.binary), BINARY_CHUNK),
                self.binary,
            ]
        )

    def _accessor(self, data: bytes, target: int, kind: int, count: int, shape: str, **bounds: object) -> int:
        view: Values = {
            "buffer": 0,
            "byteOffset": len(self.binary),
            "byteLength": len(data),
            "target": target,
        }
        self.views.append(view)
        self.binary += data + b"\0" * (-len(data) % 4)
        values: Values = {
            "bufferView": len(self.views) - 1,
            "componentType": kind,
            "count": count,
            "type": shape,
            **bounds,
        }
        self.accessors.append(values)
        return len(self.accessors) - 1


def _stance(ball: Ball) -> Values:
    """Where a balloon is, how big, and turned so that its neck points to its knot."""
    stance: Values = {
        "translation": [round(value, 4) for value in ball.centre],
        "scale": [round(ball.radius_m, 4)] * 3,
    }
    turn = turn_from_down(ball.neck)
    return stance if turn == [0.0, 0.0, 0.0, 1.0] else {"rotation": turn, **stance}


def _stepped(values: FloatArray, step: float) -> FloatArray:
    return np.asarray(np.round(values / step) * step)


def _stood(stance: Stance) -> Values:
    return {
        "translation": [round(value, 3) for value in stance.place],
        "rotation": stance.quaternion,
        "scale": [round(stance.size, 3)] * 3,
    }


def _paint(paint: Paint) -> Values:
    shine = SHINES[paint.finish]
    clear = paint_cover(paint)
    values: Values = {
        "name": paint.name,
        "pbrMetallicRoughness": {
            "baseColorFactor": [*light_of(paint.hex), clear],
            "metallicFactor": shine.metal,
            "roughnessFactor": shine.rough,
        },
    }
    return values if clear == 1.0 else {**values, "alphaMode": "BLEND"}


def _cloth(solid: Solid) -> Values:
    shine = METAL if solid.metal else CLOTH
    values: Values = {
        "pbrMetallicRoughness": {
            "baseColorFactor": [*light_of(solid.hex), 1.0],
            "metallicFactor": shine.metal,
            "roughnessFactor": shine.rough,
        }
    }
    if solid.part == "florals":
        return {**values, "doubleSided": True}
    return {**values, "emissiveFactor": light_of(solid.hex)} if solid.lit else values
