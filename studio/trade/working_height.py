"""What a crew stands on to build a piece: the floor, a step stool or a ladder."""

from __future__ import annotations

from decimal import Decimal
from enum import Enum
from typing import Final

LADDER_ABOVE_M: Final = 2.2
"""Height [m] of a piece above which a ladder is needed. Common practice, no source: hands reach some 2.05 m from the
floor, and the highest tie lies half a balloon below the top of the piece."""
STOOL_ABOVE_M: Final = 1.8
"""Height [m] of a piece above which a step stool is needed. Common practice, no source: hands work long without
tiring up to the shoulder, some 1.4 m, and reach little above the head."""


class WayUp(Enum):
    """What a crew stands on."""

    STOOL = "step stool"
    LADDER = "ladder"


def way_up(height_m: Decimal | float | None) -> WayUp | None:
    """What a piece of that height [m] is built from; None from the floor, or where the height isn't known.

    >>> way_up(2.3), way_up(2.0), way_up(1.8)
    (<WayUp.LADDER: 'ladder'>, <WayUp.STOOL: 'step stool'>, None)
    """
    if height_m is None or float(height_m) <= STOOL_ABOVE_M:
        return None
    return WayUp.LADDER if float(height_m) > LADDER_ABOVE_M else WayUp.STOOL


def needs_ladder(height_m: Decimal | float | None) -> bool:
    """Whether a piece of that height [m] is built from a ladder; no known height needs none.

    >>> needs_ladder(2.3), needs_ladder(Decimal("2.2")), needs_ladder(None)
    (True, False, False)
    """
    return way_up(height_m) == WayUp.LADDER
