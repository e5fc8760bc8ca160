"""Space in the van: an estimate for planning, from what a bill of materials names. Metres and cubic metres.

Balloons travel inflated, tied in big bags; frames lie flat with their feet off; everything else travels in crates.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

INCH_M: Final = 0.0254
"""Metres in an inch, exact (international yard and pound agreement, 1959)."""
SIZED_SHARE: Final = 0.85
"""Diameter to which a round is sized, as a share of its nominal inches. Common practice, no source."""
LOOSE_PACKING: Final = 0.50
"""Share of a big bag that tied quads fill. Common practice, no source; equal balls shaken down fill 0.64 (Berryman
1983, doi:10.1103/PhysRevA.27.1053)."""
FRAME_DEPTH_M: Final = 0.06
"""Depth of a frame that lies flat with its feet off. Common practice, no source: a tube of 25 mm with its joints, and
the blanket between it and the next."""
CRATE_M3: Final = 0.12  # common practice, no source
PIECES_A_CRATE: Final = 24
"""Covers, florals, signs and small parts go in crates of 0.12 m³; so many pieces fill one. Common practice, no
source."""

ROLL_M: Final = 0.2
"""Diameter of a rolled rug or a folded cloth with its poles. Common practice, no source; 0.15 to 0.3."""
POLE_M: Final = 1.5
"""The longest part of a backdrop's poles taken apart. Common practice, no source; 1.2 to 2."""

BALLAST: Final = "ballast-kg"
"""Code of ballast, counted in kilograms."""
CYLINDER: Final = "helium-cylinder-10l"
"""Code of a helium cylinder of 10 litres."""
BALLAST_M3_A_KG: Final = 1 / 1600
"""Space of a kilogram of ballast: dry sand in bags. Common practice, no source; concrete takes two thirds of it."""
CYLINDER_M: Final = (0.2, 0.2, 1.0)
"""Box that a cylinder of 10 litres lies in. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Packed:
    """Space taken [m³] and the longest piece [m]."""

    volume_m3: float = 0.0
    longest_m: float = 0.0

    def __add__(self, other: Packed) -> Packed:
        return Packed(self.volume_m3 + other.volume_m3, max(self.longest_m, other.longest_m))


def packed_rounds(size_in: float, count: int) -> Packed:
    """``count`` inflated rounds of a nominal size [in], tied and bagged. Spare ones travel flat and take no space.

    >>> round(packed_rounds(11, 100).volume_m3, 2)
    1.4
    """
    return Packed(count * math.pi / 6 * (size_in * INCH_M * SIZED_SHARE) ** 3 / LOOSE_PACKING)


def packed_frames(width_m: float, height_m: float, count: int = 1) -> Packed:
    """``count`` frames of a width and height [m], lying flat.

    >>> packed_frames(2.0, 2.5)
    Packed(volume_m3=0.3, longest_m=2.5)
    """
    return Packed(count * width_m * height_m * FRAME_DEPTH_M, max(width_m, height_m) if count else 0.0)


def packed_box(sides_m: tuple[float, float, float]) -> Packed:
    """A thing that travels as it is, by its three sides [m].

    >>> packed_box((0.5, 1.0, 0.5))
    Packed(volume_m3=0.25, longest_m=1.0)
    """
    return Packed(math.prod(sides_m), max(sides_m))


def travelling_box(look: str, width_m: float, height_m: float, depth_m: float) -> tuple[float, float, float]:
    """The box that a prop travels in [m]: a rug is rolled, a backdrop folded, its poles taken apart.

    >>> travelling_box("rug", 2.0, 0.01, 1.5), travelling_box("plinth", 0.4, 0.9, 0.4)
    ((1.5, 0.2, 0.2), (0.4, 0.9, 0.4))
    """
    if look == "rug":
        return min(width_m, depth_m), ROLL_M, ROLL_M
    if look == "backdrop":
        return min(max(width_m, height_m), POLE_M), ROLL_M, ROLL_M
    return width_m, height_m, depth_m


def packed_parts(count: float) -> Packed:
    """``count`` covers, florals, signs or small parts in crates.

    >>> packed_parts(24)
    Packed(volume_m3=0.12, longest_m=0.0)
    """
    return Packed(count / PIECES_A_CRATE * CRATE_M3)


def packed_goods(code: str, count: float) -> Packed:
    """``count`` of a line of the bill that is neither balloon nor frame.

    >>> packed_goods("ballast-kg", 160), packed_goods("cover-pin", 24)
    (Packed(volume_m3=0.1, longest_m=0.0), Packed(volume_m3=0.12, longest_m=0.0))
    """
    if code == BALLAST:
        return Packed(count * BALLAST_M3_A_KG)
    if code == CYLINDER:
        return Packed(count * math.prod(CYLINDER_M), max(CYLINDER_M) if count else 0.0)
    return packed_parts(count)


def packed_together(loads: Iterable[Packed]) -> Packed:
    """Several loads in one van.

    >>> packed_together([packed_parts(24), packed_frames(2.0, 2.5)])
    Packed(volume_m3=0.42, longest_m=2.5)
    """
    return sum(loads, Packed())
