"""Single things keep what they hang or stand on when a design is scaled."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.change.scaling import as_they_are, spread, taken
from quoting.craft.design.boxes import box_around, foil_box
from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.records import Bouquet, Design, Sign, Wall
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray
from tests.quoting.craft.table.tables import ARCHES, LOW, TALL, table

PLINTH = Prop(
    id="plinth",
    item="plinth",
    label="Plinth",
    look="plinth",
    width_m=0.4,
    height_m=0.9,
    depth_m=0.4,
    x_m=-1.6,
)
CRATE = Prop(
    id="crate",
    item="crate",
    label="Crate",
    look="box",
    width_m=0.3,
    height_m=0.2,
    depth_m=0.3,
    x_m=-1.5,
    base_m=0.9,
)
ON_FLOOR = Round(id="floor", size_in=24, sized_m=0.55, colour="oat", x_m=1.6, y_m=0.275)
ON_CRATE = Round(id="crate", size_in=11, sized_m=0.27, colour="oat", x_m=-1.45, y_m=1.1 + 0.135)
ON_ARCH = Round(id="arch", size_in=11, sized_m=0.27, colour="oat", x_m=1.03, y_m=1.065, frame="tall")
AFLOAT = Round(id="air", size_in=36, sized_m=0.9, colour="oat", x_m=2.0, y_m=2.5, gas="helium")
WORDS = Lettering(id="words", text="six!", height_m=0.1, x_m=0.72, y_m=1.065, frame="tall")
HUNG = Sign(
    id="hung",
    item="board",
    label="Board",
    text="six!",
    width_m=0.3,
    height_m=0.2,
    x_m=0.42,
    y_m=1.2,
    frame="tall",
)
STANDING = Sign(
    id="stand", item="easel", label="Board", text="six!", width_m=0.5, height_m=0.7, x_m=2.5, y_m=0.35
)
STAR = Foil(id="star", item="star", label="Star", shape="star", flat_m=0.45, hex="#D9B45B", x_m=-1.6, y_m=2.0)
FERN = Spray(id="fern", item="fern", label="Fern", hex="#6B8A5E", x_m=-1.6, y_m=2.0, size_m=0.3)


def furnished(*, made_to_measure: bool = False) -> Design:
    """Two arches with things on them, on the floor, on a crate on a plinth, and afloat."""
    sizes = () if made_to_measure else ARCHES
    foil = replace(STAR, y_m=STAR.y_m + 0.9 - foil_box(STAR).bottom)
    return replace(
        table(replace(LOW, sizes=sizes), replace(TALL, sizes=sizes)),
        rounds=(ON_FLOOR, ON_CRATE, ON_ARCH, AFLOAT),
        props=(CRATE, PLINTH),
        letterings=(WORDS,),
        signs=(HUNG, STANDING),
        foils=(foil,),
        sprays=(FERN,),
    )


def test_what_is_on_a_frame_keeps_its_place_of_it_when_frames_are_moved_apart() -> None:
    spread_out = spread(furnished(), 1.5).design
    # By hand: the tall arch goes from 0.42 to 0.63 m; what is on it goes by the same 0.21 m.
    assert spread_out.letterings[0].x_m == pytest.approx(0.72 + 0.21)
    assert spread_out.signs[0].x_m == pytest.approx(0.63)
    assert spread_out.rounds[2].x_m == pytest.approx(1.03 + 0.21)


def test_what_is_on_a_frame_grows_with_it() -> None:
    design = furnished()
    lower = taken(design, (ARCHES[0], ARCHES[0]), 1.83)
    tall = lower.frame("tall")
    assert tall is not None
    # By hand: halfway up the arch, and 0.3 / 1.22 of its width to the right of its middle.
    assert lower.letterings[0].y_m == pytest.approx(1.83 / 2)
    assert lower.letterings[0].x_m == pytest.approx(tall.x_m + 0.3 / 1.22 * 1.07)


def test_what_stands_stays_on_the_floor_and_on_its_prop() -> None:
    higher = taken(furnished(made_to_measure=True), (None, None), 3.9)
    assert higher.frames[1].height_m > 2.5
    floor, crate, _, _ = higher.rounds
    assert (box_around(floor).bottom, box_around(higher.signs[1]).bottom) == pytest.approx((0.0, 0.0))
    assert [prop.base_m for prop in higher.props] == [0.9, 0.0]
    assert box_around(crate).bottom == pytest.approx(1.1)
    assert foil_box(higher.foils[0]).bottom == pytest.approx(0.9)


def test_what_stands_on_a_prop_goes_aside_with_it() -> None:
    spread_out = spread(furnished(), 1.5).design
    crate, plinth = spread_out.props
    assert plinth.x_m == pytest.approx(-2.4)
    assert crate.x_m - plinth.x_m == pytest.approx(0.1)
    assert spread_out.rounds[1].x_m - plinth.x_m == pytest.approx(0.15)
    assert spread_out.foils[0].x_m == pytest.approx(plinth.x_m)


def test_what_neither_hangs_nor_stands_is_scaled() -> None:
    before = furnished(made_to_measure=True)
    wider = spread(before, 1.5).design
    higher = taken(before, (None, None), 3.9)
    up = higher.frames[1].height_m / before.frames[1].height_m
    assert (wider.rounds[3].x_m, wider.sprays[0].x_m) == pytest.approx((3.0, -2.4))
    assert (higher.rounds[3].y_m, higher.sprays[0].y_m) == pytest.approx((2.5 * up, 2.0 * up))


def test_two_props_at_one_place_do_not_stand_on_each_other() -> None:
    rug = Prop(id="rug", item="rug", label="Rug", look="rug", width_m=2, height_m=0.01, depth_m=1, x_m=1)
    two = replace(furnished(), props=(rug, replace(rug, id="other")))
    assert [prop.x_m for prop in spread(two, 1.5).design.props] == [1.5, 1.5]


def test_a_scaled_design_is_one_that_a_file_takes() -> None:
    far = replace(
        furnished(made_to_measure=True),
        walls=(Wall(id="wall", width_m=9, height_m=3, size_in=11, sized_m=0.25, x_m=12),),
        bouquets=(Bouquet(id="b", count=3, size_in=11, sized_m=0.27, x_m=-12, top_m=5),),
    )
    scaled = taken(spread(far, 4.0).design, (None, None), 8.0)
    assert read_design(write_design(scaled)) == scaled
    assert scaled.walls[0].x_m == 30


def test_frames_as_they_are_leave_everything_where_it_is() -> None:
    design = furnished()
    same = taken(design, as_they_are(design), 2.13)
    assert (same.rounds, same.signs, same.props, same.foils) == (
        design.rounds, design.signs, design.props, design.foils
    )  # fmt: skip
