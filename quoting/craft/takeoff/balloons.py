"""Every balloon of a set piece as placed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Balloons:
    """Every balloon as placed; arrays of one entry each.

    ``x, y, z`` [m], ``radius`` [m], ``size_in`` nominal, ``colour``: index into the palette, ``role``: index
    into design.ROLES, ``garland``: index into TakeOff.pieces, ``quad``: number of its quad within that piece
    (-1 for big rounds tied on; fillers count on from the last quad), ``station`` [m] along the route.
    """

    x: Array
    y: Array
    z: Array
    radius: Array
    size_in: Index
    colour: Index
    role: Index
    garland: Index
    quad: Index
    station: Array

    def __len__(self) -> int:
        return len(self.x)

    @property
    def centres(self) -> Array:
        return np.column_stack([self.x, self.y, self.z])
