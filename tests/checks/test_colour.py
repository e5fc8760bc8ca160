"""Colour conversions and CIEDE2000 against the published test pairs and the colour-science library."""

from __future__ import annotations

import warnings
from types import ModuleType

import numpy as np
import pytest

from studio.trade import colour as conversions
from studio.trade import colour_difference as ours

# Sharma, Wu & Dalal, Color Res. Appl. 30(1), 21-30 (2005), doi:10.1002/col.20070, Table 1: pairs picked for
# the turns of the formula (blue, grey, opposite hues, small and large differences).
PAIRS = [  # number, first, second, difference
    (1, (50.0000, 2.6772, -79.7751), (50.0000, 0.0000, -82.7485), 2.0425),
    (4, (50.0000, -1.3802, -84.2814), (50.0000, 0.0000, -82.7485), 1.0000),
    (7, (50.0000, 0.0000, 0.0000), (50.0000, -1.0000, 2.0000), 2.3669),
    (10, (50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0010), 7.1792),
    (13, (50.0000, -0.0010, 2.4900), (50.0000, 0.0009, -2.4900), 4.8045),
    (17, (50.0000, 2.5000, 0.0000), (73.0000, 25.0000, -18.0000), 27.1492),
    (25, (60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    (34, (2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]

# IEC 61966-2-1 and CIE 15, computed with coloraide 8.13.1 and colour-science 0.4.7; D65, two degrees.
CONVERSIONS = [  # code, XYZ, L*a*b*
    ("#ffffff", (0.9505, 1.0000, 1.0890), (100.000, 0.000, 0.000)),
    ("#000000", (0.0000, 0.0000, 0.0000), (0.000, 0.000, 0.000)),
    ("#ff0000", (0.4124, 0.2126, 0.0193), (53.237, 80.090, 67.203)),
    ("#0000ff", (0.1805, 0.0722, 0.9505), (32.301, 79.195, -107.855)),
    ("#ff7f50", (0.5028, 0.3702, 0.1208), (67.293, 45.349, 47.492)),
    ("#e6e6fa", (0.7819, 0.8032, 1.0182), (91.828, 3.709, -9.661)),
]

# CSS Color Module named colours.
PALETTE = {
    "white": "#ffffff",
    "mistyrose": "#ffe4e1",
    "lightpink": "#ffb6c1",
    "hotpink": "#ff69b4",
    "red": "#ff0000",
    "firebrick": "#b22222",
    "orange": "#ffa500",
    "gold": "#ffd700",
    "khaki": "#f0e68c",
    "ivory": "#fffff0",
    "tan": "#d2b48c",
    "turquoise": "#40e0d0",
    "royalblue": "#4169e1",
    "purple": "#800080",
}

# coloraide 8.13.1 and colour-science 0.4.7 agree: nearest and second by CIEDE2000.
NEAREST = [  # code, nearest, difference, second, difference
    ("#ff7f50", "red", 15.497, "orange", 21.455),
    ("#ffdab9", "tan", 10.465, "mistyrose", 11.923),
    ("#e6e6fa", "white", 10.144, "mistyrose", 12.824),
    ("#f5f5dc", "ivory", 4.255, "white", 10.669),
    ("#6a5acd", "royalblue", 9.111, "purple", 21.257),
]


@pytest.fixture(scope="module")
def colour_science() -> ModuleType:
    """The reference library; it warns that it cannot draw, which nobody asked of it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


@pytest.mark.parametrize(("number", "first", "second", "difference"), PAIRS)
def test_published_pairs_differ_as_published(
    number: int, first: tuple[float, ...], second: tuple[float, ...], difference: float
) -> None:
    for pair in ((first, second), (second, first)):
        found = float(ours.ciede2000(np.array(pair[0]), np.array(pair[1])))
        assert found == pytest.approx(difference, abs=5e-5), f"pair {number}"


def test_ten_thousand_random_pairs_differ_as_the_reference_library_says(colour_science: ModuleType) -> None:
    random = np.random.default_rng(2005)
    first, second = (random.uniform((0, -110, -110), (100, 110, 110), (10_000, 3)) for _ in range(2))
    close = second.copy()
    close[:5000] = first[:5000] + random.normal(0, 2, (5000, 3))
    reference = colour_science.difference.delta_E_CIE2000(first, close)
    assert np.abs(ours.ciede2000(first, close) - reference).max() < 1e-9


@pytest.mark.parametrize(("code", "xyz", "lab"), CONVERSIONS)
def test_screen_colours_have_the_published_coordinates(
    code: str, xyz: tuple[float, ...], lab: tuple[float, ...]
) -> None:
    """XYZ was computed with the matrix rounded to four digits, hence the last digit's width."""
    srgb = conversions.srgb_from_hex(code)
    assert conversions.xyz_from_srgb(srgb) == pytest.approx(xyz, abs=1e-4)
    assert conversions.lab_from_srgb(srgb) == pytest.approx(lab, abs=6e-3)


def test_random_screen_colours_agree_with_the_reference_library(colour_science: ModuleType) -> None:
    """colour-science takes the matrix of IEC 61966-2-1 rounded to four digits, hence the width of 0.05."""
    srgb = np.random.default_rng(7).uniform(0, 1, (2000, 3))
    white = colour_science.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    reference = colour_science.XYZ_to_Lab(colour_science.sRGB_to_XYZ(srgb), white)
    assert np.abs(conversions.lab_from_srgb(srgb) - reference).max() < 0.05


@pytest.mark.parametrize(("code", "nearest", "difference", "second", "second_difference"), NEAREST)
def test_the_nearest_of_a_palette_is_found(
    code: str, nearest: str, difference: float, second: str, second_difference: float
) -> None:
    names = list(PALETTE)
    found = ours.nearest_colours(code, list(PALETTE.values()), count=2)
    assert [names[one.index] for one in found] == [nearest, second]
    assert [one.difference for one in found] == pytest.approx([difference, second_difference], abs=6e-4)
