"""How full a set piece is: as asked for, as measured, and at most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quoting.craft.settle.build import GarlandResult

ROUNDED = 0.005
"""A wish is met where it is so by whole per cents, as a page shows them (a setting)."""


@dataclass(frozen=True, slots=True)
class Fullness:
    """Shares of the visible envelope of the organic garlands, weighted by length; 1 without such a garland.

    ``highest``: with fillers wherever a whole one fits, up to 0.97; of a scaled piece, what it could be as chosen, or
    what it came out as where that is more.
    """

    asked: float
    measured: float
    highest: float

    @property
    def in_words(self) -> str:
        """As measured and as asked, in whole per cents.

        >>> Fullness(asked=0.97, measured=0.953, highest=0.953).in_words
        '95 % full (97 % asked)'
        """
        return f"{100 * self.measured:.0f} % full ({100 * self.asked:.0f} % asked)"

    def can_be(self, wish: float) -> bool:
        """Say whether the garlands get as full as that.

        >>> Fullness(asked=0.92, measured=0.923, highest=0.953).can_be(0.96)
        False
        """
        return wish <= self.highest + ROUNDED


def fullness_of(garlands: Sequence[GarlandResult]) -> Fullness:
    """Take the fullness of a whole piece from its garlands.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.settle.build import built
    >>> found = fullness_of(built(load_design(STARTERS / "ring-and-panel.json")).garlands)
    >>> round(found.asked, 2), round(found.measured, 3), round(found.highest, 3)
    (0.92, 0.924, 0.953)
    """
    organic = [one for one in garlands if one.garland.work == "organic"]
    run = sum(one.route.length_m for one in organic)
    if not run:
        return Fullness(1.0, 1.0, 1.0)
    return Fullness(
        sum(one.garland.fullness * one.route.length_m for one in organic) / run,
        sum(one.fullness * one.route.length_m for one in organic) / run,
        sum(max(one.highest_fullness, one.fullness) * one.route.length_m for one in organic) / run,
    )
