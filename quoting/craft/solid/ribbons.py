"""Ribbons of floating balloons and the weights that hold them, as solids. Figures are settings of the look, by eye."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from quoting.craft.design.ribbons import Place, floating_ends
from quoting.craft.solid.meshes import Mesh, box, together, tube
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
RIBBON_M: Final = 0.0016
SIDES: Final = 3
STEPS: Final = 5
WEIGHT_M: Final = (0.11, 0.09, 0.11)


def ribbon_mesh(takeoff: TakeOff) -> Mesh | None:
    """All ribbons of a piece as one mesh; None where nothing floats."""
    lines = [*_of_bouquets(takeoff), *_of_singles(takeoff)]
    return together([tube(line, RIBBON_M, SIDES) for line in lines]) if lines else None


def weight_mesh(takeoff: TakeOff) -> Mesh | None:
    """All weights of a piece as one mesh; None where nothing floats."""
    design = takeoff.design
    feet = [(one.x_m, one.z_m) for one in design.bouquets]
    feet += [(x, z) for _, (x, _, z) in floating_ends(design)]
    block = box(WEIGHT_M)
    stand = [
        Mesh(block.places + np.array([x, WEIGHT_M[1] / 2, z]), block.normals, block.triangles)
        for x, z in feet
    ]
    return together(stand) if stand else None


# Private


def _of_bouquets(takeoff: TakeOff) -> Iterator[FloatArray]:
    """From a bouquet's one weight to each of its balloons, first straight up."""
    balloons, design = takeoff.balloons, takeoff.design
    first = len(design.garlands) + len(design.walls)
    for index, bouquet in enumerate(design.bouquets):
        foot = np.array([bouquet.x_m, WEIGHT_M[1], bouquet.z_m])
        for k in np.flatnonzero(balloons.garland == first + index):
            end = balloons.centres[k] - np.array([0.0, balloons.radius[k], 0.0])
            turn = np.array([foot[0], (foot[1] + end[1]) / 2, foot[2]])
            yield np.array([_between(foot, turn, end, t) for t in np.linspace(0, 1, STEPS)])


def _of_singles(takeoff: TakeOff) -> Iterator[FloatArray]:
    for _, (x, y, z) in floating_ends(takeoff.design):
        yield np.array([_foot(x, z), [x, max(y, 2 * WEIGHT_M[1]), z]])


def _foot(x: float, z: float) -> Place:
    return x, WEIGHT_M[1], z


def _between(start: FloatArray, turn: FloatArray, end: FloatArray, t: float) -> FloatArray:
    return np.asarray((1 - t) ** 2 * start + 2 * t * (1 - t) * turn + t * t * end)
