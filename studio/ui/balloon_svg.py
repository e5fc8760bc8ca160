"""A latex round on the shelf: its colour, the number free inside, a bite out of it for what is held."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from studio.trade.colour import contrast

RADIUS: Final = 46.0
"""Radius of the drawn round in a box of 100 by 100, middle at 50, 50."""
LARGEST_BITE: Final = 0.27
"""Share of the round's area that a bite takes at most, so that the number keeps its ground."""
_BITE_MIDDLE: Final = (50 + RADIUS * 0.86, 50 - RADIUS * 0.86)
_INK: Final = "#1D2528"


@dataclass(frozen=True, slots=True)
class Round:
    """What the template needs to draw one round."""

    path: str
    fill: str
    text: str
    """Colour of the number: ink or white, whichever stands out more."""


@lru_cache(maxsize=2048)
def draw_round(colour: str, free: int, held: int) -> Round:
    """The round of ``colour`` (``#RRGGBB``) with ``free`` left and ``held`` promised.

    The bite's area is the share held of all there is, up to :data:`LARGEST_BITE`. With nothing free
    the path is empty and only the dashed ring is drawn.
    """
    if free <= 0:
        return Round("", colour, "currentColor")
    share = min(max(held, 0) / (free + max(held, 0)), LARGEST_BITE)
    return Round(_bitten(share), colour, text_colour(colour))


def text_colour(background: str) -> str:
    """Ink or white, whichever stands out more on ``background``."""
    return _INK if contrast(_INK, background) >= contrast("#FFFFFF", background) else "#FFFFFF"


def _bitten(share: float) -> str:
    """Path of a circle without the lens that a second circle cuts from its upper right."""
    if share <= 0:
        half = f"a{RADIUS} {RADIUS} 0 1 1"
        return f"M{50 - RADIUS} 50{half} {2 * RADIUS} 0{half} {-2 * RADIUS} 0Z"
    apart = math.hypot(_BITE_MIDDLE[0] - 50, _BITE_MIDDLE[1] - 50)
    bite = _bite_radius(share, apart)
    along = (apart**2 + RADIUS**2 - bite**2) / (2 * apart)
    across = math.sqrt(max(RADIUS**2 - along**2, 0.0))
    ux, uy = (_BITE_MIDDLE[0] - 50) / apart, (_BITE_MIDDLE[1] - 50) / apart
    right = (50 + along * ux - across * uy, 50 + along * uy + across * ux)
    left = (50 + along * ux + across * uy, 50 + along * uy - across * ux)
    return (
        f"M{right[0]:.2f} {right[1]:.2f}A{RADIUS} {RADIUS} 0 1 1 {left[0]:.2f} {left[1]:.2f}"
        f"A{bite:.2f} {bite:.2f} 0 0 0 {right[0]:.2f} {right[1]:.2f}Z"
    )


def _bite_radius(share: float, apart: float) -> float:
    """Radius whose lens with the round is ``share`` of the round's area, by halving."""
    low, high = apart - RADIUS, apart + RADIUS
    for _ in range(40):
        middle = (low + high) / 2
        if lens_area(RADIUS, middle, apart) < share * math.pi * RADIUS**2:
            low = middle
        else:
            high = middle
    return high


def lens_area(first: float, second: float, apart: float) -> float:
    """Area common to two circles of radius ``first`` and ``second`` whose middles are ``apart``.

    Sum of two circular segments (Weisstein, "Circle-Circle Intersection", MathWorld).
    """
    if apart >= first + second:
        return 0.0
    if apart <= abs(first - second):
        return math.pi * min(first, second) ** 2
    one = math.acos((apart**2 + first**2 - second**2) / (2 * apart * first))
    two = math.acos((apart**2 + second**2 - first**2) / (2 * apart * second))
    kite = math.sqrt(
        (-apart + first + second)
        * (apart + first - second)
        * (apart - first + second)
        * (apart + first + second)
    )
    return first**2 * one + second**2 * two - kite / 2
