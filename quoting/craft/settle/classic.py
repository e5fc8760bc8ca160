"""Classic work: columns, arches, swags, walls and bouquets placed in closed form from sphere packings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Bouquet, Frame, Garland, Wall
from quoting.craft.design.routes import Route
from quoting.craft.geometry import packing
from quoting.craft.settle.garland import CLUSTER
from studio.trade.errors import CraftError

Array = NDArray[np.float64]
Index = NDArray[np.int64]
BOUQUET_LAYER = 3  # balloons of a bouquet that float at one height (common practice, no source)


CELLS_A_COLUMN = 2  # balloons of a quad side by side, as seen from the front (setting)


@dataclass(frozen=True, slots=True)
class Packed:
    """Balloons of one classic piece: ``centres`` [m] (n, 3) as x, y, z; ring and seat of each; ``station`` [m]."""

    centres: Array
    radius_m: float
    ring: Index
    seat: Index
    station: Array


def packed_garland(garland: Garland, route: Route, frames: tuple[Frame, ...], path: str) -> Packed:
    """Pack a classic column, arch or swag along a route, its rings around the tube where it follows a frame."""
    entry = garland.mix[0]
    size = (entry.sized_low_m + entry.sized_high_m) / 2
    tubes = {frame.id: frame.tube_m for frame in frames if frame.shape != "column"}
    core = max((tubes.get(leg.frame, 0.0) for leg in garland.route), default=0.0)
    try:
        rings = packing.stack(CLUSTER[garland.cluster], size, core=core)
        piece = packing.along_line(_swapped(route.points), rings)
    except CraftError as error:
        raise _cannot_be_built(path, error) from None
    count = int(piece.ring.max()) + 1
    station = piece.ring * route.length_m / max(count - 1, 1)
    return Packed(_swapped(piece.centres), size / 2, piece.ring, piece.place, station.astype(float))


def packed_wall(wall: Wall, path: str) -> Packed:
    """Pack a wall of nested columns, centred on its line."""
    try:
        piece = packing.wall(wall.width_m, wall.height_m, packing.stack(CLUSTER[wall.cluster], wall.sized_m))
    except CraftError as error:
        raise _cannot_be_built(path, error) from None
    centres = _swapped(piece.centres)
    middle = (centres[:, 0].min() + centres[:, 0].max()) / 2
    centres = centres + np.array([wall.x_m - middle, 0.0, wall.z_m])
    rings = int(piece.ring.max()) + 1
    return Packed(
        centres, wall.sized_m / 2, piece.column * rings + piece.ring, piece.place, centres[:, 1].copy()
    )


def wall_cells(wall: Wall) -> tuple[int, int]:
    """Count the columns and rows of a wall as its grid has them: two columns of cells to a column of quads, a row to a
    ring. CraftError where it can't be built.

    >>> wall_cells(Wall(id="w", width_m=2.0, height_m=1.5, size_in=11, sized_m=0.23))
    (10, 8)
    """
    columns, rings = wall_columns(wall)
    return CELLS_A_COLUMN * columns, rings


def wall_columns(wall: Wall) -> tuple[int, int]:
    """Count the columns of a wall, and the rings of each. CraftError where it can't be built.

    >>> wall_columns(Wall(id="w", width_m=2.0, height_m=1.5, size_in=11, sized_m=0.23))
    (5, 8)
    """
    piece = packing.wall(wall.width_m, wall.height_m, packing.stack(CLUSTER[wall.cluster], wall.sized_m))
    return int(piece.column.max()) + 1, int(piece.ring.max()) + 1


def packed_bouquet(bouquet: Bouquet) -> Packed:
    """Balloons in layers of three beneath the top, the rest on its own at the top."""
    rings = packing.stack(BOUQUET_LAYER, bouquet.sized_m)
    layers = -(-bouquet.count // BOUQUET_LAYER)
    index = np.arange(layers * BOUQUET_LAYER)
    ring, seat = index // BOUQUET_LAYER, index % BOUQUET_LAYER
    angle = 2 * np.pi * seat / BOUQUET_LAYER + rings.turn * ring
    height = bouquet.top_m - bouquet.sized_m / 2 - (layers - 1 - ring) * rings.rise
    spread = np.where((ring == layers - 1) & (bouquet.count % BOUQUET_LAYER == 1), 0.0, rings.ring_radius)
    centres = np.column_stack(
        [bouquet.x_m + spread * np.sin(angle), height, bouquet.z_m + spread * np.cos(angle)]
    )[: bouquet.count]
    return Packed(
        centres, bouquet.sized_m / 2, ring[: bouquet.count], seat[: bouquet.count], centres[:, 1].copy()
    )


def _cannot_be_built(path: str, error: CraftError) -> DesignError:
    return DesignError(Fault(code=FaultCode.CANNOT_BE_BUILT, field=path, what=str(error)))


def _swapped(points: Array) -> Array:
    """x, y up, z forward to x, depth, up, and back."""
    return np.asarray(points)[:, [0, 2, 1]]
