"""Limits from which safety asks for more: a ladder, a second person."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

LADDER_ABOVE_M: Final = 2.2
"""Height [m] of a piece above which a ladder is needed. Common practice, no source: hands reach some 2.05 m from the
floor, and the highest tie lies half a balloon below the top of the piece."""
HEAVY_LIFT_KG: Final = 15.0
"""Mass [kg] from which a single load is warned about. Common practice, no source."""


def needs_ladder(height_m: Decimal | float | None) -> bool:
    """Whether a piece of that height [m] is built from a ladder; no known height needs none.

    >>> needs_ladder(2.3), needs_ladder(Decimal("2.2")), needs_ladder(None)
    (True, False, False)
    """
    return height_m is not None and float(height_m) > LADDER_ABOVE_M
