"""A still of a set piece: its scene in a room, seen from a place, written for the renderer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from quoting.craft.design.records import Frame
from quoting.craft.design.things import CONFETTI, DOUBLE_STUFFED
from quoting.craft.solid.meshes import balloon
from quoting.craft.solid.scene import Ball, Scene, Solid
from quoting.craft.still.backdrop import (
    Backdrop,
    Window,
    photo_camera,
    put_photo_camera,
    put_venue,
    window_of,
)
from quoting.craft.still.camera import EDGE, Camera, camera_before
from quoting.craft.still.cloth import is_table, put_cover, spread
from quoting.craft.still.dressing import TABLE_DEEP_M, put_cake, put_table
from quoting.craft.still.flecks import flecks
from quoting.craft.still.paints import (
    inner,
    put_cloth,
    put_flecks,
    put_latex,
    put_metal,
    put_sign_paint,
    put_toned_leaf,
)
from quoting.craft.still.rooms import put_room
from quoting.craft.still.scene_file import SceneFile, StillFiles
from quoting.craft.still.stand import BEHIND_M, Stand
from studio.trade.ranges import FloatArray

RULES: Final = 3
"""Counted up where the same design comes to another still (setting)."""
FINE: Final = (56, 40)
"""Steps of a balloon round its axis and from crown to neck (setting: round at any size of the picture)."""
WITHIN: Final = {CONFETTI: ("flecks", 1.0), DOUBLE_STUFFED: ("balloon", 0.84)}
"""What is seen in a balloon, and its size in shares of the balloon's (setting)."""
BLURRED: Final = ("garden",)
LENS_M: Final = 0.028
"""Radius of the lens where the background is out of focus (setting, by eye)."""
CAKE_AT: Final = 0.28  # setting: right of the table's middle, of its width
MOST_TURN_DEG: Final = 40
"""How far to either side a piece is looked at (setting)."""


@dataclass(frozen=True, slots=True)
class Look:
    """How a still shows a piece: in which room or before which photo, from how far on the right [deg], how many pixels
    wide and high."""

    room: str = "studio"
    turn_deg: float = 0.0
    width: int = 1600
    height: int = 1250
    backdrop: Backdrop | None = None

    @property
    def aspect(self) -> float:
        return self.width / self.height


def still_files(scene: Scene, look: Look, prints: Mapping[str, bytes] | None = None) -> StillFiles:
    """Write the scene for the renderer. The same scene and look give the same files.

    ``prints``: the images that covers are printed with, by digest; a cover whose image isn't there is plain.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.solid.scene import scene_of
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> scene = scene_of(take_off(load_design(STARTERS / "table-garland.json")))
    >>> still_files(scene, Look()).text.count('shape = "balloon"') == len(scene.balls)
    True
    """
    file = SceneFile()
    tables = [solid.covers for solid in scene.solids if solid.covers and is_table(solid.covers)]
    for number, table in enumerate(tables):
        _put_table(file, number, table)
    _put_paints(file, scene)
    _put_balls(file, scene)
    for number, solid in enumerate(scene.solids):
        _put_solid(file, number, solid, prints or {})
    if look.backdrop:
        _put_before_photo(file, scene, look, look.backdrop)
    else:
        _put_in_room(file, scene, look, tables)
    return file.files()


def window_in_photo(scene: Scene, look: Look, backdrop: Backdrop) -> Window:
    """The part of the photo that a still of this look shows."""
    return window_of(backdrop, float(bounds(scene)[1][1]), look.aspect)


def bounds(scene: Scene) -> tuple[FloatArray, FloatArray]:
    """The lowest and the highest corner [m] of the box that all of a scene fills."""
    corners = np.array([*_ends(scene.balls), *(end for solid in scene.solids for end in _ends_of(solid))])
    return corners.min(axis=0), corners.max(axis=0)


def put_camera(file: SceneFile, camera: Camera, aspect: float, *, focus_m: float | None = None) -> None:
    """Write the eye of a picture that is so many times as wide as high; what is away from its focus is blurred."""
    if focus_m is not None:
        file.put("camera", lensradius=LENS_M, focaldistance=focus_m)
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


def _put_in_room(file: SceneFile, scene: Scene, look: Look, tables: Sequence[Frame]) -> None:
    """The room of the look around the piece, seen from before it."""
    low, high = bounds(scene)
    stand = Stand(low, high)
    camera = camera_before(
        stand.from_floor if stand.hangs else low, high, turn_deg=look.turn_deg, aspect=look.aspect
    )
    low[2] = min([float(low[2]), *(table.z_m - TABLE_DEEP_M for table in tables)])
    stand = Stand(low, high, camera.half_width_m(float(low[2]) - BEHIND_M, look.aspect))
    put_room(file, look.room, stand)
    put_camera(
        file, camera, look.aspect, focus_m=camera.away_m(stand.middle) if look.room in BLURRED else None
    )


def _put_before_photo(file: SceneFile, scene: Scene, look: Look, backdrop: Backdrop) -> None:
    """A floor and light as in the photo, seen from where its camera was."""
    low, high = bounds(scene)
    middle = (low + high) / 2
    front = np.array([middle[0], 0.0, high[2]])
    camera = photo_camera(
        backdrop, window_in_photo(scene, look, backdrop), front, middle, look.turn_deg, EDGE / look.width
    )
    put_venue(file, backdrop.light, (float(middle[0]), float(middle[2])), look.turn_deg)
    put_photo_camera(file, camera)


def _ends(balls: Sequence[Ball]) -> Iterator[FloatArray]:
    for ball in balls:
        centre = np.array(ball.centre)
        yield centre - ball.radius_m
        yield centre + ball.radius_m


def _ends_of(solid: Solid) -> tuple[FloatArray, FloatArray]:
    places = solid.whole.places
    return places.min(axis=0), places.max(axis=0)


def _put_paints(file: SceneFile, scene: Scene) -> None:
    for number, paint in enumerate(scene.paints):
        put_latex(file, f"paint{number}", paint.hex, paint.finish, paint.inner_hex)
        if paint.finish == CONFETTI:
            put_flecks(file, f"paint{number}", paint.hex)


def _put_balls(file: SceneFile, scene: Scene) -> None:
    """Every balloon; and what is seen within those that are clear."""
    finishes = {paint.finish for paint in scene.paints}
    file.shape("balloon", balloon(*FINE, tied=True))
    if CONFETTI in finishes:
        file.shape("flecks", flecks())
    for number, ball in enumerate(scene.balls):
        paint, finish = f"paint{ball.colour}", scene.paints[ball.colour].finish
        place = _place_of(ball, 1.0)
        file.object(f"ball{number}", shape="balloon", material=paint, place=place)
        if finish in WITHIN:
            shape, size = WITHIN[finish]
            file.object(f"within{number}", shape=shape, material=inner(paint), place=_place_of(ball, size))


def _place_of(ball: Ball, size: float) -> FloatArray:
    place = np.eye(4)
    place[:3, :3] = turned_down_to(ball.neck) * ball.radius_m * size
    place[:3, 3] = ball.centre
    return place


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


def _put_table(file: SceneFile, number: int, front: Frame) -> None:
    """The table whose front a covered low board is, with a cake on it."""
    assert front.cover is not None
    size = (front.width_m - 0.01, front.height_m, TABLE_DEEP_M)
    put_table(file, f"table{number}", (front.x_m, front.base_m, front.z_m), size, front.cover.hex)
    if number == 0:
        place = (
            front.x_m + front.width_m * CAKE_AT,
            front.base_m + front.height_m,
            front.z_m - TABLE_DEEP_M / 2,
        )
        put_cake(file, place)


def _put_solid(file: SceneFile, number: int, solid: Solid, prints: Mapping[str, bytes]) -> None:
    name, frame = f"solid{number}", solid.covers
    if frame and is_table(frame) and not frame.cover_print:
        return
    if solid.stances:
        _put_stood(file, name, solid)
        return
    if solid.part == "sign":
        put_sign_paint(file, name, solid.hex, lit=solid.lit)
        file.body(name, solid.mesh, name)
        return
    if frame is None:
        file.body(name, solid.mesh, _material_of(file, solid))
        return
    put_cover(file, name, frame, prints.get(frame.cover_print.digest) if frame.cover_print else None)
    file.body(name, solid.mesh, name, spread(frame, solid.mesh))


def _put_stood(file: SceneFile, name: str, solid: Solid) -> None:
    """A mesh wherever it stands."""
    put_toned_leaf(file, name, solid.hex)
    file.shape(name, solid.mesh)
    for place, stance in enumerate(solid.stances):
        file.object(f"{name}-{place}", shape=name, material=name, place=stance.matrix)


def _material_of(file: SceneFile, solid: Solid) -> str:
    """The name of what a solid is made of, written where it wasn't yet."""
    kind = "metal" if solid.metal else "cloth"
    name = f"{kind}-{solid.hex[1:].lower()}"
    if file.is_new(name):
        {"metal": put_metal, "cloth": put_cloth}[kind](file, name, solid.hex)
    return name
