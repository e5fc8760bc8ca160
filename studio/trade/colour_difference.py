"""How far apart two colours look, and which of those at hand comes nearest: CIEDE2000.

A screen or a photograph of latex is not the latex: a nearest colour is a proposal to look at.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from studio.trade.colour import lab_from_srgb, srgb_from_hex, triples
from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray, whole

Lab = tuple[float, float, float]


@dataclass(frozen=True)
class Nearest:
    """A colour of a palette as a substitute: its place in the palette and its CIEDE2000 difference."""

    index: int
    difference: float


def ciede2000(first: FloatArray, second: FloatArray) -> FloatArray:
    """CIEDE2000 difference of L*a*b* colours, (..., 3) against (..., 3) with broadcasting; kL = kC = kH = 1.

    About 1 is a difference just seen side by side; made for differences up to some 5, an order of likeness
    above. Source: CIE 142-2001 as given by Sharma, Wu & Dalal 2005, doi:10.1002/col.20070, eq. 2 to 22.

    >>> from studio.trade.colour import lab_from_srgb, srgb_from_hex
    >>> red, brick = (lab_from_srgb(srgb_from_hex(code)) for code in ("#ff0000", "#a4553f"))
    >>> round(float(ciede2000(red, brick)), 1)
    16.9
    """
    first, second = triples("L*a*b*", first), triples("L*a*b*", second)
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


# A studio's colours are compared over and over, whenever one of them is short.
@lru_cache(maxsize=16_384)
def difference(first: Lab, second: Lab) -> float:
    """CIEDE2000 difference of two colours given as L*, a*, b*.

    >>> round(difference((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485)), 4)
    2.0425
    """
    return float(ciede2000(np.array(first), np.array(second)))


def nearest_colours(wanted: str, palette: Sequence[str], *, count: int = 1) -> tuple[Nearest, ...]:
    """The colours of a palette that look most like a wanted one, nearest first, by CIEDE2000.

    wanted and palette: codes like "#c9b79c"; count: how many, at most the palette has. Equally near ones keep
    the palette's order. CraftError for an empty palette or a code that is none.

    >>> nearest_colours("#efe6d6", ["#2e4454", "#f4efe6"])[0].index
    1
    """
    whole("count of colours", count, 1, 100_000)
    if not palette:
        raise CraftError("palette is empty; give at least one colour.")
    target = lab_from_srgb(srgb_from_hex(wanted))
    choices = lab_from_srgb(np.stack([srgb_from_hex(code) for code in palette]))
    differences = ciede2000(target, choices)
    order = np.argsort(differences, kind="stable")[:count]
    return tuple(Nearest(int(index), float(differences[index])) for index in order)


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
