"""A garden at evening: a lawn of blades, a hedge of leaves, festoon lights, lanterns, a low warm sun.

Figures are settings of the look, by eye.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from quoting.craft.solid.florals import leaf_mesh
from quoting.craft.solid.meshes import Mesh, balloon, box, cylinder, together, tube
from quoting.craft.still.dressing import LANTERN_M, put_lantern
from quoting.craft.still.paints import put_cloth, put_lamp
from quoting.craft.still.scene_file import SceneFile
from quoting.craft.still.shapes import FAR_M, Place, about_y, any_turn, at, drawn_across, facing, moved
from quoting.craft.still.skies import put_evening_sky
from quoting.craft.still.stand import Stand
from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
SKY_GAIN: Final = 1.7
SUN: Final = (1.0, 0.74, 0.44)
SUN_GAIN, SUN_AWAY, SUN_M = 400, (-7.0, 3.0, 4.2), 1.3
FILL_GAIN, FILL_AWAY, FILL_M = 9.0, (3.5, 3.0, 5.5), 3.2
HEDGE_BACK_M, HEDGE_M = 2.3, 1.95
CLUMP_M, CLUMP_LEAVES, CLUMPS, HEDGE_LEAF_M = 0.2, 60, 1500, 0.098
LEAVES: Final = ("#6F8A54", "#7F9A5E", "#566F45")
PATCH_M, BLADES, BLADE_M = 0.5, 230, 0.0056
GRASSES: Final = ("#83994E", "#6C8542")
LAWN_AHEAD_M: Final = 5.0
LANTERN_BESIDE_M: Final = 0.3
NEARER: Final = 0.84
"""Of the width that is seen at the wall, what is seen where the piece stands, or less."""
BULB_M, BULB_GAIN = 0.028, 30.0
BULBS_APART_M: Final = 0.42
LEAST_CORD_M: Final = 2.25


def put_garden(file: SceneFile, stand: Stand) -> None:
    """Write the garden around a piece."""
    put_evening_sky(file, SKY_GAIN)
    _put_lawn(file, stand)
    _put_hedge(file, stand)
    _put_festoon(file, stand)
    _put_lanterns(file, stand)
    for name, away, size, colour, gain in (
        ("sun", SUN_AWAY, SUN_M, SUN, SUN_GAIN),
        ("fill", FILL_AWAY, FILL_M, (0.9, 0.94, 1.0), FILL_GAIN),
    ):
        put_lamp(file, name, colour, gain)
        lamp = stand.middle + np.array(away) * stand.size
        file.body(name, facing(lamp, stand.middle, (size * stand.size, size * stand.size)), name)


# Private


def _put_lawn(file: SceneFile, stand: Stand) -> None:
    """Earth, and patches of grass over it as far as single blades are seen."""
    put_cloth(file, "earth", "#5A6B38")
    far = [(0.0, stand.wall_m - 2.5 * FAR_M), (0.0, stand.wall_m + FAR_M)]
    file.body("earth", drawn_across(far, stand.x, 2.5 * FAR_M), "earth")
    chance = np.random.default_rng(3)
    for number, green in enumerate(GRASSES):
        put_cloth(file, f"grass{number}", green)
        file.shape(f"grass{number}", _patch(chance))
    half = stand.seen_m + 1.5
    across = np.arange(stand.x - half, stand.x + half, PATCH_M)
    back = np.arange(stand.wall_m - HEDGE_BACK_M, stand.wall_m + LAWN_AHEAD_M * stand.size, PATCH_M)
    spots = [(x, z, kind) for x in across for z in back for kind in range(len(GRASSES))]
    for number, (x, z, tone) in enumerate(spots):
        place = (x + chance.uniform(-0.2, 0.2), 0.0, z + chance.uniform(-0.2, 0.2))
        turn = about_y(chance.uniform(0, 2 * np.pi))
        file.object(f"lawn{number}", shape=f"grass{tone}", material=f"grass{tone}", place=at(place, turn))


def _patch(chance: np.random.Generator) -> Mesh:
    """A square of grass about the origin: bent blades of three corners each way."""
    flat = np.zeros(BLADES)
    x, z = chance.uniform(-0.52, 0.52, (2, BLADES)) * PATCH_M
    foot = np.column_stack([x, flat, z])
    way, high = chance.uniform(0, 2 * np.pi, BLADES), chance.uniform(0.025, 0.06, BLADES)
    bent = high * chance.uniform(0.2, 0.9, BLADES)
    lean = np.column_stack([np.cos(way) * bent, flat, np.sin(way) * bent])
    aside = np.column_stack([-np.sin(way), flat, np.cos(way)]) * BLADE_M
    tip = foot + lean + np.column_stack([flat, high, flat])
    places = np.stack([foot - aside, foot + aside, tip], axis=1).reshape(-1, 3)
    up = np.tile([0.0, 1.0, 0.0], (len(places), 1))
    return Mesh(places, up, np.arange(3 * BLADES).reshape(-1, 3))


def _put_lanterns(file: SceneFile, stand: Stand) -> None:
    """A lantern on either side, where the picture has room for it."""
    beside = float(stand.high[0] - stand.low[0]) / 2 + LANTERN_BESIDE_M
    if beside + LANTERN_M > NEARER * stand.seen_m:
        return
    for number, side in enumerate((-1, 1)):
        place = (stand.x + side * beside, 0.0, float(stand.middle[2]) + 0.25)
        put_lantern(file, f"lantern{number}", place)


def _put_hedge(file: SceneFile, stand: Stand) -> None:
    """Clumps of leaves on a dark body, so many that its top and face are soft and uneven."""
    put_cloth(file, "hedge", "#39472B")
    back, half = stand.wall_m - HEDGE_BACK_M, stand.seen_m * 1.7 + 1.0
    body = box((2 * half, HEDGE_M - 0.12, 0.7))
    file.body("hedge", moved(body, (stand.x, (HEDGE_M - 0.12) / 2, back - 0.55)), "hedge")
    chance = np.random.default_rng(5)
    for number, tone in enumerate(LEAVES):
        put_cloth(file, f"leaf{number}", tone)
        file.shape(f"leaf{number}", _clump(chance))
    count = round(CLUMPS * half / 4.5)
    for number in range(count):
        x, y, z = _in_hedge(chance, half)
        place = (stand.x + x, y, back + z)
        kind = f"leaf{int(chance.integers(len(LEAVES)))}"
        turned = at(place, any_turn(chance), chance.uniform(0.7, 1.2))
        file.object(f"hedge{number}", shape=kind, material=kind, place=turned)


def _in_hedge(chance: np.random.Generator, half: float) -> Place:
    """Where a clump is: its face swells, its top goes up and down, and there the clumps go all the way back."""
    x, y = chance.uniform(-half, half), HEDGE_M * chance.uniform(0, 1) ** 0.85
    swell = 0.07 * np.sin(2.1 * x + 3.0 * y) + 0.05 * np.sin(5.3 * x - 2.0 * y)
    top = 0.08 * np.sin(1.7 * x) + 0.05 * np.sin(4.1 * x + 1.0)
    deep = chance.uniform(-0.5, 0.0) if y > 0.9 * HEDGE_M else chance.uniform(-0.16, 0.04)
    return x, y * (1 + top / HEDGE_M), deep + swell - 0.15


def _clump(chance: np.random.Generator) -> Mesh:
    leaf, leaves = leaf_mesh(HEDGE_LEAF_M), []
    for _ in range(CLUMP_LEAVES):
        turn, size = any_turn(chance), chance.uniform(0.6, 1.1)
        out = chance.normal(size=3)
        place = out / np.linalg.norm(out) * CLUMP_M * chance.uniform(0.25, 0.8)
        leaves.append(Mesh(leaf.places @ turn.T * size + place, leaf.normals @ turn.T, leaf.triangles))
    return together(leaves)


def _put_festoon(file: SceneFile, stand: Stand) -> None:
    """Two lines of glowing bulbs on a dark cord, above and behind the piece."""
    put_lamp(file, "bulb", (1.0, 0.7, 0.36), BULB_GAIN)
    put_cloth(file, "cord", "#24231F")
    file.shape("bulb", balloon(12, 8))
    file.shape("socket", cylinder(0.018, 0.05))
    number = 0
    for line, curve in enumerate(_cords(stand)):
        file.body(f"cord{line}", tube(curve, 0.006, 5), "cord")
        for place in _along(curve):
            file.object(
                f"socket{number}", shape="socket", material="cord", place=at(place - [0.0, 0.05, 0.0])
            )
            file.object(
                f"bulb{number}",
                shape="bulb",
                material="bulb",
                place=at(place - [0.0, 0.075, 0.0], size=BULB_M),
            )
            number += 1


def _cords(stand: Stand) -> Iterator[FloatArray]:
    half, high = stand.seen_m + 0.8, max(LEAST_CORD_M, float(stand.high[1]) + 0.2)
    t = np.linspace(-1, 1, 60)
    for left, right, sag, back in ((0.75, 0.15, 0.5, -1.4), (0.1, 0.95, 0.45, -0.7)):
        heights = high + left * (1 - t) / 2 + right * (1 + t) / 2 - sag * (1 - t * t)
        yield np.column_stack([stand.x + t * half, heights, np.full_like(t, stand.wall_m + back)])


def _along(curve: FloatArray) -> Iterator[FloatArray]:
    gone = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(curve, axis=0), axis=1))])
    for where in np.arange(BULBS_APART_M / 2, gone[-1], BULBS_APART_M):
        yield np.array([np.interp(where, gone, curve[:, k]) for k in range(3)])
