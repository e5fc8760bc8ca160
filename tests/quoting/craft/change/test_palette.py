"""Another palette: rounds, drawn walls and inner colours go with it."""

from __future__ import annotations

from dataclasses import replace

from quoting.craft.change.palette import placed_colours, with_palette
from quoting.craft.design.checks import cross_faults
from quoting.craft.design.records import Design, PaletteColour, Wall
from quoting.set_pieces import alter
from tests.quoting.craft.design.thing_designs import INK, OAT, ROUND, furnished
from tests.quoting.set_pieces.test_signs import OWNED

PLUM = PaletteColour(colour="plum", name="Plum", hex="#5A2A4A", share=0.0)
WALL = Wall(id="w", width_m=1.0, height_m=1.0, size_in=11, sized_m=0.23, pattern="drawn", grid=("012", "210"))


def drawn() -> Design:
    return replace(furnished(), palette=(OAT, INK, PLUM), walls=(WALL,))


def test_marks_of_a_drawn_wall_follow_their_colours() -> None:
    assert with_palette(drawn(), (PLUM, INK, OAT)).walls[0].grid == ("210", "012")
    assert with_palette(drawn(), (INK, OAT)).walls[0].grid == ("100", "001")
    assert with_palette(drawn(), (INK, OAT), {"plum": "oat"}).walls[0].grid == ("101", "101")


def test_rounds_keep_their_colour_take_its_new_name_or_else_the_first() -> None:
    ink, renamed, gone = (
        with_palette(drawn(), palette, names).rounds[0].colour
        for palette, names in (((OAT, INK), None), ((OAT, PLUM), {"ink": "plum"}), ((OAT, PLUM), None))
    )
    assert (ink, renamed, gone) == ("ink", "plum", "oat")


def test_a_colour_within_another_keeps_its_look_where_it_leaves_the_palette() -> None:
    deep = replace(OAT, share=1.0, finish="double-stuffed", inner="plum")
    design = with_palette(replace(drawn(), palette=(deep, INK, PLUM)), (deep,))
    assert (design.palette[0].inner, design.palette[0].inner_name, design.palette[0].inner_hex) == (
        "plum", "Plum", "#5A2A4A",
    )  # fmt: skip
    assert cross_faults(design) == []


def test_what_single_things_need_is_named() -> None:
    assert placed_colours(drawn()) == {"oat", "ink", "plum"}
    assert placed_colours(replace(furnished(), rounds=(ROUND,))) == {"ink"}
    deep = replace(OAT, finish="double-stuffed", inner="plum")
    assert placed_colours(replace(drawn(), palette=(deep, INK, PLUM), walls=(), rounds=())) == {"plum"}


def test_a_grid_that_no_wall_is_drawn_by_needs_no_colour() -> None:
    scattered = replace(drawn(), walls=(replace(WALL, pattern="scatter", grid=("0f2", "210")),))
    assert placed_colours(scattered) == {"ink"}


def test_a_colour_without_a_share_stays_where_a_round_needs_it() -> None:
    changed = alter.altered(furnished(), {"share.ink": 0.0}, OWNED)
    assert [(one.colour, one.share) for one in changed.palette] == [("oat", 1.0), ("ink", 0.0)]
    without = alter.altered(replace(furnished(), rounds=()), {"share.ink": 0.0}, OWNED)
    assert [one.colour for one in without.palette] == ["oat"]
