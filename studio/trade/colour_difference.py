"""How far apart two colours look, and which of those at hand comes nearest: sRGB, XYZ, L*a*b*, CIEDE2000.

White point D65, two-degree observer. Colours come as arrays whose last axis is 3: sRGB from 0 to 1, XYZ with
Y = 1 for white, L*a*b* with L* from 0 to 100. A screen or a photograph of latex is not the latex: a nearest
colour is a proposal to look at.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray, between, whole

PRIMARIES = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
"""Chromaticities x, y of red, green and blue. Source: IEC 61966-2-1:1999."""
WHITE = (0.3127, 0.3290)
"""Chromaticity x, y of D65. Source: IEC 61966-2-1:1999."""

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True)
class Nearest:
    """A colour of a palette as a substitute: its place in the palette and its CIEDE2000 difference."""

    index: int
    difference: float


def srgb_from_hex(code: str) -> FloatArray:
    """sRGB (3,) from 0 to 1 of a code like "#c9b79c". CraftError for anything else."""
    if not _HEX.fullmatch(code):
        raise CraftError(f"colour is {code!r}; it must be # and six hexadecimal digits.")
    return np.array([int(code[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.float64) / 255


def hex_from_srgb(srgb: FloatArray) -> str:
    """The code like "#c9b79c" nearest to an sRGB colour (3,) from 0 to 1; values outside are cut off."""
    levels = np.rint(np.clip(_triples("sRGB", srgb), 0, 1) * 255).astype(int)
    return "#" + "".join(f"{level:02x}" for level in levels.tolist())


def xyz_from_srgb(srgb: FloatArray) -> FloatArray:
    """XYZ of sRGB colours from 0 to 1, (..., 3). Source: IEC 61966-2-1:1999; CraftError outside 0 to 1."""
    srgb = _triples("sRGB", srgb)
    between("sRGB", srgb, 0.0, 1.0, "")
    linear = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    xyz: FloatArray = linear @ _RGB_TO_XYZ.T
    return xyz


def srgb_from_xyz(xyz: FloatArray) -> FloatArray:
    """sRGB of XYZ colours, (..., 3); outside 0 to 1 where a screen cannot show it. Source: IEC
    61966-2-1:1999."""
    linear = _triples("XYZ", xyz) @ _XYZ_TO_RGB.T
    bent = 1.055 * np.abs(linear) ** (1 / 2.4) - 0.055
    return np.where(np.abs(linear) <= 0.0031308, linear * 12.92, np.copysign(bent, linear))


def lab_from_xyz(xyz: FloatArray) -> FloatArray:
    """L*a*b* of XYZ colours, (..., 3). Source: CIE 15:2004, eq. 8.3 to 8.11."""
    ratio = _triples("XYZ", xyz) / _WHITE_XYZ
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio * (29 / 6) ** 2 / 3 + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def xyz_from_lab(lab: FloatArray) -> FloatArray:
    """XYZ of L*a*b* colours, (..., 3), the way back of `lab_from_xyz`."""
    lab = _triples("L*a*b*", lab)
    y = (lab[..., 0] + 16) / 116
    f = np.stack([y + lab[..., 1] / 500, y, y - lab[..., 2] / 200], axis=-1)
    xyz: FloatArray = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * _WHITE_XYZ
    return xyz


def lab_from_srgb(srgb: FloatArray) -> FloatArray:
    """L*a*b* of sRGB colours from 0 to 1, (..., 3)."""
    return lab_from_xyz(xyz_from_srgb(srgb))


def srgb_from_lab(lab: FloatArray) -> FloatArray:
    """sRGB of L*a*b* colours, (..., 3); outside 0 to 1 where a screen cannot show it."""
    return srgb_from_xyz(xyz_from_lab(lab))


def ciede2000(first: FloatArray, second: FloatArray) -> FloatArray:
    """CIEDE2000 difference of L*a*b* colours, (..., 3) against (..., 3) with broadcasting; kL = kC = kH = 1.

    About 1 is a difference just seen side by side; made for differences up to some 5, an order of likeness
    above. Source: CIE 142-2001 as given by Sharma, Wu & Dalal 2005, doi:10.1002/col.20070, eq. 2 to 22.
    """
    first, second = _triples("L*a*b*", first), _triples("L*a*b*", second)
    mean_chroma = (np.hypot(first[..., 1], first[..., 2]) + np.hypot(second[..., 1], second[..., 2])) / 2
    g = 0.5 * (1 - _seventh(mean_chroma))
    chroma_1, hue_1 = _chroma_and_hue(first, g)
    chroma_2, hue_2 = _chroma_and_hue(second, g)

    grey = chroma_1 * chroma_2 == 0
    turn = np.where(grey, 0.0, hue_2 - hue_1)
    turn = turn - 360 * (turn > 180) + 360 * (turn < -180)
    d_light = second[..., 0] - first[..., 0]
    d_chroma = chroma_2 - chroma_1
    d_hue = 2 * np.sqrt(chroma_1 * chroma_2) * np.sin(np.radians(turn / 2))

    light = (first[..., 0] + second[..., 0]) / 2
    chroma = (chroma_1 + chroma_2) / 2
    hue = _mean_hue(hue_1, hue_2, grey)
    s_light = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    s_chroma = 1 + 0.045 * chroma
    s_hue = 1 + 0.015 * chroma * _hue_weight(hue)
    rotation = -np.sin(np.radians(60 * np.exp(-(((hue - 275) / 25) ** 2)))) * 2 * _seventh(chroma)
    parts = (d_light / s_light, d_chroma / s_chroma, d_hue / s_hue)
    squares = parts[0] ** 2 + parts[1] ** 2 + parts[2] ** 2 + rotation * parts[1] * parts[2]
    difference: FloatArray = np.sqrt(np.maximum(squares, 0.0))
    return difference


def nearest_colours(wanted: str, palette: Sequence[str], *, count: int = 1) -> tuple[Nearest, ...]:
    """The colours of a palette that look most like a wanted one, nearest first, by CIEDE2000.

    wanted and palette: codes like "#c9b79c"; count: how many, at most the palette has. Equally near ones keep
    the palette's order. CraftError for an empty palette or a code that is none.
    """
    whole("count of colours", count, 1, 100_000)
    if not palette:
        raise CraftError("palette is empty; give at least one colour.")
    target = lab_from_srgb(srgb_from_hex(wanted))
    choices = lab_from_srgb(np.stack([srgb_from_hex(code) for code in palette]))
    differences = ciede2000(target, choices)
    order = np.argsort(differences, kind="stable")[:count]
    return tuple(Nearest(int(index), float(differences[index])) for index in order)


def _triples(name: str, colours: FloatArray) -> FloatArray:
    colours = np.asarray(colours, dtype=np.float64)
    if colours.ndim == 0 or colours.shape[-1] != 3:
        raise CraftError(f"{name} colours have the shape {colours.shape}; the last axis must be 3.")
    return colours


def _seventh(chroma: FloatArray) -> FloatArray:
    power = chroma**7
    return np.sqrt(power / (power + 25.0**7))


def _chroma_and_hue(lab: FloatArray, g: FloatArray) -> tuple[FloatArray, FloatArray]:
    """C' and h' [degrees, 0 to 360] of eq. 5 to 7."""
    a = (1 + g) * lab[..., 1]
    return np.hypot(a, lab[..., 2]), np.degrees(np.arctan2(lab[..., 2], a)) % 360


def _mean_hue(hue_1: FloatArray, hue_2: FloatArray, grey: FloatArray) -> FloatArray:
    """Eq. 14: halfway the shorter way round; the sum where one of the two is grey."""
    total = hue_1 + hue_2
    far = np.abs(hue_1 - hue_2) > 180
    return np.where(grey, total, np.where(far, np.where(total < 360, total + 360, total - 360), total) / 2)


def _hue_weight(hue: FloatArray) -> FloatArray:
    """T of eq. 15."""
    terms = ((-0.17, 1, -30.0), (0.24, 2, 0.0), (0.32, 3, 6.0), (-0.20, 4, -63.0))
    waves = [weight * np.cos(np.radians(times * hue + shift)) for weight, times, shift in terms]
    return np.asarray(1 + sum(waves), dtype=np.float64)


def _xyz_of_chromaticity(x: float, y: float) -> list[float]:
    return [x / y, 1.0, (1 - x - y) / y]


_WHITE_XYZ = np.array(_xyz_of_chromaticity(*WHITE))
_COLUMNS = np.array([_xyz_of_chromaticity(x, y) for x, y in PRIMARIES]).T
_RGB_TO_XYZ = _COLUMNS * np.linalg.solve(_COLUMNS, _WHITE_XYZ)
_XYZ_TO_RGB = np.linalg.inv(_RGB_TO_XYZ)
