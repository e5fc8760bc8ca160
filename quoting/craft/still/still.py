"""A still of a set piece: its scene in a room, seen from a place, written for the renderer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from quoting.craft.solid.meshes import balloon
from quoting.craft.solid.scene import Ball, Scene, Solid
from quoting.craft.still.camera import Camera, camera_before
from quoting.craft.still.paints import put_cloth, put_glow, put_latex, put_leaf, put_metal
from quoting.craft.still.rooms import Stand, put_room
from quoting.craft.still.scene_file import SceneFile, StillFiles
from studio.trade.ranges import FloatArray

RULES: Final = 1
"""Counted up where the same design comes to another still."""
FINE: Final = (56, 40)
"""Steps of a balloon round its axis and from crown to neck (setting: round at any size of the picture)."""
MOST_TURN_DEG: Final = 40
"""How far to either side a piece is looked at (setting)."""


@dataclass(frozen=True, slots=True)
class Look:
    """How a still shows a piece: in which room, from how far on the right [deg], how many pixels wide and high."""

    room: str = "studio"
    turn_deg: float = 0.0
    width: int = 1600
    height: int = 1250

    @property
    def aspect(self) -> float:
        return self.width / self.height


def still_files(scene: Scene, look: Look) -> StillFiles:
    """Write the scene for the renderer. The same scene and look give the same files.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.solid.scene import scene_of
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> scene = scene_of(take_off(load_design(STARTERS / "table-garland.json")))
    >>> still_files(scene, Look()).text.count("transformation") == len(scene.balls)
    True
    """
    file = SceneFile()
    stand = Stand(*bounds(scene))
    _put_paints(file, scene)
    put_room(file, look.room, stand)
    _put_balls(file, scene.balls)
    for number, solid in enumerate(scene.solids):
        file.body(f"solid{number}", solid.mesh, _material_of(file, solid))
    put_camera(
        file, camera_before(stand.low, stand.high, turn_deg=look.turn_deg, aspect=look.aspect), look.aspect
    )
    return file.files()


def bounds(scene: Scene) -> tuple[FloatArray, FloatArray]:
    """The lowest and the highest corner [m] of the box that all of a scene fills."""
    corners = np.array([*_ends(scene.balls), *(end for solid in scene.solids for end in _ends_of(solid))])
    return corners.min(axis=0), corners.max(axis=0)


def put_camera(file: SceneFile, camera: Camera, aspect: float) -> None:
    """Write the eye of a picture that is so many times as wide as high."""
    wide, high = max(aspect, 1.0), max(1 / aspect, 1.0)
    file.put(
        "camera",
        type="perspective",
        lookat_orig=camera.eye,
        lookat_target=camera.aim,
        up=(0.0, 1.0, 0.0),
        fieldofview=camera.opening_deg,
        screenwindow=(-wide, wide, -high, high),
    )


# Private


def _ends(balls: Sequence[Ball]) -> Iterator[FloatArray]:
    for ball in balls:
        centre = np.array(ball.centre)
        yield centre - ball.radius_m
        yield centre + ball.radius_m


def _ends_of(solid: Solid) -> tuple[FloatArray, FloatArray]:
    return solid.mesh.places.min(axis=0), solid.mesh.places.max(axis=0)


def _put_paints(file: SceneFile, scene: Scene) -> None:
    for number, paint in enumerate(scene.paints):
        put_latex(file, f"paint{number}", paint.hex, paint.finish)


def _put_balls(file: SceneFile, balls: Sequence[Ball]) -> None:
    file.shape("balloon", balloon(*FINE))
    for number, ball in enumerate(balls):
        place = np.eye(4)
        place[:3, :3] = turned_down_to(ball.neck) * ball.radius_m
        place[:3, 3] = ball.centre
        file.object(f"ball{number}", shape="balloon", material=f"paint{ball.colour}", place=place)


def turned_down_to(way: Sequence[float]) -> FloatArray:
    """The rotation (3, 3) that turns straight down into ``way``, which is a unit vector.

    >>> (turned_down_to((1.0, 0.0, 0.0)) @ [0.0, -1.0, 0.0]).tolist()
    [1.0, 0.0, 0.0]
    """
    down, aim = np.array([0.0, -1.0, 0.0]), np.array(way)
    cosine = float(down @ aim)
    if cosine < -1 + 1e-9:
        return np.diag([1.0, -1.0, -1.0])
    x, y, z = np.cross(down, aim)
    crossed = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    turned: FloatArray = np.eye(3) + crossed + crossed @ crossed / (1 + cosine)
    return turned


def _material_of(file: SceneFile, solid: Solid) -> str:
    """The name of what a solid is made of, written where it wasn't yet."""
    kind = "lamp" if solid.lit else "metal" if solid.metal else "leaf" if solid.part == "florals" else "cloth"
    name = f"{kind}-{solid.hex[1:].lower()}"
    if not any(line.startswith(f"scene.materials.{name}.") for line in file.lines):
        {"lamp": put_glow, "metal": put_metal, "leaf": put_leaf, "cloth": put_cloth}[kind](
            file, name, solid.hex
        )
    return name
