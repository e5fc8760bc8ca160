"""Widths of words, checked with fontTools on the product's own font files."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.transformPen import TransformPen

from quoting.craft.design.faults import FaultCode
from quoting.craft.design.letters import (
    CAPITAL,
    SLANT,
    TABLE,
    lettering_faults,
    lettering_width_m,
    sign_letters,
    text_width,
)
from quoting.craft.design.records import Sign
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.picture.lettershapes import word_shape
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.design.measured_letters import FAMILIES, measured, opened, written
from tests.quoting.craft.design.thing_designs import LETTERING, furnished


def test_the_table_is_what_the_fonts_measure_today() -> None:
    assert json.loads(TABLE.read_text(encoding="utf-8")) == json.loads(written(measured()))


@pytest.mark.parametrize("font", ["serif", "sans"])
@pytest.mark.parametrize("text", ["Mara turns 40", "Grüße & Küsse", "Hyvää syntymäpäivää", "1234567890"])
def test_words_are_as_wide_as_the_font_lays_them_without_kerning(text: str, font: str) -> None:
    file = opened(FAMILIES[font], "latin")
    names, size = file.getBestCmap(), file["head"].unitsPerEm
    laid = sum(file["hmtx"][names[ord(letter)]][0] for letter in text) / size
    assert text_width(text, font) == pytest.approx(laid, abs=0.0006 * len(text))
    assert file["OS/2"].sCapHeight / size == CAPITAL


@pytest.mark.parametrize(("text", "width"), [("花嫁", 2.0), ("Ж", 0.6), ("a\u0301", None), ("مارا", 2.4)])
def test_letters_of_other_scripts_are_reckoned(text: str, width: float | None) -> None:
    assert text_width(text, "sans") == pytest.approx(width or text_width("a", "sans"))


def ink(text: str, size: float, line: float) -> tuple[float, float, float, float]:
    """Left, right, bottom and top of slanted words set in the middle, by the outlines of the font's own file."""
    font = opened(FAMILIES["serif"], "latin")
    glyphs, names, unit = font.getGlyphSet(), font.getBestCmap(), font["head"].unitsPerEm
    start, boxes = -sum(font["hmtx"][names[ord(letter)]][0] for letter in text) / 2, []
    for letter in text:
        pen = BoundsPen(glyphs)
        glyphs[names[ord(letter)]].draw(TransformPen(pen, (1, 0, SLANT, 1, start, 0)))
        start += font["hmtx"][names[ord(letter)]][0]
        boxes += [pen.bounds] if pen.bounds else []
    left, bottom, right, top = zip(*boxes, strict=True)
    across = (min(left) * size / unit, max(right) * size / unit)
    return (*across, min(bottom) * size / unit - line, max(top) * size / unit - line)


@pytest.mark.parametrize("text", ["hello", "happy", "Mara & Jan", "sun", "ÉTÉ", "1", "oh baby, (yes)!"])
@pytest.mark.parametrize("box", [(0.9, 0.3), (0.5, 0.5), (2.0, 0.2)])
def test_words_fill_their_sign_as_wide_or_as_high_as_goes(text: str, box: tuple[float, float]) -> None:
    """Measured with fontTools: no ink outside of the sign, and one side of it is nearly full."""
    sign = Sign(item="s", label="Sign", text=text, width_m=box[0], height_m=box[1], x_m=0, y_m=0)
    letters = sign_letters(sign)
    left, right, bottom, top = ink(text, letters.size_m, letters.line_m)
    assert max(-left, right) <= box[0] / 2
    assert max(-bottom, top) <= box[1] / 2
    assert max((right - left) / box[0], (top - bottom) / box[1]) > 0.74


@pytest.mark.parametrize("part", ["latin", "latin-ext"])
def test_no_letter_of_the_font_reaches_out_of_its_sign(part: str) -> None:
    font = opened(FAMILIES["serif"], part)
    glyphs, unit = font.getGlyphSet(), font["head"].unitsPerEm
    for code, name in font.getBestCmap().items():
        pen = BoundsPen(glyphs)
        glyphs[name].draw(pen)
        if pen.bounds is None or not chr(code).isprintable():
            continue
        sign = Sign(item="s", label="Sign", text=chr(code), width_m=9, height_m=1, x_m=0, y_m=0)
        letters = sign_letters(sign)
        _, bottom, _, top = (each * letters.size_m / unit for each in pen.bounds)
        assert bottom - letters.line_m >= -0.5, chr(code)
        assert top - letters.line_m <= 0.5, chr(code)


def test_a_greeting_of_five_letters_fills_a_sign_of_its_kind() -> None:
    """A sign of 3 ft by 1 ft: the words are more than four fifths of it wide, before they were half."""
    hello = Sign(item="s", label="Sign", text="hello", width_m=0.9, height_m=0.3, x_m=0, y_m=0)
    left, right, *_ = ink("hello", sign_letters(hello).size_m, sign_letters(hello).line_m)
    assert (right - left) / 0.9 > 0.8


def test_words_wider_than_their_frame_are_a_fault_of_a_new_design() -> None:
    assert lettering_faults(furnished()) == []
    long = replace(LETTERING, text="Mara " * 9, height_m=0.2)
    (fault,) = lettering_faults(replace(furnished(), letterings=(long,)))
    assert (fault.code, fault.field, fault.high) == (FaultCode.WORDS_TOO_WIDE, "letterings[0].text", 1.2)


def test_words_are_billed_timed_and_drawn_as_wide_as_they_are() -> None:
    takeoff = take_off(furnished())
    (line,) = [one for one in takeoff.bill() if one.part == "letterings"]
    assert (line.quantity, line.label) == (1, "Lettering “Mara turns 40”")
    assert {task.name: task.minutes for task in takeoff.tasks}["Put on letterings"] == pytest.approx(480 / 60)
    assert "Put on the words “Mara turns 40”, the lowest line first." in build_sheet(takeoff).steps
    drawn = re.search(r'<path id="v0" d="[^"]*" transform="scale\(([\d.]+) ', elevation_svg(takeoff))
    assert drawn
    assert float(drawn[1]) * word_shape(LETTERING.text, LETTERING.font)[1] == pytest.approx(
        lettering_width_m(LETTERING) * 200, abs=0.1
    )


def test_two_letterings_alike_are_one_line_and_others_are_not() -> None:
    other = replace(LETTERING, id="b", y_m=1.0)
    for second, lines in ((other, [2]), (replace(other, hex="#B8863B"), [1, 1])):
        design = replace(furnished(), letterings=(LETTERING, second))
        assert [one.quantity for one in take_off(design).bill() if one.part == "letterings"] == lines
