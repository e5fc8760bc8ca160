"""Every balloon of a set piece as placed."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.records import ROLES

Array = NDArray[np.float64]
Index = NDArray[np.int64]
BALLOON_ROLES = (*ROLES, "single", "inner")
"""Those of a mix, rounds that stand or float by themselves, and balloons within others."""
INNER = BALLOON_ROLES.index("inner")


@dataclass(frozen=True, slots=True)
class Balloons:
    """Every balloon as placed; arrays of one entry each.

    ``x, y, z`` [m], ``radius`` [m], ``size_in`` nominal, ``colour``: index into the palette, ``role``: index
    into BALLOON_ROLES, ``garland``: index into TakeOff.pieces, ``quad``: number of its quad within that piece
    (-1 for big rounds tied on; fillers count on from the last quad), ``station`` [m] along the route, ``inner``: colour
    of the balloon within it, index into ``doubles.every_colour`` (-1 for none).
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
    inner: Index

    def __len__(self) -> int:
        return len(self.x)

    def joined(self, others: Balloons) -> Balloons:
        """These balloons with others after them."""
        columns = ((getattr(self, field.name), getattr(others, field.name)) for field in fields(self))
        return Balloons(*(np.concatenate(pair) for pair in columns))

    def chosen(self, which: NDArray[np.bool_]) -> Balloons:
        """Those of them that are chosen."""
        return Balloons(*(getattr(self, field.name)[which] for field in fields(self)))

    def with_inner(self) -> Balloons:
        """These balloons, and after them the ones within others by themselves; ``colour`` counts through every colour
        then."""
        stuffed = self.inner >= 0
        if not stuffed.any():
            return self
        outer = self.chosen(stuffed)
        none, role = (np.full(len(outer), value, np.int64) for value in (-1, INNER))
        return replace(self, inner=np.full(len(self), -1, np.int64)).joined(
            replace(outer, colour=outer.inner, role=role, inner=none)
        )

    @property
    def centres(self) -> Array:
        return np.column_stack([self.x, self.y, self.z])
