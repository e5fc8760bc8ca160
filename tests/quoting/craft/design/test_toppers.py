"""A topper stands over the middle of what bears it, its lowest point on the top of that."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from quoting.craft.change.scaling import spread, taken
from quoting.craft.design.boxes import foil_box, prop_box
from quoting.craft.design.checks import cross_faults
from quoting.craft.design.design_file import load_design, read_design, write_design
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.design.things import Foil, Prop, Round
from quoting.craft.design.toppers import on_support, seat_of, seated
from tests.quoting.craft.starter_designs import FOLDER

PLINTH = Prop(
    id="plinth", item="plinth", label="Plinth", look="plinth", width_m=0.35, height_m=0.9, depth_m=0.35, x_m=1.0,
    base_m=0.05, z_m=0.3,
)  # fmt: skip
SIX = Foil(
    id="six", item="digits", label="Six", shape="glyphs", text="6", flat_m=0.86, hex="#D9B45B", x_m=0, y_m=2
)
BALL = Round(id="ball", size_in=24, sized_m=0.56, colour="pearl", x_m=0, y_m=2, frame="left")


def columns() -> Design:
    return load_design(FOLDER / "classic-columns.json")


def test_a_round_on_a_plinth_lies_as_high_as_the_plinth_and_half_of_itself() -> None:
    # By hand: underside 5 cm, 90 cm of plinth, half of 56 cm.
    seat = seat_of(PLINTH, BALL)
    assert (seat.x_m, seat.z_m) == (1.0, 0.3)
    assert seat.y_m == pytest.approx(0.05 + 0.90 + 0.28)


@pytest.mark.parametrize("turn_deg", [0.0, 30.0, -90.0])
def test_a_foil_touches_what_bears_it_however_it_is_turned(turn_deg: float) -> None:
    placed = on_support(replace(SIX, turn_deg=turn_deg), "prop:plinth", PLINTH)
    assert isinstance(placed, Foil)
    assert foil_box(placed).bottom == pytest.approx(prop_box(PLINTH).top, abs=0.001)
    assert placed.x_m == PLINTH.x_m


def test_what_stands_on_top_is_tied_to_no_frame() -> None:
    placed = on_support(BALL, "prop:plinth", PLINTH)
    assert isinstance(placed, Round)
    assert placed.frame == ""


@pytest.mark.parametrize("name", ["prop:none", "frame:none", "round:ball"])
def test_a_topper_needs_something_that_bears_it(name: str) -> None:
    design = replace(columns(), rounds=(replace(BALL, on_top=name),))
    with pytest.raises(DesignError) as refused:
        read_design(write_design(design))
    assert [(fault.code, fault.field) for fault in refused.value.faults] == [
        (FaultCode.UNKNOWN_SUPPORT, "rounds[0].on_top")
    ]


def test_a_frame_with_a_face_bears_no_topper() -> None:
    design = load_design(FOLDER / "garland-nested-arches.json")
    with_foil = replace(design, foils=(replace(SIX, on_top="frame:low"),))
    assert [fault.code for fault in cross_faults(with_foil)] == [FaultCode.UNKNOWN_SUPPORT]


def test_a_design_written_before_toppers_keeps_its_bytes() -> None:
    design = replace(columns(), rounds=(BALL,), foils=(SIX,))
    assert "on_top" not in json.dumps(write_design(design))


def test_columns_that_grow_and_move_apart_keep_their_toppers_on_top() -> None:
    design = columns()
    design = seated(replace(design, rounds=(replace(BALL, frame="", on_top="frame:left"),)))
    for other in (
        spread(design, 1.3).design,
        taken(design, tuple(frame.sizes[-1] for frame in design.frames), 2.6),
    ):
        pole, ball = other.frames[0], other.rounds[0]
        assert pole != design.frames[0]
        assert (ball.x_m, ball.z_m) == (pole.x_m, pole.z_m)
        assert ball.y_m == pytest.approx(pole.base_m + pole.height_m + 0.28, abs=0.001)
