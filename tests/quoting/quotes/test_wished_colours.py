"""A sketch starts in the colors that the client wished, as far as the studio has them."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.wishes.wishes import Wished, keep_wishes
from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.takeoff.takeoff import take_off
from quoting.quotes import sketch
from quoting.quotes.wished_colours import find_wished, with_wished
from tests import shelf
from tests.people import House
from tests.quoting import scenes

OWN = {
    "sage": ("Sage", "#A9B79B"),
    "oat": ("Oat", "#EFE6D6"),
    "ink": ("Ink", "#2E4454"),
    "pale-grey": ("Pale grey", "#C9CCCB"),
    "brick": ("Brick", "#A4553F"),
}


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        ("sage and cream", ["sage", "oat"]),
        ("Sage, pale grey & INK", ["sage", "pale-grey", "ink"]),
        ("sage und creme", ["sage"]),
        ("rust with sage with rust", ["brick", "sage"]),
        ("some soft sage; a touch of linen", ["sage", "oat"]),
        ("sage balloons with ink accents", ["sage", "ink"]),
        ("something festive", []),
        ("", []),
    ],
)
def test_words_find_the_studios_colors(words: str, codes: list[str]) -> None:
    assert find_wished(words, OWN) == codes


def test_a_color_far_from_all_that_is_there_is_passed_over() -> None:
    # CSS Color Module Level 4: "magenta" is #FF00FF, far from all five.
    assert find_wished("magenta and lime", OWN) == []
    assert find_wished("sage", {}) == []


@pytest.mark.parametrize("path", sorted(STARTERS.glob("*.json")), ids=lambda path: path.stem)
def test_every_starter_takes_wished_colors_or_stays_as_it_is(path: object) -> None:
    design = load_design(path)  # type: ignore[arg-type]
    wished = with_wished(design, "sage and cream", OWN)
    assert [colour.colour for colour in wished.palette] == ["sage", "oat"]
    assert sum(Decimal(str(colour.share)) for colour in wished.palette) == 1


@given(st.text(max_size=200))
def test_any_words_leave_a_palette_that_adds_up(words: str) -> None:
    design = load_design(STARTERS / "table-garland.json")
    palette = with_wished(design, words, OWN).palette
    assert sum(Decimal(str(colour.share)) for colour in palette) == 1


@pytest.mark.django_db
def test_a_quote_starts_in_the_colors_of_the_call(wickerlark: House) -> None:
    with wickerlark.enter():
        template = scenes.starter(wickerlark.studio)
        event = scenes.event()
        known = shelf.colours(dict(OWN.values()))
        shelf.put([(shelf.latex(colour, 11), 100) for colour in known.values()])
        keep_wishes(event, Wished(colours="sage and ink"))
        piece = sketch.start_quote(event, template).pieces.get()
        balloons = {
            line.code.rpartition("-")[2] for line in piece.takeoff.bill if line.code.startswith("latex-")
        }
    assert [one["colour"] for one in piece.design["palette"]] == ["sage", "ink"]
    assert balloons <= {"sage", "ink"}


def test_a_word_on_a_wall_stays_in_a_color_of_its_own() -> None:
    design = load_design(STARTERS / "ombre-wall.json")
    drawn = replace(design, walls=(replace(design.walls[0], pattern="drawn", grid=("01", "10")),))
    wished = with_wished(drawn, "sage and ink", OWN)
    marks = wished.walls[0].grid[0]
    assert {wished.palette[int(mark)].colour for mark in marks} == {"sage", "ink"}


def test_a_design_in_wished_colors_is_counted_in_them() -> None:
    design = with_wished(load_design(STARTERS / "garland-nested-arches.json"), "sage and ink", OWN)
    codes = {
        line.code.rpartition("-")[2] for line in take_off(design).bill() if line.code.startswith("latex-")
    }
    assert {"sage", "ink"} <= codes <= {"sage", "ink", "260"}
