"""Where a piece stands in the room of a still: the box that it fills, and how much of the room is seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
HANGS_ABOVE_M: Final = 1.0
BEHIND_M: Final = 0.45
"""How far behind the piece the wall is."""
WIDE_M, HIGH_M = 2.9, 2.4
"""Of a piece that the lamps are set for; for a larger one they stand further away."""


@dataclass(frozen=True, slots=True)
class Stand:
    """The box that the piece fills [m], and the half of the width that is seen at the wall behind it [m]."""

    low: FloatArray
    high: FloatArray
    seen_m: float = 3.0

    @property
    def middle(self) -> FloatArray:
        return (self.low + self.high) / 2

    @property
    def x(self) -> float:
        """Its middle, to the right [m]."""
        return float(self.middle[0])

    @property
    def from_floor(self) -> FloatArray:
        """The lowest corner, brought down to the floor."""
        return np.array([self.low[0], 0.0, self.low[2]])

    @property
    def hangs(self) -> bool:
        """Whether nothing of it comes near the floor."""
        return float(self.low[1]) > HANGS_ABOVE_M

    @property
    def wall_m(self) -> float:
        """Where the wall behind it is, towards the viewer."""
        return float(self.low[2]) - BEHIND_M

    @property
    def size(self) -> float:
        """How many times as large it is as what the lamps are set for; at least 1."""
        across, up, _ = self.high - self.low
        return max(1.0, float(across) / WIDE_M, float(up) / HIGH_M)
