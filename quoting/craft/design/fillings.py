"""What fills a frame: the bars of a ladder or a grid, shimmering panels."""

from __future__ import annotations

from typing import Final

import numpy as np

from quoting.craft.design.frames import Points, face
from quoting.craft.design.records import Frame

BAR_M: Final = 0.006
"""Diameter of one bar. Common practice, no source; 4 to 10 mm."""
RUNG_STEP_M: Final = 0.30
"""From one rung of a ladder to the next. Common practice, no source; 0.25 to 0.4."""
GRID_STEP_M: Final = 0.20
"""Mesh of a grid. Common practice, no source; 0.1 to 0.3."""

SHIMMER_TONE: Final = "#cfb578"
"""Of shimmering panels without a cover (setting)."""

Bar = tuple[tuple[float, float], tuple[float, float]]
"""One bar by its ends [m]."""


def bars_of(frame: Frame) -> list[Bar]:
    """List the bars of a frame's filling in the wall plane [m]; none but for a ladder and a grid.

    >>> gate = Frame(
    ...     id="g", shape="rectangle", item="gate", label="Gate", width_m=1.0, height_m=1.0, filling="ladder"
    ... )
    >>> len(bars_of(gate)), bars_of(gate)[0]
    (3, ((-0.5, 0.3), (0.5, 0.3)))
    """
    if frame.filling == "ladder":
        return _across(face(frame), RUNG_STEP_M)
    if frame.filling == "grid":
        upright = [((y1, x1), (y2, x2)) for (x1, y1), (x2, y2) in _across(face(frame)[:, ::-1], GRID_STEP_M)]
        return _across(face(frame), GRID_STEP_M) + upright
    return []


def shimmer_tone(frame: Frame) -> str:
    """The colour of shimmering panels: that of the cover, else the usual one."""
    return frame.cover.hex if frame.cover else SHIMMER_TONE


# Private


def _across(polygon: Points, step: float) -> list[Bar]:
    """Level lines within a polygon, one for every step of its height."""
    low, high = float(polygon[:, 1].min()), float(polygon[:, 1].max())
    heights = low + step * np.arange(1, int((high - low) / step - 1e-9) + 1)
    return [bar for y in heights.tolist() for bar in _at_height(polygon, y)]


def _at_height(polygon: Points, y: float) -> list[Bar]:
    """Where a level line runs within a polygon, by the even-odd rule."""
    (x1, y1), (x2, y2) = polygon.T, np.roll(polygon, -1, axis=0).T
    crossed = np.flatnonzero((y1 <= y) != (y2 <= y))
    share = (y - y1[crossed]) / (y2[crossed] - y1[crossed])
    found = np.sort(x1[crossed] + share * (x2[crossed] - x1[crossed])).tolist()
    return [((left, y), (right, y)) for left, right in zip(found[::2], found[1::2], strict=True)]
