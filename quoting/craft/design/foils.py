"""Foil balloons: how big they are when filled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from quoting.craft.design.things import Foil

FILLED: Final = 0.7627
"""Width of a filled disc as a share of the flat one. Source: Mladenov and Oprea, The Mylar Balloon Revisited, American
Mathematical Monthly 110 (2003)."""
GLYPH_WIDTH: Final = 0.66
"""Room of one letter or digit in a row, as a share of its height. Common practice, no source; 0.4 to 0.9."""
GLYPH_FILLED: Final = 0.91
"""Height of a filled letter as a share of the flat one. Common practice, no source; 0.88 to 0.94."""
GLYPH_DEPTH: Final = 0.16
"""How thick a filled letter gets, as a share of its flat height. Common practice, no source; 0.12 to 0.2."""
DISC_DEPTH: Final = 0.4569
"""The same of a disc, as a share of its flat diameter. Source: as for its width."""


@dataclass(frozen=True, slots=True)
class FoilSize:
    """Width, height and depth of what is seen [m]."""

    width_m: float
    height_m: float
    depth_m: float


def foil_size(foil: Foil) -> FoilSize:
    """Give the size of a filled foil balloon, or of a row of them, before it is turned [m].

    >>> star = Foil(id="s", item="star", label="Star", shape="star", flat_m=0.45, hex="#D9B45B", x_m=0, y_m=2)
    >>> round(foil_size(star).width_m, 3)
    0.343
    """
    if foil.shape == "glyphs":
        high = GLYPH_FILLED * foil.flat_m
        return FoilSize(len(foil.text) * GLYPH_WIDTH * foil.flat_m, high, GLYPH_DEPTH * foil.flat_m)
    return FoilSize(FILLED * foil.flat_m, FILLED * foil.flat_m, DISC_DEPTH * foil.flat_m)
