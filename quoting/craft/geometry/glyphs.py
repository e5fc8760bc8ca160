"""Letters and digits as strokes: the middle lines of foil balloons, in a box one high, drawn for this product."""

from __future__ import annotations

import math
from functools import cache
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

Line: TypeAlias = NDArray[np.float64]
Run: TypeAlias = tuple[float, ...]
"""Two numbers: a corner. Six: an arc about x, y with half axes, from one angle to another [deg], against the clock."""

ARC_STEP_DEG: Final = 12.0  # setting of the drawing
# Settings of the drawing: each letter and digit as strokes, x to the right and y up.
_BOWL = (0.3, 0.745, 0.27, 0.255, 90.0, -90.0)
STROKES: Final[dict[str, tuple[tuple[Run, ...], ...]]] = {
    "0": (((0.31, 0.5, 0.31, 0.5, 90.0, 450.0),),),
    "1": (((0.0, 0.76), (0.26, 1.0), (0.26, 0.0)),),
    "2": (((0.3, 0.7, 0.3, 0.3, 165.0, -40.0), (0.0, 0.0), (0.62, 0.0)),),
    "3": (((0.3, 0.75, 0.27, 0.25, 150.0, -90.0), (0.3, 0.25, 0.31, 0.25, 90.0, -150.0)),),
    "4": (((0.48, 0.0), (0.48, 1.0), (0.0, 0.28), (0.68, 0.28)),),
    "5": (((0.57, 1.0), (0.1, 1.0), (0.06, 0.54), (0.3, 0.31, 0.31, 0.31, 130.0, -145.0)),),
    "6": (((0.55, 0.32, 0.55, 0.68, 92.0, 180.0), (0.31, 0.32, 0.31, 0.32, 180.0, 540.0)),),
    "7": (((0.0, 1.0), (0.62, 1.0), (0.2, 0.0)),),
    "8": (((0.31, 0.76, 0.26, 0.24, 90.0, 450.0),), ((0.31, 0.26, 0.31, 0.26, 90.0, 450.0),)),
    "9": (((0.07, 0.68, 0.55, 0.68, -88.0, 0.0), (0.31, 0.68, 0.31, 0.32, 0.0, 360.0)),),
    "a": (((0.0, 0.0), (0.35, 1.0), (0.7, 0.0)), ((0.13, 0.33), (0.57, 0.33))),
    "b": (((0.0, 0.5), (0.3, 0.5), (0.3, 0.25, 0.29, 0.25, 90.0, -90.0), (0.0, 0.0), (0.0, 1.0), _BOWL),),
    "c": (((0.34, 0.5, 0.34, 0.5, 48.0, 312.0),),),
    "d": (((0.0, 0.0), (0.0, 1.0), (0.26, 0.5, 0.38, 0.5, 90.0, -90.0), (0.0, 0.0)),),
    "e": (((0.56, 1.0), (0.0, 1.0), (0.0, 0.0), (0.56, 0.0)), ((0.0, 0.51), (0.47, 0.51))),
    "f": (((0.56, 1.0), (0.0, 1.0), (0.0, 0.0)), ((0.0, 0.51), (0.45, 0.51))),
    "g": (((0.36, 0.5, 0.36, 0.5, 48.0, 352.0), (0.4, 0.43)),),
    "h": (((0.0, 0.0), (0.0, 1.0)), ((0.6, 0.0), (0.6, 1.0)), ((0.0, 0.51), (0.6, 0.51))),
    "i": (((0.0, 0.0), (0.0, 1.0)),),
    "j": (((0.46, 1.0), (0.23, 0.24, 0.23, 0.24, 0.0, -170.0)),),
    "k": (((0.0, 0.0), (0.0, 1.0)), ((0.56, 1.0), (0.0, 0.42)), ((0.18, 0.6), (0.6, 0.0))),
    "l": (((0.0, 1.0), (0.0, 0.0), (0.52, 0.0)),),
    "m": (((0.0, 0.0), (0.0, 1.0), (0.41, 0.28), (0.82, 1.0), (0.82, 0.0)),),
    "n": (((0.0, 0.0), (0.0, 1.0), (0.62, 0.0), (0.62, 1.0)),),
    "o": (((0.38, 0.5, 0.38, 0.5, 90.0, 450.0),),),
    "p": (((0.0, 0.0), (0.0, 1.0), _BOWL, (0.0, 0.49)),),
    "q": (((0.38, 0.5, 0.38, 0.5, 90.0, 450.0),), ((0.46, 0.26), (0.74, 0.0))),
    "r": (((0.0, 0.0), (0.0, 1.0), _BOWL, (0.0, 0.49)), ((0.26, 0.49), (0.58, 0.0))),
    "s": (((0.3, 0.75, 0.28, 0.25, 30.0, 270.0), (0.3, 0.25, 0.3, 0.25, 90.0, -150.0)),),
    "t": (((0.0, 1.0), (0.66, 1.0)), ((0.33, 1.0), (0.33, 0.0))),
    "u": (((0.0, 1.0), (0.31, 0.31, 0.31, 0.31, 180.0, 360.0), (0.62, 1.0)),),
    "v": (((0.0, 1.0), (0.35, 0.0), (0.7, 1.0)),),
    "w": (((0.0, 1.0), (0.24, 0.0), (0.47, 0.76), (0.7, 0.0), (0.94, 1.0)),),
    "x": (((0.0, 0.0), (0.64, 1.0)), ((0.0, 1.0), (0.64, 0.0))),
    "y": (((0.0, 1.0), (0.33, 0.48), (0.66, 1.0)), ((0.33, 0.48), (0.33, 0.0))),
    "z": (((0.0, 1.0), (0.62, 1.0), (0.0, 0.0), (0.62, 0.0)),),
}


@cache
def strokes_of(glyph: str) -> tuple[Line, ...]:
    """Give the strokes of a letter or digit as lines, each (n, 2), in a box one high. KeyError for any other sign.

    >>> [stroke.tolist() for stroke in strokes_of("L")]
    [[[0.0, 1.0], [0.0, 0.0], [0.52, 0.0]]]
    """
    lines = [np.concatenate([_points(run) for run in stroke]) for stroke in STROKES[glyph.lower()]]
    left = np.array([min(float(line[:, 0].min()) for line in lines), 0.0])
    return tuple(line - left for line in lines)


def stroke_width(glyph: str) -> float:
    """How wide the middle lines of a letter or digit reach, its height being 1.

    >>> round(stroke_width("4"), 2), stroke_width("I")
    (0.68, 0.0)
    """
    return max(float(np.ptp(np.concatenate(strokes_of(glyph))[:, 0])), 0.0)


def stroke_length(glyph: str) -> float:
    """How long the middle lines of a letter or digit are together, its height being 1.

    >>> round(stroke_length("L"), 2)
    1.52
    """
    return sum(float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in strokes_of(glyph))


# Private


def _points(run: Run) -> Line:
    if len(run) == 2:
        return np.array([run])
    x, y, across, up, start, end = run
    steps = max(2, math.ceil(abs(end - start) / ARC_STEP_DEG) + 1)
    turn = np.radians(np.linspace(start, end, steps))
    return np.column_stack([x + across * np.cos(turn), y + up * np.sin(turn)])
