"""The rooms of a still: what stands around the piece and how it is lit. Figures are settings, by eye."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from quoting.craft.solid.florals import leaf_mesh
from quoting.craft.solid.meshes import Mesh, Triangles, box
from quoting.craft.still.paints import Light, put_cloth, put_lamp, put_leaf
from quoting.craft.still.scene_file import SceneFile
from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
FAR_M: Final = 16.0
HEDGE_LEAVES: Final = 3500
COVE_M: Final = 0.9
HANGS_ABOVE_M, BEAM_M = 1.0, 0.16
STEPS: Final = 10
BEHIND_M: Final = 0.45
"""How far behind the piece the wall is."""
WARM: Final[Light] = (1.0, 0.975, 0.945)
COOL: Final[Light] = (0.9, 0.95, 1.0)
BOARDS: Final = ((0.44, 0.33, 0.235), (0.48, 0.365, 0.26), (0.41, 0.305, 0.215), (0.52, 0.4, 0.29))
BOARD_M, GAP_M, BOARDS_ASIDE = 0.15, 0.003, 60
SKIRTING_M: Final = 0.14


@dataclass(frozen=True, slots=True)
class Stand:
    """The box that the piece fills [m]."""

    low: FloatArray
    high: FloatArray

    @property
    def middle(self) -> FloatArray:
        return (self.low + self.high) / 2

    @property
    def hangs(self) -> bool:
        """Whether nothing of it comes near the floor."""
        return float(self.low[1]) > HANGS_ABOVE_M

    @property
    def wall_m(self) -> float:
        """Where the wall behind it is, towards the viewer."""
        return float(self.low[2]) - BEHIND_M


def put_room(file: SceneFile, room: str, stand: Stand) -> None:
    """Write walls, floor and lamps of a room around the piece."""
    ROOMS[room](file, stand)
    if stand.hangs and room != "garden":
        _put_beam(file, stand)


# Private


def _put_studio(file: SceneFile, stand: Stand) -> None:
    """A plain studio: one sheet from the wall to the floor, a big soft lamp on the left, a weak one on the right."""
    put_cloth(file, "backdrop", "#E9E4DC")
    file.body("backdrop", _sweep(stand), "backdrop")
    _put_lamp(file, "key", stand, away=(-2.7, 2.6, 3.9), size=(1.5, 1.5), colour=WARM, gain=50)
    _put_lamp(file, "fill", stand, away=(4.2, 0.9, 3.4), size=(1.6, 2.6), colour=COOL, gain=8)
    _put_sky(file, (1.0, 0.985, 0.96), 0.6)


def _put_hall(file: SceneFile, stand: Stand) -> None:
    """A hall: a panelled wall, a floor of boards, evening light from lamps above."""
    put_cloth(file, "wall", "#D8D6D0")
    put_cloth(file, "trim", "#F2F0EB")
    file.body("wall", _upright(stand, high=7.0), "wall")
    for number, (low, size) in enumerate(_panels(stand)):
        file.body(f"panel{number}", _moved(box(size), low), "trim")
    _put_boards(file, stand)
    _put_lamp(file, "key", stand, away=(-2.0, 3.2, 3.0), size=(1.1, 1.1), colour=(1.0, 0.965, 0.92), gain=98)
    _put_lamp(file, "fill", stand, away=(3.8, 2.2, 3.2), size=(2.0, 2.0), colour=(0.95, 0.97, 1.0), gain=14)
    _put_sky(file, (1.0, 0.985, 0.965), 0.6)


def _put_garden(file: SceneFile, stand: Stand) -> None:
    """A garden at evening: a lawn, a hedge, a low warm sun and strings of small lamps."""
    file.put("textures.grass-noise", type="fbm", octaves=6.0, roughness=0.7)
    file.put("textures.grass-noise.mapping", type="globalmapping3d", transformation=_scaled(26.0))
    file.put(
        "textures.grass",
        type="mix",
        amount="grass-noise",
        texture1=(0.11, 0.15, 0.06),
        texture2=(0.19, 0.235, 0.11),
    )
    file.put("materials.lawn", type="matte", kd="grass")
    file.body("lawn", _floor(stand), "lawn")
    _put_hedge(file, stand)
    _put_lamp(file, "sun", stand, away=(-5.5, 2.2, 5.0), size=(1.6, 1.6), colour=(1.0, 0.78, 0.52), gain=165)
    _put_string_lights(file, stand)
    _put_sky(file, (0.86, 0.9, 1.0), 1.05)


def _put_beam(file: SceneFile, stand: Stand) -> None:
    """A beam that a hanging piece hangs from."""
    put_cloth(file, "beam", "#8A6B4B")
    x, y, z = (float(value) for value in (stand.middle[0], stand.high[1], stand.middle[2]))
    file.body("beam", _moved(box((2 * FAR_M, BEAM_M, BEAM_M)), (x, y + BEAM_M / 2, z)), "beam")


def _put_sky(file: SceneFile, colour: Light, gain: float) -> None:
    file.put("lights.sky", type="constantinfinite", color=colour, gain=(gain,) * 3)


def _put_lamp(
    file: SceneFile, name: str, stand: Stand, *, away: tuple[float, float, float], size: tuple[float, float],
    colour: Light, gain: float,
) -> None:  # fmt: skip
    """A flat lamp so far from the piece's middle [m] that it turns to."""
    size_m = stand.high - stand.low
    far = max(1.0, float(size_m[0]) / 2.9, float(size_m[1]) / 2.4)
    place = stand.middle + np.array(away) * far
    put_lamp(file, name, colour, gain)
    file.body(name, _facing(place, stand.middle, (size[0] * far, size[1] * far)), name)


def _put_boards(file: SceneFile, stand: Stand) -> None:
    """A floor of boards of four tones, laid towards the viewer, that shines a little."""
    for tone, colour in enumerate(BOARDS):
        file.put(
            f"materials.board{tone}",
            type="glossy2",
            kd=colour,
            ks=(0.03,) * 3,
            uroughness=0.2,
            vroughness=0.2,
        )
    chance = np.random.default_rng(3)
    middle, long = float(stand.middle[0]), 2 * FAR_M
    for number in range(-BOARDS_ASIDE, BOARDS_ASIDE):
        board = _moved(
            box((BOARD_M - GAP_M, 0.02, long)), (middle + number * BOARD_M, -0.01, stand.wall_m + long / 2)
        )
        file.body(f"plank{number}", board, f"board{int(chance.integers(len(BOARDS)))}")


def _put_hedge(file: SceneFile, stand: Stand) -> None:
    chance = np.random.default_rng(5)
    put_cloth(file, "hedge", "#66795A")
    back = stand.wall_m - 1.6
    put_leaf(file, "hedge-leaf", "#83976F")
    file.shape("hedge-leaf", leaf_mesh(0.2))
    file.body(
        "hedge", _moved(box((2 * FAR_M, 2.1, 0.6)), (float(stand.middle[0]), 1.05, back - 0.5)), "hedge"
    )
    for number in range(HEDGE_LEAVES):
        across = float(chance.uniform(-7.5, 7.5)) + float(stand.middle[0])
        place = np.eye(4)
        place[:3, :3] = _any_turn(chance) * chance.uniform(0.6, 1.2)
        place[:3, 3] = (across, chance.uniform(0.0, 2.2), back + chance.uniform(-0.25, 0.1))
        file.object(f"hedge{number}", shape="hedge-leaf", material="hedge-leaf", place=place)


def _put_string_lights(file: SceneFile, stand: Stand) -> None:
    """Two lines of small lamps between posts that are not seen."""
    put_lamp(file, "bulb", (1.0, 0.74, 0.42), 40)
    file.shape("bulb", box((0.032, 0.032, 0.032)))
    number = 0
    for back, high in ((stand.wall_m - 0.9, 3.05), (stand.wall_m - 0.3, 3.4)):
        for across in np.linspace(-6.5, 6.5, 27):
            place = np.eye(4)
            sag = 0.32 * (1 - ((across % 3.25) / 1.625 - 1) ** 2)
            place[:3, 3] = (float(stand.middle[0]) + across, high - sag, back)
            file.object(f"bulb{number}", shape="bulb", material="bulb", place=place)
            number += 1


def _sweep(stand: Stand) -> Mesh:
    """A wall that runs into the floor in a round."""
    turn = np.linspace(0, math.pi / 2, STEPS)
    round_z = stand.wall_m + COVE_M * (1 - np.sin(turn[::-1]))
    round_y = COVE_M * (1 - np.cos(turn[::-1]))
    line = [(8.0, stand.wall_m), *zip(round_y, round_z, strict=True), (0.0, stand.wall_m + FAR_M)]
    return _drawn_across([(y, z) for y, z in line], float(stand.middle[0]))


def _floor(stand: Stand) -> Mesh:
    return _drawn_across(
        [(0.0, stand.wall_m - FAR_M / 2), (0.0, stand.wall_m + FAR_M)], float(stand.middle[0])
    )


def _upright(stand: Stand, *, high: float) -> Mesh:
    return _drawn_across([(high, stand.wall_m), (0.0, stand.wall_m)], float(stand.middle[0]))


def _panels(stand: Stand) -> list[tuple[tuple[float, float, float], tuple[float, float, float]]]:
    """Middles and sizes of the trim: a skirting, a rail, and frames on the wall."""
    x, z = float(stand.middle[0]), stand.wall_m
    parts = [((x, SKIRTING_M / 2, z), (2 * FAR_M, SKIRTING_M, 0.04)), ((x, 0.98, z), (2 * FAR_M, 0.06, 0.05))]
    for k in range(-4, 5):
        left, right, low, high = x + 1.5 * k - 0.6, x + 1.5 * k + 0.6, 1.25, 3.1
        parts += [
            ((left, (low + high) / 2, z), (0.035, high - low, 0.03)),
            ((right, (low + high) / 2, z), (0.035, high - low, 0.03)),
            (((left + right) / 2, low, z), (right - left + 0.035, 0.035, 0.03)),
            (((left + right) / 2, high, z), (right - left + 0.035, 0.035, 0.03)),
        ]
    return parts


def _drawn_across(line: list[tuple[float, float]], x: float) -> Mesh:
    """A sheet whose cut from the side is a line of heights and depths, facing up and the viewer."""
    heights, depths = np.array(line).T
    n = len(line)
    left = np.column_stack([np.full(n, x - FAR_M), heights, depths])
    right = np.column_stack([np.full(n, x + FAR_M), heights, depths])
    along = np.gradient(np.column_stack([heights, depths]), axis=0)
    normal = np.column_stack([np.zeros(n), along[:, 1], -along[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    k = np.arange(n - 1)
    faces: Triangles = np.concatenate(
        [np.column_stack([k, k + 1, k + n]), np.column_stack([k + n, k + 1, k + n + 1])]
    )
    return Mesh(np.concatenate([left, right]), np.concatenate([normal, normal]), faces)


def _facing(place: FloatArray, aim: FloatArray, size: tuple[float, float]) -> Mesh:
    """A rectangle at a place that turns its face to a point."""
    ahead = aim - place
    ahead /= np.linalg.norm(ahead)
    right = np.cross(ahead, [0.0, 1.0, 0.0])
    right /= np.linalg.norm(right)
    up = np.cross(right, ahead)
    corners = np.array([place + a * size[0] / 2 * right + b * size[1] / 2 * up for a, b in _CORNERS])
    return Mesh(corners, np.tile(ahead, (4, 1)), np.array([[0, 2, 1], [0, 3, 2]]))


_CORNERS: Final = ((-1, -1), (1, -1), (1, 1), (-1, 1))


def _moved(mesh: Mesh, place: tuple[float, float, float]) -> Mesh:
    return Mesh(mesh.places + np.array(place), mesh.normals, mesh.triangles)


def _any_turn(chance: np.random.Generator) -> FloatArray:
    turned, _ = np.linalg.qr(chance.normal(size=(3, 3)))
    return turned


def _scaled(by: float) -> list[float]:
    return np.diag([by, by, by, 1.0]).ravel().tolist()


ROOMS: Final = {"studio": _put_studio, "hall": _put_hall, "garden": _put_garden}
"""What writes each room."""
