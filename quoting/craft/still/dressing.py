"""What a room of a still is furnished with: curtains, plants, lanterns, tables, chairs, a portal for what hangs.

None of it belongs to the piece, is counted or has a price. Figures are settings of the look, by eye.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from quoting.craft.solid.florals import leaf_mesh
from quoting.craft.solid.meshes import Mesh, box, cylinder, together, tube
from quoting.craft.still.paints import put_cloth, put_lamp, put_leaf, put_metal
from quoting.craft.still.scene_file import SceneFile
from quoting.craft.still.shapes import Place, about_y, any_turn, at, between, moved
from quoting.craft.still.stand import Stand
from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
CURTAIN_M, CURTAIN_HIGH_M, PLEATS, PLEAT_DEEP_M = 0.62, 4.6, 6, 0.055
CURTAIN: Final = "#EFE3D8"
PLANT_LEAVES, PLANT_LEAF_M = 260, 0.11
LANTERN_M, LANTERN_HIGH_M, CANDLE_GAIN = 0.2, 0.34, 9.0
TABLE_DEEP_M, TABLE_M, TABLE_HIGH_M = 0.7, (2.2, 0.75), 0.75
SIDE_STEPS, SIDE_PLEATS, HEM_WAVE_M = 120, 9, 0.018
POST_M, BEAM_M = 0.09, 0.14
TIMBER: Final = "#A88660"


def put_curtains(file: SceneFile, stand: Stand) -> None:
    """A curtain in pleats before the wall at either edge of the picture."""
    put_cloth(file, "curtain", CURTAIN)
    across = np.linspace(0.0, CURTAIN_M, 24 * PLEATS)
    wave = PLEAT_DEEP_M * (np.cos(2 * np.pi * PLEATS * across / CURTAIN_M) + 0.3 * np.sin(9.1 * across))
    for side in (-1, 1):
        x = stand.x + side * (stand.seen_m - 0.45 * CURTAIN_M) + side * (across - CURTAIN_M / 2)
        z = stand.wall_m + 0.1 + wave
        upper = np.column_stack([x, np.full_like(x, CURTAIN_HIGH_M), z])
        lower = np.column_stack([x, np.full_like(x, 0.015), z])
        mesh = between(lower, upper) if side < 0 else between(upper, lower)
        file.body(f"curtain{side + 1}", mesh, "curtain")


def put_plant(file: SceneFile, name: str, place: Place, high_m: float = 1.5) -> None:
    """A small tree in a pot."""
    chance = np.random.default_rng(17)
    put_cloth(file, f"{name}-pot", "#CFC3B2")
    put_cloth(file, f"{name}-stem", "#6B543D")
    put_leaf(file, f"{name}-leaf", "#7C9467")
    file.body(f"{name}-pot", moved(cylinder(0.17, 0.34), place), f"{name}-pot")
    stem = np.array([[0.0, 0.3, 0.0], [0.02, 0.5 * high_m, 0.01], [-0.01, 0.85 * high_m, 0.0]])
    file.body(f"{name}-stem", moved(tube(stem, 0.014, 6), place), f"{name}-stem")
    leaf, leaves = leaf_mesh(PLANT_LEAF_M), []
    for _ in range(PLANT_LEAVES):
        turn, out = any_turn(chance), chance.normal(size=3)
        off = out / np.linalg.norm(out) * 0.34 * chance.uniform(0.25, 1.0) ** 0.5 * np.array([1.0, 1.25, 0.8])
        spot = np.array([0.0, 0.72 * high_m, 0.0]) + off
        leaves.append(Mesh(leaf.places @ turn.T + spot, leaf.normals @ turn.T, leaf.triangles))
    file.body(f"{name}-leaf", moved(together(leaves), place), f"{name}-leaf")


def put_lantern(file: SceneFile, name: str, place: Place) -> None:
    """A lantern with a candle."""
    half, high, bar = LANTERN_M / 2, LANTERN_HIGH_M, 0.014
    put_metal(file, f"{name}-frame", "#3B352D", rough=0.35)
    put_cloth(file, f"{name}-wax", "#F3E9D2")
    put_lamp(file, f"{name}-flame", (1.0, 0.62, 0.26), CANDLE_GAIN * 4)
    posts = [moved(box((bar, high, bar)), (a * half, high / 2, b * half)) for a in (-1, 1) for b in (-1, 1)]
    plates = [moved(box((LANTERN_M + 0.02, bar, LANTERN_M + 0.02)), (0.0, y, 0.0)) for y in (bar / 2, high)]
    roof = moved(box((0.6 * LANTERN_M, 0.05, 0.6 * LANTERN_M)), (0.0, high + 0.03, 0.0))
    ring = np.linspace(0, 2 * np.pi, 17)
    handle = np.column_stack([0.05 * np.cos(ring), high + 0.1 + 0.05 * np.sin(ring), 0 * ring])
    frame = together([*posts, *plates, roof, tube(handle, 0.005, 6)])
    file.body(f"{name}-frame", moved(frame, place), f"{name}-frame")
    file.body(f"{name}-wax", moved(cylinder(0.04, 0.16), (place[0], place[1] + bar, place[2])), f"{name}-wax")
    flame = (place[0], place[1] + bar + 0.165, place[2])
    file.body(f"{name}-flame", moved(cylinder(0.012, 0.035), flame), f"{name}-flame")


def put_table(file: SceneFile, name: str, front: Place, size: Place, cloth: str) -> None:
    """A table under a cloth that reaches the floor: the middle of its front, its width, height and depth [m]."""
    put_cloth(file, name, cloth)
    wide, high, deep = size
    x, _, z = front
    line, waved = _hem(wide, deep)
    upper = np.column_stack([line[:, 0] + x, np.full(len(line), high), line[:, 1] + z])
    lower = np.column_stack([waved[:, 0] + x, np.full(len(line), 0.01), waved[:, 1] + z])
    file.body(name, between(lower, upper), name)
    file.body(f"{name}-top", moved(box((wide, 0.012, deep)), (x, high, z - deep / 2)), name)


def put_cake(file: SceneFile, place: Place) -> None:
    """A cake of two tiers on a stand."""
    put_cloth(file, "cake", "#F7F1E8")
    put_metal(file, "cake-stand", "#D8C08A", rough=0.18)
    plate = [cylinder(0.09, 0.012), cylinder(0.025, 0.1), moved(cylinder(0.17, 0.014), (0.0, 0.1, 0.0))]
    tiers = [
        moved(cylinder(radius, high), (0.0, y, 0.0))
        for radius, high, y in ((0.14, 0.14, 0.114), (0.105, 0.13, 0.254), (0.07, 0.12, 0.384))
    ]
    file.body("cake-stand", moved(together(plate), place), "cake-stand")
    file.body("cake", moved(together(tiers), place), "cake")


def put_chair(file: SceneFile, name: str, place: Place, turn: float) -> None:
    """A plain wooden chair, its front towards the viewer where it isn't turned [rad]."""
    put_cloth(file, f"{name}-wood", "#C9AE86")
    put_cloth(file, f"{name}-seat", "#F1E9DC")
    legs = [moved(box((0.032, 0.45, 0.032)), (a * 0.19, 0.225, b * 0.19)) for a in (-1, 1) for b in (-1, 1)]
    rear = [moved(box((0.03, 0.48, 0.03)), (a * 0.19, 0.68, -0.19)) for a in (-1, 1)]
    bars = [moved(box((0.38, 0.05, 0.022)), (0.0, y, -0.19)) for y in (0.62, 0.76, 0.9)]
    seat = moved(box((0.42, 0.05, 0.42)), (0.0, 0.47, 0.0))
    file.shape(f"{name}-wood", together([*legs, *rear, *bars]))
    file.shape(f"{name}-seat", seat)
    for part in ("wood", "seat"):
        file.object(
            f"{name}-{part}",
            shape=f"{name}-{part}",
            material=f"{name}-{part}",
            place=at(place, about_y(turn)),
        )


def put_portal(file: SceneFile, stand: Stand) -> None:
    """A beam on two posts for a piece that hangs, and a laid table under it."""
    put_cloth(file, "timber", TIMBER)
    z, top = float(stand.middle[2]), float(stand.high[1])
    left, right = float(stand.low[0]) - POST_M / 2, float(stand.high[0]) + POST_M / 2
    beam = moved(box((right - left + 0.3, BEAM_M, BEAM_M)), ((left + right) / 2, top + BEAM_M / 2, z))
    posts = [moved(box((POST_M, top, POST_M)), (x, top / 2, z)) for x in (left, right)]
    file.body("portal", together([beam, *posts]), "timber")
    wide = min(TABLE_M[0], 0.6 * (right - left))
    put_table(file, "laid", (stand.x, 0.0, z + TABLE_M[1] / 2), (wide, TABLE_HIGH_M, TABLE_M[1]), "#F1ECE3")
    for number, side in enumerate((-1, 1)):
        place = (stand.x + side * (wide / 2 + 0.35), 0.0, z + 0.1)
        put_chair(file, f"chair{number}", place, -side * np.pi / 2 + side * 0.35)


# Private


def _hem(wide: float, deep: float) -> tuple[FloatArray, FloatArray]:
    """The edge of a table once round (n, 2) from its front's left, and the hem that hangs under it in pleats."""
    sides = np.array([[-wide / 2, 0], [-wide / 2, -deep], [wide / 2, -deep], [wide / 2, 0], [-wide / 2, 0]])
    share = np.linspace(0, 1, SIDE_STEPS, endpoint=False)[:, None]
    line = np.concatenate([*(a + share * (b - a) for a, b in pairwise(sides)), sides[:1]])
    wave = HEM_WAVE_M * (1 + np.sin(2 * np.pi * SIDE_PLEATS * np.arange(len(line)) / SIDE_STEPS))
    out = line - np.array([0.0, -deep / 2])
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    return line, line + out * wave[:, None]
