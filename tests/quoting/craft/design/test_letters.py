"""Widths of words, checked with fontTools on the product's own font files."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from quoting.craft.design.faults import FaultCode
from quoting.craft.design.letters import CAPITAL, TABLE, lettering_faults, lettering_width_m, text_width
from quoting.craft.picture.elevation import elevation_svg
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
    assert f'textLength="{lettering_width_m(LETTERING) * 200:.1f}"' in elevation_svg(takeoff)


def test_two_letterings_alike_are_one_line_and_others_are_not() -> None:
    other = replace(LETTERING, id="b", y_m=1.0)
    for second, lines in ((other, [2]), (replace(other, hex="#B8863B"), [1, 1])):
        design = replace(furnished(), letterings=(LETTERING, second))
        assert [one.quantity for one in take_off(design).bill() if one.part == "letterings"] == lines
