"""Where leaves, picks, blooms and plumes stand, and how they are turned. Figures are settings of the look, by eye."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from quoting.craft.design.floral_kinds import LOOKS, kind_of
from quoting.craft.design.records import Floral
from quoting.craft.design.things import Spray
from quoting.craft.rigging.florals import Leaf
from quoting.craft.solid import botany
from quoting.craft.solid.botany import Detail, floral_mesh
from quoting.craft.solid.meshes import Mesh
from quoting.craft.solid.stances import Stance, looking
from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
SPRIG_LONG: Final = 2.0
"""A vine is seen as twigs that look out of it: so much longer than one of its leaves."""
ROLL: Final = 0.5
"""How far a sprig is rolled to either side [rad]."""
LEAN: Final = {"greenery": 0.3, "pick": 0.42, "spray": 0.5}
"""How far its way leads towards the viewer, beside 1 in the picture."""
ASIDE: Final = 0.3
"""How far a floral reaches to the side of its way, of its length."""
BLOOM_LEAN, BLOOM_OUT = 1.7, 0.3
"""How far a bloom looks at the viewer beside its own way, and how far it is brought out, of its size."""
PALER: Final = {"leaf": 0.1, "bloom": 0.12, "plume": 0.45}
"""How much white is in a floral's colour as it is seen."""
OUT_M: Final = {"greenery": 0.03, "pick": 0.05, "spray": 0.04}
"""How far its foot is brought out of the balloons among which it is set."""


def garland_floral(floral: Floral, leaves: Sequence[Leaf], detail: Detail) -> tuple[Mesh, tuple[Stance, ...]]:
    """One floral of a garland: its mesh, and where it stands for every leaf."""
    kind = kind_of(floral.look, floral.item, floral.label)
    stances = tuple(_stance(kind, floral, leaf, number) for number, leaf in enumerate(leaves))
    return floral_mesh(kind, branched=floral.kind == "spray", detail=detail), stances


def spray_stance(spray: Spray) -> Stance:
    """Where a placed floral stands, turned clockwise from upright as the picture has it.

    >>> from quoting.craft.design.things import Spray
    >>> spray = Spray(id="a", item="fern", label="Fern", hex="#7E9A78", size_m=0.4, x_m=1.0, y_m=2.0)
    >>> [round(value, 3) for value in spray_stance(spray).place]
    [1.0, 1.8, 0.1]
    """
    upward = math.pi / 2 - math.radians(spray.turn_deg)
    kind = kind_of(spray.look, spray.item, spray.label)
    if kind in LOOKS["bloom"]:
        return Stance((spray.x_m, spray.y_m, spray.z_m), _facing(upward), spray.size_m)
    foot = -spray.size_m / 2
    place = (spray.x_m + foot * math.cos(upward), spray.y_m + foot * math.sin(upward), spray.z_m)
    return Stance(place, looking(_way(upward, 0.0), (0.0, 0.0, 1.0)), spray.size_m)


def spray_mesh(spray: Spray, detail: Detail) -> Mesh:
    """The mesh of a placed floral: a branch where it is more than one stem."""
    kind = kind_of(spray.look, spray.item, spray.label)
    return floral_mesh(kind, branched=spray.kind == "spray", detail=detail)


def seen_hex(floral: Floral | Spray) -> str:
    """The colour of a floral in a model: paler than it is named, since its parts throw shade on one another.

    >>> from quoting.craft.design.things import Spray
    >>> seen_hex(Spray(id="a", item="pampas", label="Pampas", hex="#C8B48C", look="plume", x_m=0, y_m=1))
    '#E1D6C0'
    """
    pale = PALER[floral.look]
    red, green, blue = (int(floral.hex[k : k + 2], 16) for k in (1, 3, 5))
    return "#" + "".join(f"{round(c + pale * (255 - c)):02X}" for c in (red, green, blue))


def leaf_mesh(size_m: float) -> Mesh:
    """One leaf of this length [m], its foot at the origin, pointing to the right."""
    one = botany.leaf(botany.LEAF, botany.FINE.rows)
    return Mesh(one.places * size_m, one.normals, one.triangles)


# Private


def _stance(kind: str, floral: Floral, leaf: Leaf, number: int) -> Stance:
    place = (leaf.x, leaf.y, leaf.z + OUT_M[floral.kind])
    if kind in LOOKS["bloom"]:
        x, y, _ = np.array(place) + BLOOM_OUT * leaf.size_m * _way(leaf.angle, 0.0)
        return Stance(
            (float(x), float(y), place[2] + BLOOM_OUT * leaf.size_m), _facing(leaf.angle), leaf.size_m
        )
    roll = ROLL * math.sin(12.9898 * number + 3.1 * leaf.angle)
    size = leaf.size_m * (SPRIG_LONG if floral.kind == "greenery" else 1.0)
    angle = leaf.angle
    if leaf.y + size * (math.sin(angle) - ASIDE) < 0:  # what would reach into the floor looks up
        angle = abs(math.remainder(angle, 2 * math.pi))
    return Stance(place, _rolled(_way(angle, LEAN[floral.kind]), roll), size)


def _way(angle: float, lean: float) -> FloatArray:
    way = np.array([math.cos(angle), math.sin(angle), lean])
    return np.asarray(way / np.linalg.norm(way))


def _rolled(way: FloatArray, roll: float) -> FloatArray:
    """The rotation (3, 3) along a way, its face towards the viewer but for a roll [rad]."""
    aside = np.cross([0.0, 0.0, 1.0], way)
    return looking(way, np.array([0.0, 0.0, 1.0]) * math.cos(roll) + aside * math.sin(roll))


def _facing(angle: float) -> FloatArray:
    """The rotation (3, 3) of a bloom that looks at the viewer and a little its own way."""
    face = np.array([math.cos(angle), math.sin(angle), BLOOM_LEAN])
    return looking(_way(angle, -1 / BLOOM_LEAN), face)
