"""A scene as a USDZ file, for phones that stand a model in a room from such a file: true to scale, metres, y up.

Source: OpenUSD's specification of the usdz file format (a zip archive, nothing compressed, every file's bytes beginning
at a multiple of 64) and of the text format usda; materials are UsdPreviewSurface.
"""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from quoting.craft.solid.glb import (
    CLOTH,
    INNER_SHARE,
    METAL,
    SHINES,
    Shine,
    balloon_of,
    light_of,
    paint_cover,
    turn_from_down,
)
from quoting.craft.solid.meshes import Mesh
from quoting.craft.solid.scene import Ball, Scene
from quoting.craft.solid.stances import Stance
from studio.trade.ranges import FloatArray

# Source: usdz specification, "Layout".
ALIGNED: Final = 64
ZIP_HEAD: Final = 30  # bytes of a local file header before the name (APPNOTE 6.3.9, 4.3.7)
PADDING_ID: Final = 0x1986
"""An extra field that nothing reads (APPNOTE 6.3.9, 4.5: ids of one's own)."""
LONG_AGO: Final = (1980, 1, 1, 0, 0, 0)
"""The date of every file within: the same scene gives the same bytes."""

HEAD: Final = """#usda 1.0
(
    customLayerData = {
        string creator = "Billowbook"
    }
    defaultPrim = "%s"
    metersPerUnit = 1
    upAxis = "Y"
)
"""


def usdz(scene: Scene) -> bytes:
    """Write the scene as one USDZ file. The same scene gives the same bytes.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.solid.scene import scene_of
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> made = usdz(scene_of(take_off(load_design(STARTERS / "table-garland.json"))))
    >>> zipfile.ZipFile(io.BytesIO(made)).namelist()
    ['model.usda', 'balloon.usda', 'floral1.usda']
    """
    files = {"model.usda": "".join(_model(scene))}
    if scene.balls:
        files["balloon.usda"] = HEAD % "Balloon" + "".join(_mesh("Balloon", balloon_of(scene)))
    for number, solid in enumerate(scene.solids):
        if solid.stances:
            files[f"floral{number}.usda"] = HEAD % "Floral" + "".join(
                _mesh("Floral", solid.mesh, both_sides=True)
            )
    return _packed(files)


# Private


def _packed(files: dict[str, str]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as package:
        for name, text in files.items():
            entry = zipfile.ZipInfo(name, LONG_AGO)
            entry.extra = _padding(buffer.tell() + ZIP_HEAD + len(name))
            package.writestr(entry, text.encode())
    return buffer.getvalue()


def _padding(so_far: int) -> bytes:
    """An extra field after which the file's bytes begin at a multiple of 64; its own head takes four bytes."""
    empty = -(so_far + 4) % ALIGNED
    return struct.pack("<HH", PADDING_ID, empty) + bytes(empty)


def _model(scene: Scene) -> Iterator[str]:
    yield HEAD % "Piece"
    yield 'def Xform "Piece" (\n    kind = "component"\n)\n{\n'
    yield 'def Scope "Materials"\n{\n'
    for number, paint in enumerate(scene.paints):
        yield _material(f"Paint{number}", light_of(paint.hex), SHINES[paint.finish], paint_cover(paint))
        if paint.inner_hex:
            yield _material(f"Within{number}", light_of(paint.inner_hex), SHINES["plain"], 1.0)
    for number, solid in enumerate(scene.solids):
        yield _material(f"Solid{number}", light_of(solid.hex), METAL if solid.metal else CLOTH, 1.0)
    yield "}\n"
    for number, ball in enumerate(scene.balls):
        yield _ball(f"Balloon{number}", ball, f"Paint{ball.colour}")
        if scene.paints[ball.colour].inner_hex:
            inner = replace(ball, radius_m=INNER_SHARE * ball.radius_m)
            yield _ball(f"Within{number}", inner, f"Within{ball.colour}")
    for number, solid in enumerate(scene.solids):
        if solid.stances:
            for place, stance in enumerate(solid.stances):
                yield _stood(f"Thing{number}x{place}", number, stance)
        else:
            yield from _mesh(f"Thing{number}", solid.mesh, f"</Piece/Materials/Solid{number}>")
    yield "}\n"


def _material(name: str, light: Iterable[float], shine: Shine, cover: float) -> str:
    return (
        f'def Material "{name}"\n{{\n'
        f"token outputs:surface.connect = </Piece/Materials/{name}/Surface.outputs:surface>\n"
        'def Shader "Surface"\n{\n'
        'uniform token info:id = "UsdPreviewSurface"\n'
        f"color3f inputs:diffuseColor = {_tuple(light)}\n"
        f"float inputs:metallic = {shine.metal:g}\n"
        f"float inputs:roughness = {shine.rough:g}\n"
        f"float inputs:opacity = {cover:g}\n"
        "token outputs:surface\n}\n}\n"
    )


def _ball(name: str, ball: Ball, paint: str) -> str:
    """A balloon where it is, turned so that its neck points to its knot; usda writes a quaternion w first."""
    x, y, z, w = turn_from_down(ball.neck)
    return _referred(name, "@balloon.usda@</Balloon>", paint, ball.centre, (w, x, y, z), ball.radius_m)


def _referred(
    name: str, mesh: str, paint: str, place: Iterable[float], turn: Iterable[float], size: float
) -> str:
    """A mesh of another file of the package, moved, turned and scaled."""
    return (
        f'def Mesh "{name}" (\n    prepend apiSchemas = ["MaterialBindingAPI"]\n'
        f"    prepend references = {mesh}\n)\n{{\n"
        f"rel material:binding = </Piece/Materials/{paint}>\n"
        f"double3 xformOp:translate = {_tuple(place)}\n"
        f"quatf xformOp:orient = {_tuple(turn)}\n"
        f"float3 xformOp:scale = {_tuple([size] * 3)}\n"
        'uniform token[] xformOpOrder = ["xformOp:translate", "xformOp:orient", "xformOp:scale"]\n}\n'
    )


def _stood(name: str, number: int, stance: Stance) -> str:
    """A floral where it stands."""
    x, y, z, w = stance.quaternion
    return _referred(
        name, f"@floral{number}.usda@</Floral>", f"Solid{number}", stance.place, (w, x, y, z), stance.size
    )


def _mesh(name: str, mesh: Mesh, material: str = "", *, both_sides: bool = False) -> Iterator[str]:
    low, high = mesh.places.min(axis=0).tolist(), mesh.places.max(axis=0).tolist()
    bound = ' (\n    prepend apiSchemas = ["MaterialBindingAPI"]\n)' if material else ""
    yield f'def Mesh "{name}"{bound}\n{{\n'
    yield f"rel material:binding = {material}\n" if material else ""
    yield "uniform bool doubleSided = 1\n" if both_sides else ""
    yield f"float3[] extent = [{_tuple(low)}, {_tuple(high)}]\n"
    yield f"int[] faceVertexCounts = [{', '.join(['3'] * len(mesh.triangles))}]\n"
    yield f"int[] faceVertexIndices = [{', '.join(map(str, mesh.triangles.ravel().tolist()))}]\n"
    yield f'normal3f[] normals = [{_rows(mesh.normals)}] (\n    interpolation = "vertex"\n)\n'
    yield f"point3f[] points = [{_rows(mesh.places)}]\n"
    yield 'uniform token subdivisionScheme = "none"\n}\n'


def _rows(rows: FloatArray) -> str:
    return ", ".join(_tuple(row) for row in rows.tolist())


def _tuple(values: Iterable[float]) -> str:
    return f"({', '.join(f'{round(value, 4) + 0.0:.6g}' for value in values)})"
