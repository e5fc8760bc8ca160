"""The rooms of a still: what stands around the piece and how it is lit. Figures are settings, by eye."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from quoting.craft.solid.meshes import Mesh, box
from quoting.craft.still.dressing import put_curtains, put_plant, put_portal
from quoting.craft.still.garden import put_garden
from quoting.craft.still.paints import Light, put_cloth, put_gloss, put_lamp
from quoting.craft.still.scene_file import SceneFile
from quoting.craft.still.shapes import FAR_M, Place, about_y, at, drawn_across, facing, moved
from quoting.craft.still.skies import put_sky_image, room_sky
from quoting.craft.still.stand import Stand

# Settings of the look, by eye.
COVE_M, CLEAR_M = 1.2, 0.05
"""Of the paper's round, and how far it begins behind the piece."""
STEPS: Final = 24
PAPER: Final = "#EADACE"
WALL, TRIM = "#DDD8CE", "#EFEBE3"
WARM: Final[Light] = (1.0, 0.965, 0.92)
COOL: Final[Light] = (0.9, 0.95, 1.0)
BOARDS: Final[tuple[Light, ...]] = (
    (0.34, 0.225, 0.138), (0.375, 0.252, 0.158), (0.315, 0.205, 0.122), (0.4, 0.278, 0.178),
)  # fmt: skip
BOARD_M, BOARD_LONG_M, GAP_M = 0.1, 0.5, 0.003
PARQUET_AHEAD_M: Final = 7.0
SKIRTING_M: Final = 0.14
PANES: Final = ((-1, 1), (0, 1), (1, 1), (-1, 0), (0, 0), (1, 0), (-1, -1), (0, -1), (1, -1))
PANE_M, PANE_APART_M = (0.42, 0.62), (0.47, 0.68)


def put_room(file: SceneFile, room: str, stand: Stand) -> None:
    """Write walls, floor, lamps and furniture of a room around the piece."""
    ROOMS[room](file, stand)
    if stand.hangs:
        put_portal(file, stand)


# Private


def _put_studio(file: SceneFile, stand: Stand) -> None:
    """A plain studio: a sheet of paper from the wall to the floor, one big soft lamp on the left, a weak one on the
    right."""
    put_cloth(file, "backdrop", PAPER)
    file.body("backdrop", _sweep(stand), "backdrop")
    _put_lamp(file, "key", stand, away=(-3.0, 2.4, 3.6), size=(2.3, 2.3), colour=WARM, gain=31)
    _put_lamp(file, "fill", stand, away=(4.2, 1.2, 3.2), size=(1.8, 2.8), colour=COOL, gain=2.4)
    put_sky_image(file, room_sky(0.95, 0.72, 0.46), 0.52)


def _put_hall(file: SceneFile, stand: Stand) -> None:
    """A hall: a panelled wall with curtains, a parquet floor, light from a tall window on the left."""
    put_cloth(file, "wall", WALL)
    put_cloth(file, "trim", TRIM)
    file.body("wall", drawn_across([(7.0, stand.wall_m), (0.0, stand.wall_m)], stand.x), "wall")
    for number, (low, size) in enumerate(_panels(stand)):
        file.body(f"panel{number}", moved(box(size), low), "trim")
    _put_parquet(file, stand)
    _put_window(file, stand)
    _put_lamp(file, "fill", stand, away=(3.9, 2.0, 3.4), size=(2.2, 2.2), colour=(1.0, 0.95, 0.88), gain=3.2)
    put_sky_image(file, room_sky(0.92, 0.7, 0.44), 0.46)
    put_curtains(file, stand)
    put_plant(file, "plant", (stand.x + stand.seen_m - 0.75, 0.0, stand.wall_m + 0.35))


def _put_lamp(
    file: SceneFile,
    name: str,
    stand: Stand,
    *,
    away: Place,
    size: tuple[float, float],
    colour: Light,
    gain: float,
) -> None:
    """A flat lamp so far from the piece's middle [m] that it turns to."""
    far = stand.size
    place = stand.middle + np.array(away) * far
    put_lamp(file, name, colour, gain)
    file.body(name, facing(place, stand.middle, (size[0] * far, size[1] * far)), name)


def _put_window(file: SceneFile, stand: Stand) -> None:
    """Panes of daylight: they light the room, and are seen again in everything that shines."""
    put_lamp(file, "pane", (1.0, 0.96, 0.91), 84)
    far = stand.size
    middle = stand.middle + np.array([-3.1, 1.7, 3.0]) * far
    ahead = (stand.middle - middle) / np.linalg.norm(stand.middle - middle)
    right = np.cross(ahead, [0.0, 1.0, 0.0])
    right /= np.linalg.norm(right)
    up = np.cross(right, ahead)
    for number, (across, high) in enumerate(PANES):
        place = middle + far * (across * PANE_APART_M[0] * right + high * PANE_APART_M[1] * up)
        file.body(f"pane{number}", facing(place, place + ahead, (PANE_M[0] * far, PANE_M[1] * far)), "pane")


def _put_parquet(file: SceneFile, stand: Stand) -> None:
    """Boards of four tones in a herringbone, which shine a little, on a dark ground."""
    for tone, colour in enumerate(BOARDS):
        put_gloss(file, f"board{tone}", colour)
    put_cloth(file, "joint", "#4A3826")
    far = [(-0.012, stand.wall_m - 1.0), (-0.012, stand.wall_m + FAR_M)]
    file.body("joint", drawn_across(far, stand.x), "joint")
    file.shape("board", box((BOARD_LONG_M - GAP_M, 0.02, BOARD_M - GAP_M)))
    chance = np.random.default_rng(3)
    for number, (place, turn) in enumerate(_herringbone(stand)):
        tone = int(chance.integers(len(BOARDS)))
        file.object(f"board{number}", shape="board", material=f"board{tone}", place=at(place, about_y(turn)))


def _herringbone(stand: Stand) -> Iterator[tuple[Place, float]]:
    """Middles of the boards and how they are turned: stairs of two boards at a right angle, stair beside stair."""
    half, deep = stand.seen_m * 1.4 + 0.6, PARQUET_AHEAD_M * stand.size
    rise, apart = BOARD_M * math.sqrt(2), BOARD_LONG_M * math.sqrt(2)
    long, broad = BOARD_LONG_M / 2, BOARD_M / 2
    middles = (((long, broad), math.pi / 4), ((broad, BOARD_M + long), -math.pi / 4))
    for column in range(-math.ceil(half / apart), math.ceil(half / apart) + 1):
        for row in range(math.ceil((deep + 1.0) / rise)):
            for (first, second), turn in middles:
                x = stand.x + column * apart + (first - second) / math.sqrt(2)
                z = stand.wall_m - 0.6 + row * rise + (first + second) / math.sqrt(2)
                yield (x, -0.01, z), -turn


def _sweep(stand: Stand) -> Mesh:
    """A wall that runs into the floor in a round, in one piece, so that no edge shows; flat where the piece stands."""
    turn = np.linspace(0, math.pi / 2, STEPS)
    rear = float(stand.low[2]) - COVE_M - CLEAR_M
    round_z = rear + COVE_M * (1 - np.sin(turn[::-1]))
    round_y = COVE_M * (1 - np.cos(turn[::-1]))
    upper = [(y, rear) for y in np.linspace(9.0, COVE_M + 0.2, 8)]
    lower = [(0.0, rear + z) for z in np.linspace(COVE_M + 0.2, FAR_M, 8)]
    return drawn_across([*upper, *zip(round_y, round_z, strict=True), *lower], stand.x)


def _panels(stand: Stand) -> list[tuple[Place, Place]]:
    """Middles and sizes of the trim: a skirting, a rail, and frames on the wall."""
    x, z = stand.x, stand.wall_m
    parts = [
        ((x, SKIRTING_M / 2, z), (2 * FAR_M, SKIRTING_M, 0.04)),
        ((x, 0.98, z), (2 * FAR_M, 0.06, 0.05)),
        ((x, 1.03, z), (2 * FAR_M, 0.02, 0.07)),
    ]
    for k in range(-5, 6):
        parts += _frame(x + 1.5 * k, z, 1.2, 1.25, 3.3) + _frame(x + 1.5 * k, z, 1.2, 0.28, 0.84)
    return parts


def _frame(x: float, z: float, wide: float, low: float, high: float) -> list[tuple[Place, Place]]:
    """A moulding round a panel."""
    return [
        *(((x + side * wide / 2, (low + high) / 2, z), (0.035, high - low, 0.034)) for side in (-1, 1)),
        *(((x, y, z), (wide + 0.035, 0.035, 0.034)) for y in (low, high)),
    ]


ROOMS: Final = {"studio": _put_studio, "hall": _put_hall, "garden": put_garden}
"""What writes each room."""
