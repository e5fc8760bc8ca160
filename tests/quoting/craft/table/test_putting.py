"""Things are put where they belong: before what is there, on the frame behind them, beside others."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.colour.grids import lettered_grid
from quoting.craft.design.boxes import prop_box, round_box
from quoting.craft.design.design_file import load_design
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import FRAME_SHAPES, OwnedSize
from quoting.craft.design.things import PROP_LOOKS
from quoting.craft.settle.classic import wall_cells
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import SaidCode
from quoting.craft.table.acts import apply, read_act
from quoting.craft.table.boxes import box_of
from quoting.craft.table.limits import limits
from quoting.craft.table.snapping import Why
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import FOLDER
from tests.quoting.craft.table.tables import LOW, OAT, SHELF, TALL, codes, done, over_both_arches, table


def test_two_owned_arches_put_side_by_side_stand_nested() -> None:
    first = done(table(), "put-frame", item="arch-6ft", x_m=-0.4)
    second = done(first.design, "put-frame", item="arch-7ft", x_m=0.38)
    low, tall = second.design.frames
    assert (low.z_m, tall.z_m) == (0.0, -0.2)
    assert [guide.why for guide in second.guides] == [Why.NESTED, Why.FLOOR]
    assert limits(second.design) == ()
    assert [size.item for size in tall.sizes] == ["arch-6ft", "arch-7ft"]


def test_a_frame_behind_another_stands_a_step_behind_it() -> None:
    acted = done(table(LOW), "put-frame", item="arch-7ft", x_m=LOW.x_m)
    assert acted.design.frames[1].z_m == pytest.approx(-0.2)


def test_a_frame_nests_with_the_one_that_it_overlaps() -> None:
    far = replace(LOW, id="far", x_m=-2.5, z_m=0.6)
    acted = done(table(far, replace(LOW, z_m=0.3)), "put-frame", item="arch-7ft", x_m=0.37)
    assert acted.guides[0].other == "frame:low"
    assert acted.design.frames[2].z_m == pytest.approx(0.1)


@pytest.mark.parametrize("shape", FRAME_SHAPES)
def test_a_frame_of_every_shape_can_be_made_to_measure(shape: str) -> None:
    acted = done(table(), "put-frame", shape=shape, width_m=1.1, height_m=2.0, x_m=0.9)
    assert codes(acted) == [SaidCode.PUT, SaidCode.MADE_TO_MEASURE]
    box = box_of(acted.design, acted.design.frames[0])
    assert 0.3 < box.left < box.right < 1.5 + 1e-6
    assert len(take_off(acted.design).bill()) > 0


def test_an_arch_made_too_low_is_as_high_as_its_semicircle() -> None:
    assert (
        done(table(), "put-frame", shape="arch-top", width_m=2.0, height_m=0.5).design.frames[0].height_m
        == 1.0
    )


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("put-frame", {"item": "arch-9ft"}),
        ("put-sign", {"item": "none"}),
        ("put-prop", {"item": "none"}),
        ("put-spray", {"item": "none"}),
        ("put-foil", {"item": "none"}),
    ],
)
def test_what_the_studio_does_not_own_is_a_fault_at_item(name: str, values: dict[str, object]) -> None:
    with pytest.raises(DesignError) as refused:
        done(table(LOW), name, **values)
    assert [(fault.code, fault.field) for fault in refused.value.faults] == [(FaultCode.NOT_OWNED, "item")]


def test_a_sign_hangs_from_the_foremost_frame_behind_it() -> None:
    two = table(TALL, LOW)
    over_both = done(two, "put-sign", item="sign-hello", x_m=-0.1, y_m=1.2).design.signs[0]
    assert (over_both.frame, over_both.text, over_both.lit) == ("low", "hello", True)
    assert done(two, "put-sign", item="board", x_m=2.5, y_m=1.2).design.signs[0].frame == ""


def test_a_round_lies_before_the_garland_and_on_the_floor() -> None:
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    high = done(design, "put-round", size_in=24, x_m=-0.95, y_m=1.0).design.rounds[0]
    line = route_in(design, 0).points
    assert high.z_m - high.sized_m / 2 > line[:, 2].max()
    low = done(design, "put-round", size_in=36, x_m=2.0, y_m=0.1).design.rounds[0]
    assert round_box(low).bottom == pytest.approx(0.0, abs=1e-3)


def test_a_round_of_a_colour_that_the_palette_lacks_is_a_fault_at_colour() -> None:
    with pytest.raises(DesignError) as refused:
        done(table(), "put-round", colour="gold")
    assert [(fault.code, fault.field) for fault in refused.value.faults] == [
        (FaultCode.UNKNOWN_COLOUR, "colour")
    ]


def test_letters_go_on_a_cover_and_fit_it() -> None:
    short = done(table(LOW), "put-lettering", text="six!", x_m=-0.4, y_m=1.0).design
    long = done(table(LOW), "put-lettering", text="Happy birthday Maya", x_m=-0.4, y_m=1.0).design
    assert short.letterings[0].frame == long.letterings[0].frame == "low"
    assert long.letterings[0].height_m < short.letterings[0].height_m
    assert box_of(long, long.letterings[0]).width_m < LOW.width_m


def test_letters_on_a_bare_frame_are_refused() -> None:
    with pytest.raises(DesignError) as refused:
        done(table(replace(LOW, cover=None)), "put-lettering", text="six!", x_m=-0.4, y_m=1.0)
    assert [fault.code for fault in refused.value.faults] == [FaultCode.NO_COVER_THERE]


def test_letters_do_not_go_through_shimmering_panels_before_a_cover() -> None:
    before = replace(TALL, cover=None, filling="shimmer", z_m=0.3, x_m=LOW.x_m)
    with pytest.raises(DesignError) as refused:
        done(table(LOW, before), "put-lettering", text="six!", x_m=LOW.x_m, y_m=1.0)
    assert refused.value.faults[0].code is FaultCode.NO_COVER_THERE


@pytest.mark.parametrize("look", PROP_LOOKS)
def test_every_prop_stands_on_the_floor_clear_of_the_frames(look: str) -> None:
    prop = done(table(TALL, LOW), "put-prop", look=look, x_m=0.1).design.props[0]
    box = prop_box(prop)
    assert box.bottom == 0.0
    assert look == "rug" or box.rear > LOW.z_m or box.front < TALL.z_m


def test_a_prop_stands_as_far_before_the_frames_as_it_is_deep() -> None:
    # By hand: 0.35 m from the foremost frame at 0 to the near side of a crate of 0.3 m.
    assert done(table(TALL, LOW), "put-prop", item="crate").design.props[0].z_m == pytest.approx(0.5)


def test_letters_take_four_fifths_of_their_frame_at_most() -> None:
    text = "Happy birthday Maya"
    long = done(table(LOW), "put-lettering", text=text, x_m=-0.42, y_m=1.0).design
    assert box_of(long, long.letterings[0]).width_m == pytest.approx(0.8 * LOW.width_m, abs=0.01)


def test_a_second_prop_put_on_a_plinth_stands_on_it() -> None:
    plinth = done(table(), "put-prop", look="plinth", x_m=1.0).design
    crate = done(plinth, "put-prop", item="crate", x_m=2.0).design
    on_top = done(crate, "move", thing="prop:prop-2", x_m=1.0, y_m=0.88)
    assert on_top.design.props[1].base_m == pytest.approx(0.9)


def test_a_column_is_what_the_starter_of_columns_has() -> None:
    starter = load_design(FOLDER / "classic-columns.json")
    acted = done(replace(starter, frames=(), garlands=()), "put-column", x_m=0.0, height_m=2.0)
    assert acted.thing == "garland:column-1"
    assert 2 * len(take_off(acted.design).balloons) == len(take_off(starter).balloons)


def test_a_column_takes_a_pole_of_the_studio_where_it_has_one() -> None:
    pole = OwnedSize(item="pole-column", label="Column pole", width_m=0.03, height_m=2.0, weight_kg=8.0)
    shelf = replace(SHELF, frames={**SHELF.frames, "column": (pole,)})
    owned = apply(table(), read_act("put-column", {}), shelf)
    assert (owned.design.frames[0].item, owned.design.frames[0].height_m) == ("pole-column", 2.0)
    assert codes(owned) == [SaidCode.PUT]
    asked = apply(table(), read_act("put-column", {"height_m": 2.6}), shelf)
    assert (asked.design.frames[0].item, asked.design.frames[0].height_m) == ("pole-260", 2.6)
    assert codes(asked) == [SaidCode.PUT, SaidCode.MADE_TO_MEASURE]


def test_a_wall_stands_behind_the_frames_and_a_bouquet_beside() -> None:
    walled = done(table(TALL, LOW), "put-wall").design
    assert walled.walls[0].z_m < TALL.z_m
    assert len(take_off(done(walled, "put-bouquet", x_m=1.8).design).balloons) > 200


def test_a_word_stands_on_a_wall_in_the_colour_that_is_read_best() -> None:
    """By eye: on oat pearl can't be read, and ink can."""
    pearl = replace(OAT, colour="pearl", name="Pearl", hex="#F4EFE6", share=0.0)
    oat, ink = table().palette
    design = replace(table(), palette=(oat, pearl, ink))
    wall = done(design, "put-wall", width_m=5.0, height_m=2.2, word="MAX").design.walls[0]
    assert set("".join(wall.grid)) == {"0", "2"}


def test_a_word_is_written_in_a_wall_in_the_second_colour() -> None:
    plain = done(table(), "put-wall", width_m=5.0, height_m=2.2).design
    design = done(table(), "put-wall", width_m=5.0, height_m=2.2, word=" MAX ").design
    assert design.walls[0].grid == lettered_grid("MAX", *wall_cells(plain.walls[0]))
    counts = take_off(design).counts
    share = counts[11, "ink"] / sum(counts.values())
    cells = "".join(design.walls[0].grid)
    assert share == pytest.approx(cells.count("1") / len(cells), abs=0.03)


@pytest.mark.parametrize(
    ("word", "code"), [("MAXIMILIAN", FaultCode.WORD_TOO_LONG), ("花", FaultCode.UNKNOWN_CHOICE)]
)
def test_a_word_that_the_wall_cannot_hold_is_a_fault_at_word(word: str, code: FaultCode) -> None:
    with pytest.raises(DesignError) as refused:
        done(table(), "put-wall", width_m=2.4, height_m=2.2, word=word)
    assert [(fault.code, fault.field) for fault in refused.value.faults] == [(code, "word")]


def test_letters_of_one_colour_are_refused() -> None:
    with pytest.raises(DesignError) as refused:
        done(replace(table(), palette=(replace(OAT, share=1.0),)), "put-wall", word="A")
    assert [(fault.code, fault.field) for fault in refused.value.faults] == [(FaultCode.ONE_COLOUR, "word")]


def test_digits_of_foil_are_as_many_balloons() -> None:
    design = done(table(), "put-foil", item="digits", text="16", x_m=0.0, y_m=1.4).design
    assert (design.foils[0].text, design.foils[0].flat_m) == ("16", 0.86)
    star = done(table(), "put-foil", shape="star", flat_m=0.45).design
    assert star.foils[0].text == ""


def test_a_spray_is_put_before_what_is_there() -> None:
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    spray = done(design, "put-spray", item="fern", x_m=-0.95, y_m=1.0).design.sprays[0]
    assert spray.z_m > route_in(design, 0).points[:, 2].max()


def test_a_candle_stands_on_the_table_that_is_there_whether_frame_or_prop() -> None:
    laid = load_design(FOLDER / "table-garland.json")
    on_cloth = done(laid, "put-prop", look="candle", x_m=0.4)
    (candle,) = on_cloth.design.props
    assert (candle.base_m, candle.z_m) == pytest.approx((laid.frames[0].height_m, laid.frames[0].z_m))
    assert [guide.why for guide in on_cloth.guides] == [Why.ON_TOP]
    with_table = done(table(LOW), "put-prop", look="table", x_m=2.0).design
    both = done(with_table, "put-prop", look="candle", x_m=2.1).design
    assert both.props[1].base_m == pytest.approx(both.props[0].height_m)


def test_a_candle_beside_the_table_and_a_plinth_before_it_stand_on_the_floor() -> None:
    laid = load_design(FOLDER / "table-garland.json")
    assert done(laid, "put-prop", look="candle", x_m=2.4).design.props[0].base_m == 0
    assert done(laid, "put-prop", look="plinth", x_m=0.4).design.props[0].base_m == 0


def test_what_comes_near_a_laid_table_goes_on_its_top() -> None:
    laid = done(load_design(FOLDER / "table-garland.json"), "put-prop", look="box", x_m=0.4).design
    (box,) = laid.props
    moved = done(laid, "move", thing=f"prop:{box.id}", x_m=0.4, y_m=0.8).design.props[0]
    assert moved.base_m == pytest.approx(laid.frames[0].height_m)
