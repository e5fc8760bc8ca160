"""Colours of a picture, checked on charts of published colours and against a transport problem solved by hand."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from quoting.craft.colour.picture_colours import palette_distance, picture_colours
from studio.trade.colour import lab_of, srgb_from_hex
from studio.trade.colour_difference import difference
from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray

# Named colours of CSS Color Module Level 4 (W3C), section 6.1, with their sRGB values.
CHART = {
    "steelblue": "#4682B4",
    "khaki": "#F0E68C",
    "tomato": "#FF6347",
    "seagreen": "#2E8B57",
    "plum": "#DDA0DD",
    "sienna": "#A0522D",
}
GROUND = "#F5F5F5"  # whitesmoke


def chart() -> FloatArray:
    """Six patches of 40 by 40 pixels in two rows, 20 apart on the ground."""
    picture = np.ones((140, 200, 3)) * srgb_from_hex(GROUND)
    for k, code in enumerate(CHART.values()):
        top, left = 20 + 60 * (k // 3), 20 + 60 * (k % 3)
        picture[top : top + 40, left : left + 40] = srgb_from_hex(code)
    return picture


def photographed(picture: FloatArray) -> FloatArray:
    """The picture with a sensor's noise, light that falls off to one side, and a camera's JPEG."""
    rng = np.random.default_rng(4)
    lit = picture * np.linspace(1.0, 0.94, picture.shape[1])[None, :, None]
    noisy = np.clip(lit + rng.normal(0, 0.012, picture.shape), 0, 1)
    out = io.BytesIO()
    Image.fromarray((255 * noisy).round().astype(np.uint8)).save(out, "JPEG", quality=88)
    return np.asarray(Image.open(out), dtype=np.float64) / 255


def test_every_patch_of_a_photographed_chart_is_found_within_a_difference_of_three() -> None:
    found = picture_colours(photographed(chart()))
    before = [one for one in found.colours if not one.is_behind]
    assert len(before) == len(CHART)
    for code in CHART.values():
        nearest = min(before, key=lambda one: difference(lab_of(one.hex), lab_of(code)))
        assert difference(lab_of(nearest.hex), lab_of(code)) < 3, code
        assert nearest.share == pytest.approx(40 * 40 / (140 * 200), abs=0.006)


def test_the_wall_behind_is_told_from_the_piece() -> None:
    found = picture_colours(chart())
    assert [one.hex for one in found.colours if one.is_behind] == [GROUND.lower()]
    assert found.proportion == pytest.approx(160 / 100, rel=0.06)


def test_a_piece_that_reaches_the_edge_of_the_picture_is_not_taken_for_the_wall() -> None:
    picture = np.ones((100, 140, 3)) * srgb_from_hex(GROUND)
    picture[20:, 30:110] = srgb_from_hex("#A0522D")  # down to the lower edge
    found = {one.hex.upper(): one for one in picture_colours(picture).colours}
    assert not found["#A0522D"].is_behind
    assert found[GROUND].is_behind


def test_the_same_picture_gives_the_same_colours() -> None:
    picture = photographed(chart())
    assert picture_colours(picture) == picture_colours(picture)


@pytest.mark.parametrize("code", ["#000000", "#FFFFFF", "#7F7F7F"])
def test_a_picture_of_one_colour_has_that_colour(code: str) -> None:
    found = picture_colours(np.ones((12, 9, 3)) * srgb_from_hex(code))
    assert [(one.hex.upper(), one.share) for one in found.colours] == [(code, 1.0)]
    assert found.proportion == pytest.approx(9 / 12)


def test_a_tiny_picture_is_refused() -> None:
    with pytest.raises(CraftError, match="at least 8 by 8"):
        picture_colours(np.ones((4, 40, 3)))


def test_the_distance_of_two_palettes_is_the_cheapest_transport() -> None:
    # By hand: two colours each in halves. Either both stay straight or both cross; the cheaper of the two counts.
    a, b, c, d = (lab_of(code) for code in ("#4682B4", "#F0E68C", "#2E8B57", "#FF6347"))
    straight = (difference(a, c) + difference(b, d)) / 2
    crossed = (difference(a, d) + difference(b, c)) / 2
    found = palette_distance([("#4682B4", 1), ("#F0E68C", 1)], [("#2E8B57", 30), ("#FF6347", 30)])
    assert found == pytest.approx(min(straight, crossed), abs=1e-6)


def test_the_distance_of_two_single_colours_is_their_difference() -> None:
    found = palette_distance([("#4682B4", 0.2)], [("#F0E68C", 0.9)])
    assert found == pytest.approx(difference(lab_of("#4682B4"), lab_of("#F0E68C")), abs=1e-6)


def test_the_distance_is_the_same_both_ways() -> None:
    first, second = (
        [("#4682B4", 0.7), ("#F0E68C", 0.3)],
        [("#2E8B57", 0.1), ("#FF6347", 0.5), ("#DDA0DD", 0.4)],
    )
    assert palette_distance(first, second) == pytest.approx(palette_distance(second, first), abs=1e-6)


def test_an_empty_palette_is_refused() -> None:
    with pytest.raises(CraftError, match="empty"):
        palette_distance([], [("#4682B4", 1.0)])
