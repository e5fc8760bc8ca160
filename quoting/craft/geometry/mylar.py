"""Two discs of a skin that doesn't stretch, welded at the rim and filled: the mylar balloon in closed form.

Source: Mladenov and Oprea, The Mylar Balloon Revisited, American Mathematical Monthly 110 (2003), 761-784. The skin
wrinkles along its rim, so that lengths from the middle to the rim stay what they were when it lay flat.
"""

from __future__ import annotations

import math
from typing import Final

from studio.trade.ranges import positive

HALF_LEMNISCATE: Final = math.gamma(0.25) ** 2 / (4 * math.sqrt(2 * math.pi))
"""K(1/2) / sqrt(2), the length from middle to rim over the filled radius: 1.3110. Source: as above."""


def filled_diameter(flat_m: float) -> float:
    """Diameter of the filled balloon [m] from that of the flat disc [m]; 0.7627 of it.

    >>> round(filled_diameter(1.0), 4)
    0.7628
    """
    positive("flat diameter", flat_m, "m")
    return flat_m / HALF_LEMNISCATE


def filled_thickness(flat_m: float) -> float:
    """How thick the filled balloon is in its middle [m]; pi / 2 over the half lemniscate times the filled radius.

    >>> round(filled_thickness(1.0), 4)
    0.4569
    """
    return filled_diameter(flat_m) / 2 * math.pi / (2 * HALF_LEMNISCATE)


def filled_volume(flat_m: float) -> float:
    """Volume of the filled balloon [m3]: 2 pi / 3 a r², a the flat and r the filled radius; 1.2185 a³.

    >>> round(filled_volume(2.0), 4)
    1.2185
    """
    radius = filled_diameter(flat_m) / 2
    return 2 * math.pi / 3 * (flat_m / 2) * radius**2
