"""Foil balloons: how big they are when filled, what they hold, and where each letter of a row is.

A disc follows the mylar balloon in closed form. Letters and digits are tubes along their strokes: two flat strips of a
width w, welded along both edges, fill to a tube of 2 w / pi. Other shapes are reckoned from the disc of their area.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from quoting.craft.design.things import Foil
from quoting.craft.geometry.glyphs import stroke_length, stroke_width
from quoting.craft.geometry.mylar import filled_diameter, filled_thickness, filled_volume

FLAT_STROKE: Final = 0.30
"""Breadth of the flat strokes of a letter, as a share of its flat height. Common practice, no source; 0.24 to 0.34."""
TUBE: Final = 2 / math.pi
"""Breadth of a filled stroke over its flat one: the circle whose girth is both strips. Exact."""
GAP: Final = 0.05
"""Between two letters of a row, as a share of their flat height. Common practice, no source; 0 to 0.1."""
FOIL_KG_M2: Final = 0.030
"""Mass of one layer of foil. Common practice, no source; 0.025 to 0.04 kg/m2."""


@dataclass(frozen=True, slots=True)
class Outline:
    """What a shape is to a square of its flat height: area of one layer, filled width and height, and how much it holds
    beside a disc of its area."""

    area: float
    filled: float
    held: float


OUTLINES: Final = {
    "star": Outline(area=0.46, filled=0.86, held=0.75),
    "heart": Outline(area=0.62, filled=0.84, held=0.9),
    "crescent": Outline(area=0.36, filled=0.88, held=0.65),
}
"""Shapes that no closed form is known for. Common practice, no source: what they hold is right to a third."""


@dataclass(frozen=True, slots=True)
class FoilSize:
    """Width, height and depth of what is seen [m]."""

    width_m: float
    height_m: float
    depth_m: float


@dataclass(frozen=True, slots=True)
class FoilBalloon:
    """One balloon of a foil: its letter or nothing, its middle across from that of the row [m], its filled size, what
    it holds [m3] and what its skin weighs [kg]."""

    glyph: str
    across_m: float
    size: FoilSize
    volume_m3: float
    skin_kg: float


def balloons_of(foil: Foil) -> tuple[FoilBalloon, ...]:
    """List the balloons of a foil from left to right, before it is turned.

    >>> four = Foil(
    ...     id="n", item="n", label="Number", shape="glyphs", text="40", flat_m=0.86, hex="#D9B45B", x_m=0, y_m=2
    ... )
    >>> [(one.glyph, round(one.size.width_m, 2), round(one.volume_m3, 3)) for one in balloons_of(four)]
    [('4', 0.57, 0.035), ('0', 0.54, 0.035)]
    """
    if foil.shape != "glyphs":
        return (_shaped(foil),)
    row = [_glyph(glyph, foil.flat_m) for glyph in foil.text.upper()]
    gap = GAP * foil.flat_m
    left = -(sum(one.size.width_m for one in row) + gap * (len(row) - 1)) / 2
    placed = []
    for one in row:
        middle = left + one.size.width_m / 2
        placed.append(FoilBalloon(one.glyph, middle, one.size, one.volume_m3, one.skin_kg))
        left += one.size.width_m + gap
    return tuple(placed)


def foil_size(foil: Foil) -> FoilSize:
    """Give the size of a filled foil balloon, or of a row of them, before it is turned [m].

    >>> disc = Foil(id="d", item="d", label="Disc", shape="disc", flat_m=0.45, hex="#D9B45B", x_m=0, y_m=2)
    >>> round(foil_size(disc).width_m, 3)
    0.343
    """
    row = balloons_of(foil)
    left = min((one.across_m - one.size.width_m / 2 for one in row), default=0.0)
    right = max((one.across_m + one.size.width_m / 2 for one in row), default=0.0)
    tallest, thickest = (
        max((size for size in sizes), default=0.0)
        for sizes in ([one.size.height_m for one in row], [one.size.depth_m for one in row])
    )
    return FoilSize(right - left, tallest, thickest)


# Private


def _glyph(glyph: str, flat_m: float) -> FoilBalloon:
    """A letter as a tube along its strokes; where strokes meet they are counted twice, a few parts in a hundred."""
    flat = FLAT_STROKE * flat_m
    tube, line = TUBE * flat, flat_m - flat
    run = stroke_length(glyph) * line
    size = FoilSize(stroke_width(glyph) * line + tube, line + tube, tube)
    volume = run * math.pi / 4 * tube**2 + math.pi / 6 * tube**3
    skin = 2 * (run * flat + math.pi / 4 * flat**2) * FOIL_KG_M2
    return FoilBalloon(glyph, 0.0, size, volume, skin)


def _shaped(foil: Foil) -> FoilBalloon:
    flat = foil.flat_m
    if foil.shape == "disc":
        wide, deep, volume = filled_diameter(flat), filled_thickness(flat), filled_volume(flat)
        return FoilBalloon(
            "", 0.0, FoilSize(wide, wide, deep), volume, 2 * math.pi / 4 * flat**2 * FOIL_KG_M2
        )
    shape = OUTLINES[foil.shape]
    alike = math.sqrt(4 * shape.area / math.pi) * flat  # the disc of its area
    size = FoilSize(shape.filled * flat, shape.filled * flat, filled_thickness(alike))
    volume, skin = shape.held * filled_volume(alike), 2 * shape.area * flat**2 * FOIL_KG_M2
    return FoilBalloon("", 0.0, size, volume, skin)
