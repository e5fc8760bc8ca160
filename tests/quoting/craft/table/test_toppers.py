"""Toppers are put on columns and plinths, go where those go, and come off when they are moved by themselves."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.design.boxes import foil_box
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.table.acted import SaidCode
from quoting.craft.table.limits import limits
from quoting.craft.table.snapping import Why
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.table.tables import LOW, codes, done, table


def a_pair_and_a_plinth() -> Design:
    """Two columns with a big round each, and a foil six on a plinth."""
    design = done(table(), "put-column", x_m=-1.0, height_m=1.9).design
    design = done(design, "put-round", size_in=24, on_top="frame:column-1").design
    design = done(design, "put-column", x_m=1.0, height_m=1.9).design
    design = done(design, "put-round", size_in=24, on_top="frame:column-2").design
    design = done(design, "put-prop", look="plinth", x_m=0.0).design
    return done(design, "put-foil", text="6", on_top="prop:prop-1").design


def test_a_pair_of_columns_with_toppers_and_a_six_on_a_plinth_stand_as_meant() -> None:
    design = a_pair_and_a_plinth()
    for pole, ball in zip(design.frames, design.rounds, strict=True):
        assert ball.x_m == pole.x_m
        assert ball.y_m - ball.sized_m / 2 == pytest.approx(1.9, abs=0.001)
    assert foil_box(design.foils[0]).bottom == pytest.approx(design.props[0].height_m, abs=0.001)
    assert limits(design) == ()
    steps = build_sheet(take_off(design)).steps
    assert "Set Foil number “6” on top of Plinth, tied to it." in steps
    assert any("on top of Column, tied to it" in step for step in steps)
    assert not any(step.startswith("Place") for step in steps)


def test_a_topper_is_said_to_stand_on_what_bears_it() -> None:
    design = done(table(), "put-prop", look="plinth", x_m=0.5).design
    acted = done(design, "put-round", size_in=36, on_top="prop:prop-1")
    assert [(guide.why, guide.other) for guide in acted.guides] == [(Why.ON_TOP, "prop:prop-1")]


@pytest.mark.parametrize(
    ("act", "values"),
    [
        ("move", {"thing": "prop:prop-1", "x_m": -0.7, "y_m": 0.2}),
        ("depth", {"thing": "prop:prop-1", "z_m": 0.9}),
        ("resize", {"thing": "prop:prop-1", "width_m": 0.5, "height_m": 1.2}),
        ("resize", {"thing": "foil:foil-1", "width_m": 0.3, "height_m": 0.4}),
        ("turn", {"thing": "foil:foil-1", "deg": 20}),
        ("set", {"thing": "prop:prop-1", "field": "base_m", "value": 0.4}),
        ("mirror", {}),
    ],
)
def test_a_topper_goes_where_its_support_goes(act: str, values: dict[str, object]) -> None:
    after = done(a_pair_and_a_plinth(), act, **values).design
    foil, plinth = after.foils[0], after.props[0]
    assert foil.on_top == "prop:prop-1"
    assert (foil.x_m, foil.z_m) == (plinth.x_m, plinth.z_m)
    assert foil_box(foil).bottom == pytest.approx(plinth.base_m + plinth.height_m, abs=0.001)


def test_a_column_moved_by_its_balloons_takes_its_round_along() -> None:
    acted = done(a_pair_and_a_plinth(), "move", thing="garland:column-1", x_m=-1.6)
    assert acted.design.rounds[0].x_m == acted.design.frames[0].x_m == -1.6
    assert SaidCode.FOLLOWS in codes(acted)


def test_a_copied_column_has_a_round_of_its_own_on_top() -> None:
    after = done(a_pair_and_a_plinth(), "copy", thing="frame:column-1").design
    pole, ball = after.frames[-1], after.rounds[-1]
    assert (ball.on_top, ball.x_m) == (f"frame:{pole.id}", pole.x_m)
    assert len(after.rounds) == 3


def test_a_copied_plinth_has_a_six_of_its_own_and_a_copied_six_stands_alone() -> None:
    design = a_pair_and_a_plinth()
    plinth = done(design, "copy", thing="prop:prop-1").design
    assert [foil.on_top for foil in plinth.foils] == ["prop:prop-1", f"prop:{plinth.props[-1].id}"]
    alone = done(design, "copy", thing="foil:foil-1").design
    assert [foil.on_top for foil in alone.foils] == ["prop:prop-1", ""]


def test_a_topper_moved_by_itself_comes_off() -> None:
    acted = done(a_pair_and_a_plinth(), "move", thing="round:round-1", x_m=-1.0, y_m=2.6)
    assert acted.design.rounds[0].on_top == ""
    assert acted.design.rounds[0].y_m == pytest.approx(2.6)
    assert SaidCode.STANDS_BY_ITSELF in codes(acted)
    assert [limit.thing for limit in limits(acted.design)] == ["round:round-1"]


def test_a_topper_whose_support_is_removed_stands_by_itself() -> None:
    acted = done(a_pair_and_a_plinth(), "remove", thing="prop:prop-1")
    assert acted.design.foils[0].on_top == ""
    assert codes(acted) == [SaidCode.REMOVED, SaidCode.STANDS_BY_ITSELF]


def test_a_round_is_put_on_top_and_taken_off_again() -> None:
    design = done(done(table(), "put-prop", look="plinth", x_m=0.5).design, "put-round", x_m=-1.0).design
    on = done(design, "on-top", thing="round:round-1", on_top="prop:prop-1")
    assert on.design.rounds[0].x_m == 0.5
    off = done(on.design, "on-top", thing="round:round-1")
    assert off.design.rounds[0] == replace(on.design.rounds[0], on_top="")


def test_what_carries_nothing_is_refused_at_its_field() -> None:
    design = done(table(LOW), "put-round", x_m=-1.0).design
    for values in ({"thing": "round:round-1", "on_top": "frame:low"},):
        with pytest.raises(DesignError) as refused:
            done(design, "on-top", **values)
        assert [(one.code, one.field) for one in refused.value.faults] == [
            (FaultCode.UNKNOWN_SUPPORT, "on_top")
        ]
    with pytest.raises(DesignError) as refused:
        done(design, "on-top", thing="frame:low", on_top="")
    assert refused.value.faults[0].code == FaultCode.NOT_FOR_THIS


def lines_of(design: Design) -> dict[str, int]:
    return {line.code: line.quantity for line in take_off(design).rigging.lines}


def test_helium_on_a_plinth_is_tied_to_it_and_needs_no_weight_of_its_own() -> None:
    on_top = done(a_pair_and_a_plinth(), "set", thing="foil:foil-1", field="gas", value="helium").design
    assert "bouquet-weight" not in lines_of(on_top)
    assert "ribbon-m" not in lines_of(on_top)
    off = done(on_top, "on-top", thing="foil:foil-1").design
    assert lines_of(off)["bouquet-weight"] == 1
    assert any(
        "tied to a weight of 15 g (0.5 oz) or more" in step for step in build_sheet(take_off(off)).steps
    )


def test_a_support_too_light_for_what_floats_on_it_is_said_to_be() -> None:
    floats = done(a_pair_and_a_plinth(), "set", thing="foil:foil-1", field="gas", value="helium").design
    assert limits(floats) == ()
    light = done(floats, "set", thing="prop:prop-1", field="weight_kg", value=0.01).design
    assert [(limit.thing, limit.fault.code) for limit in limits(light)] == [
        ("foil:foil-1", FaultCode.TOO_LIGHT_TO_HOLD)
    ]
