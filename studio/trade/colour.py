"""Colour as measured: sRGB to CIELAB."""

from __future__ import annotations

import math
import re
from typing import Final

_TO_XYZ: Final = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
"""Linear sRGB to CIE XYZ, D65 (IEC 61966-2-1, seven digits after B. Lindbloom)."""
_WHITE: Final = (0.95047, 1.0, 1.08883)
"""D65 for the 2° observer: what the matrix gives for white."""


def lab_of(hex_value: str) -> tuple[float, float, float]:
    """L*, a*, b* of ``#RRGGBB`` (IEC 61966-2-1; CIE 15, D65, 2° observer). Raises ``ValueError`` for other
    text."""
    if not re.fullmatch(r"#[0-9A-Fa-f]{6}", hex_value):
        raise ValueError(f"“{hex_value}” is no colour; write it like #E9E1D2.")
    linear = [_linear(int(hex_value[place : place + 2], 16) / 255) for place in (1, 3, 5)]
    x, y, z = (
        _lightened(sum(share * channel for share, channel in zip(row, linear, strict=True)) / white)
        for row, white in zip(_TO_XYZ, _WHITE, strict=True)
    )
    # Rounding in the matrix may put pure white a hair above 100.
    return min(116 * y - 16, 100.0), 500 * (x - y), 200 * (y - z)


def chroma(a: float, b: float) -> float:
    """C*ab: distance from the grey axis."""
    return math.hypot(a, b)


def hue_degrees(a: float, b: float) -> float:
    """h_ab, 0 to 360 degrees from +a* (red) towards +b* (yellow)."""
    return math.degrees(math.atan2(b, a)) % 360


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)


def _lightened(ratio: float) -> float:
    return math.cbrt(ratio) if ratio > (6 / 29) ** 3 else ratio * (29 / 6) ** 2 / 3 + 4 / 29
