"""Letters and digits as strokes."""

from __future__ import annotations

import string

import numpy as np
import pytest
from shapely import LineString, MultiLineString, hausdorff_distance

from quoting.craft.geometry.glyphs import stroke_length, stroke_width, strokes_of


@pytest.mark.parametrize("glyph", string.ascii_uppercase + string.digits)
def test_each_letter_and_digit_stands_in_a_box_one_high(glyph: str) -> None:
    points = np.concatenate(strokes_of(glyph))
    assert points[:, 1].min() == pytest.approx(0.0, abs=0.01)
    assert points[:, 1].max() == pytest.approx(1.0, abs=0.01)
    assert points[:, 0].min() == pytest.approx(0.0, abs=0.02)
    assert stroke_width(glyph) < 1
    assert stroke_length(glyph) == pytest.approx(sum(LineString(line).length for line in strokes_of(glyph)))


def test_no_two_letters_or_digits_look_alike() -> None:
    shapes = {
        glyph: MultiLineString([line.tolist() for line in strokes_of(glyph)])
        for glyph in string.ascii_uppercase + string.digits
    }
    alike = [
        (one, other)
        for one in shapes
        for other in shapes
        if one < other and hausdorff_distance(shapes[one], shapes[other], densify=0.1) < 0.1
    ]
    assert alike == []


def test_nine_is_six_turned_over() -> None:
    six, nine = (np.concatenate(strokes_of(glyph)) for glyph in "69")
    turned = LineString(np.array([0.62, 1.0]) - six)
    assert turned.hausdorff_distance(LineString(nine)) < 0.02


def test_any_other_sign_has_no_strokes() -> None:
    with pytest.raises(KeyError):
        strokes_of("?")
