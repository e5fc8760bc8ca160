"""Things are found by their reference and keep ids of their own."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.table.things import (
    all_things,
    find_garland,
    find_thing,
    free_id,
    ref_of,
    with_thing,
    without_thing,
)
from tests.quoting.craft.starter_designs import NAMES, starter
from tests.quoting.craft.table.tables import LOW, TALL, table


@pytest.mark.parametrize("name", NAMES)
def test_everything_is_found_by_its_reference(name: str) -> None:
    for thing in all_things(starter(name)):
        assert find_thing(starter(name), ref_of(thing)) is thing


def test_a_frame_is_no_garland() -> None:
    with pytest.raises(DesignError) as refused:
        find_garland(table(LOW), "frame:low")
    assert [fault.code for fault in refused.value.faults] == [FaultCode.NOT_FOR_THIS]


def test_a_thing_takes_the_place_of_the_one_with_its_id() -> None:
    moved = replace(LOW, x_m=2.0)
    assert with_thing(table(LOW, TALL), moved).frames == (moved, TALL)
    assert without_thing(table(LOW, TALL), moved).frames == (TALL,)


def test_a_free_id_is_taken_by_no_thing_of_any_kind() -> None:
    design = table(replace(LOW, id="wall-1"), replace(TALL, id="wall-3"))
    assert free_id(design, "wall") == "wall-2"
