"""Ties are added, moved and taken out by hand; what nothing holds, or hangs too long, is shown."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import SaidCode
from quoting.craft.table.limits import limits
from quoting.craft.table.tying import ties_now
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.table.tables import LOW, TALL, codes, done, over_both_arches, table

GARLAND = "garland:garland-1"


def arched() -> Design:
    return done(table(LOW, TALL), "put-garland", points=over_both_arches()).design


def test_a_tie_is_added_to_those_that_were_worked_out() -> None:
    design = arched()
    before = ties_now(design, design.garlands[0])
    acted = done(design, "add-tie", thing=GARLAND, at=0.33)
    assert acted.design.garlands[0].ties == tuple(sorted([*before, 0.33]))
    assert codes(acted) == [SaidCode.TIE_ADDED, SaidCode.TIED_TO_FRAME]
    assert len(take_off(acted.design).rigging.ties) == len(before) + 1


def test_a_tie_put_nearly_where_one_is_takes_its_place() -> None:
    design = arched()
    before = ties_now(design, design.garlands[0])
    beside = before[1] + 0.01 / route_in(design, 0).length_m
    after = done(design, "add-tie", thing=GARLAND, at=beside).design.garlands[0].ties
    assert len(after) == len(before)
    assert round(beside, 4) in after


def test_a_tie_is_moved_and_taken_out_by_its_number() -> None:
    design = arched()
    before = ties_now(design, design.garlands[0])
    moved = done(design, "move-tie", thing=GARLAND, index=1, at=before[1] + 0.03).design
    assert moved.garlands[0].ties[1] == pytest.approx(before[1] + 0.03, abs=1e-4)
    left = done(moved, "remove-tie", thing=GARLAND, index=0).design
    assert left.garlands[0].ties == moved.garlands[0].ties[1:]


def test_ties_are_worked_out_again_as_they_were() -> None:
    design = arched()
    by_hand = done(design, "add-tie", thing=GARLAND, at=0.5).design
    assert done(by_hand, "ties-worked-out", thing=GARLAND).design == design


def test_ties_worked_out_and_kept_by_hand_break_no_limit() -> None:
    design = arched()
    assert limits(design) == ()
    kept = replace(design, garlands=(replace(design.garlands[0], ties=ties_now(design, design.garlands[0])),))
    assert limits(kept) == ()


def test_a_stretch_too_long_for_one_tie_is_shown_where_it_hangs() -> None:
    design = arched()
    middle = len(ties_now(design, design.garlands[0])) // 2
    apart = done(design, "remove-tie", thing=GARLAND, index=middle).design
    (limit,) = limits(apart)
    assert limit.fault.code == FaultCode.TIES_TOO_FAR_APART
    assert isinstance(limit.fault.found, float)
    assert limit.fault.high is not None
    assert limit.fault.found > limit.fault.high
    assert limit.y_m > 1.0


def test_a_tie_on_the_floor_and_one_in_the_open_have_nothing_to_hold_them() -> None:
    line = [(-2.0, 0.06), (-1.0, 0.06), (-0.5, 0.6), (0.5, 1.5), (1.5, 1.6)]
    design = done(table(), "put-garland", points=line).design
    floor = done(design, "add-tie", thing=GARLAND, at=0.05)
    assert SaidCode.TIED_TO_NOTHING in codes(floor)
    found = [limit.fault.code for limit in limits(floor.design)]
    assert found == [FaultCode.TIE_ON_THE_FLOOR]
    outdoors = replace(floor.design, site=replace(design.site, outdoors=True))
    assert FaultCode.TIE_OUT_OF_REACH in [limit.fault.code for limit in limits(outdoors)]


@pytest.mark.parametrize(
    ("act", "values", "code", "field"),
    [
        ("move-tie", {"index": 99, "at": 0.5}, FaultCode.NO_SUCH_TIE, "index"),
        ("remove-tie", {"index": 99}, FaultCode.NO_SUCH_TIE, "index"),
        ("add-tie", {"at": 1.2}, FaultCode.OUT_OF_RANGE, "at"),
    ],
)
def test_a_tie_that_is_not_there_is_refused_at_its_field(
    act: str, values: dict[str, object], code: FaultCode, field: str
) -> None:
    with pytest.raises(DesignError) as refused:
        done(arched(), act, thing=GARLAND, **values)
    assert [(fault.code, fault.field) for fault in refused.value.faults] == [(code, field)]


def test_the_last_tie_stays() -> None:
    design = arched()
    alone = replace(design, garlands=(replace(design.garlands[0], ties=(0.5,)),))
    with pytest.raises(DesignError) as refused:
        done(alone, "remove-tie", thing=GARLAND, index=0)
    assert refused.value.faults[0].code == FaultCode.LAST_TIE
