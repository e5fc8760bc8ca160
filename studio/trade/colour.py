"""Colour as measured and as shown: sRGB, XYZ, L*a*b*, luminance.

White point D65, two-degree observer. Colours come as arrays whose last axis is 3: sRGB from 0 to 1, XYZ with
Y = 1 for white, L*a*b* with L* from 0 to 100.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache

import numpy as np

from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray, between

PRIMARIES = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
"""Chromaticities x, y of red, green and blue. Source: IEC 61966-2-1:1999."""
WHITE = (0.3127, 0.3290)
"""Chromaticity x, y of D65. Source: IEC 61966-2-1:1999."""

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


def srgb_from_hex(code: str) -> FloatArray:
    """sRGB (3,) from 0 to 1 of a code like "#c9b79c". CraftError for anything else.

    >>> srgb_from_hex("#ff0000")
    array([1., 0., 0.])
    """
    if not _HEX.fullmatch(code):
        raise CraftError(f"colour is {code!r}; it must be # and six hexadecimal digits.")
    return np.array([int(code[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.float64) / 255


def linear(srgb: FloatArray) -> FloatArray:
    """Light of sRGB values from 0 to 1, in proportion to the amount of light. Source: IEC 61966-2-1:1999.

    >>> round(float(linear(np.array(0.5))), 4)
    0.214
    """
    return np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)


def xyz_from_srgb(srgb: FloatArray) -> FloatArray:
    """XYZ of sRGB colours from 0 to 1, (..., 3). Source: IEC 61966-2-1:1999; CraftError outside 0 to 1.

    >>> xyz_from_srgb(np.ones(3)).round(3)
    array([0.95 , 1.   , 1.089])
    """
    srgb = triples("sRGB", srgb)
    between("sRGB", srgb, 0.0, 1.0, "")
    xyz: FloatArray = linear(srgb) @ _RGB_TO_XYZ.T
    return xyz


def lab_from_xyz(xyz: FloatArray) -> FloatArray:
    """L*a*b* of XYZ colours, (..., 3). Source: CIE 15:2004, eq. 8.3 to 8.11."""
    ratio = triples("XYZ", xyz) / _WHITE_XYZ
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio * (29 / 6) ** 2 / 3 + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_from_srgb(srgb: FloatArray) -> FloatArray:
    """L*a*b* of sRGB colours from 0 to 1, (..., 3).

    >>> lab_from_srgb(srgb_from_hex("#ffffff")).round(2)
    array([100.,   0.,   0.])
    """
    return lab_from_xyz(xyz_from_srgb(srgb))


def lab_of(code: str) -> tuple[float, float, float]:
    """L*, a*, b* of a code like "#C9B79C". CraftError for anything else.

    >>> [round(value, 1) + 0.0 for value in lab_of("#FFFFFF")]
    [100.0, 0.0, 0.0]
    """
    lightness, a, b = lab_from_srgb(srgb_from_hex(code)).tolist()
    # Rounding in the matrix may put pure white a hair above 100.
    return min(lightness, 100.0), a, b


def chroma(a: float, b: float) -> float:
    """C*ab: distance from the grey axis.

    >>> chroma(3.0, 4.0)
    5.0
    """
    return math.hypot(a, b)


def hue_degrees(a: float, b: float) -> float:
    """h_ab, 0 to 360 degrees from +a* (red) towards +b* (yellow).

    >>> hue_degrees(0.0, -2.0)
    270.0
    """
    return math.degrees(math.atan2(b, a)) % 360


@lru_cache(maxsize=1024)
def relative_luminance(code: str) -> float:
    """Relative luminance of a code like "#C9B79C", 0 to 1. Source: WCAG 2.2."""
    return float(xyz_from_srgb(srgb_from_hex(code))[1])


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two codes, 1 to 21. Source: WCAG 2.2.

    >>> round(contrast("#000000", "#FFFFFF"), 6)
    21.0
    """
    darker, lighter = sorted((relative_luminance(one), relative_luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def triples(name: str, colours: FloatArray) -> FloatArray:
    """The colours as an array, (..., 3). CraftError for any other shape."""
    colours = np.asarray(colours, dtype=np.float64)
    if colours.ndim == 0 or colours.shape[-1] != 3:
        raise CraftError(f"{name} colours have the shape {colours.shape}; the last axis must be 3.")
    return colours


def _xyz_of_chromaticity(x: float, y: float) -> list[float]:
    return [x / y, 1.0, (1 - x - y) / y]


_WHITE_XYZ = np.array(_xyz_of_chromaticity(*WHITE))
_COLUMNS = np.array([_xyz_of_chromaticity(x, y) for x, y in PRIMARIES]).T
_RGB_TO_XYZ = _COLUMNS * np.linalg.solve(_COLUMNS, _WHITE_XYZ)
