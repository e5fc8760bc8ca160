"""Words are drawn as the outlines of the product's own fonts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.svgLib.path import parse_path
from fontTools.ttLib import TTFont

from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.picture.lettershapes import EM, FILES, FOLDER, is_known, word_shape
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import starter


@pytest.mark.parametrize("font", sorted(FILES))
def test_an_outline_is_as_large_as_the_font_has_it(font: str) -> None:
    # Reference: fontTools measures the glyph of the font file itself.
    file = TTFont(FOLDER / FILES[font])
    known, pen = BoundsPen(file.getGlyphSet()), BoundsPen(None)
    file.getGlyphSet()[file.getBestCmap()[ord("g")]].draw(known)
    parse_path(word_shape("g", font)[0], pen)
    left, low, right, high = (each * EM / file["head"].unitsPerEm for each in known.bounds)
    assert pen.bounds == pytest.approx((left, -high, right, -low), abs=1.5)


def test_words_are_as_wide_as_their_letters_together() -> None:
    assert word_shape("Mara", "sans")[1] == pytest.approx(sum(word_shape(one, "sans")[1] for one in "Mara"))


def test_a_sign_is_drawn_in_outlines_and_one_in_other_letters_as_text() -> None:
    design = starter("ring-half-moon")
    assert "<text" not in elevation_svg(take_off(design))
    other = replace(design, signs=(replace(design.signs[0], text="花"),))
    assert not is_known("花", "serif")
    assert ">花</text>" in elevation_svg(take_off(other))
