"""Placed florals: on the bill with the others of their kind, set one by one, and left out where the client says so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.design.things import FLORAL_LOOKS, SPRAY_KINDS
from quoting.craft.picture.elevation import alt_text, elevation_svg, plan_svg
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.design.thing_designs import SPRAY, furnished
from tests.quoting.craft.starter_designs import starter


def test_placed_florals_are_billed_with_those_along_the_garland() -> None:
    design = starter("garland-nested-arches")
    before = {line.code: line.quantity for line in take_off(design).bill()}
    fern = replace(SPRAY, item="pick-fern", label="Fern pick")
    takeoff = take_off(replace(design, sprays=(fern, replace(fern, id="b"), SPRAY)))
    after = {line.code: line.quantity for line in takeoff.bill()}
    assert (after["pick-fern"], after["pick-rose"]) == (before["pick-fern"] + 2, 1)
    assert explain(takeoff, "pick-fern").endswith(f"= {before['pick-fern']}; 2 set by themselves.")
    assert explain(takeoff, "pick-rose") == "Silk rose: 1, each set by itself."


def test_a_placed_floral_has_the_minutes_of_a_pick() -> None:
    one, two = (
        {task.name: task.minutes for task in take_off(replace(furnished(), sprays=sprays)).tasks}["Florals"]
        for sprays in ((SPRAY,), (SPRAY, replace(SPRAY, id="b")))
    )
    assert (one, two) == pytest.approx((25 / 60, 50 / 60))


def test_the_sheet_and_the_words_name_placed_florals() -> None:
    takeoff = take_off(replace(furnished(), sprays=(SPRAY, replace(SPRAY, id="b"))))
    assert "Set the placed florals: 2 x Silk rose." in build_sheet(takeoff).steps
    assert "with Silk rose" in alt_text(takeoff)


@pytest.mark.parametrize("look", FLORAL_LOOKS)
@pytest.mark.parametrize("kind", SPRAY_KINDS)
def test_every_kind_and_look_is_drawn(look: str, kind: str) -> None:
    takeoff = take_off(replace(furnished(), sprays=(replace(SPRAY, look=look, kind=kind),)))
    for svg in (elevation_svg(takeoff, things=True), plan_svg(takeoff, things=True)):
        assert svg.count('data-part="florals" data-thing="spray:rose"') == 1
