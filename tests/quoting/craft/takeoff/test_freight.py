"""A pillar of 400 kg stands at the venue: nobody carries it, and no van, door or minute is reckoned for it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.design.records import Design
from quoting.craft.design.things import CARRIED_KG
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.site.prep import prep_of
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.takeoff import take_off
from studio.trade.cautions import LIFTING
from tests.quoting.craft.starter_designs import starter, worked


def pillar_of(weight_kg: float) -> Design:
    design = starter("column-wound")
    return replace(design, frames=(replace(design.frames[0], weight_kg=weight_kg),))


def test_nothing_is_reckoned_for_it_but_that_it_is_there() -> None:
    takeoff = worked("column-wound")
    prep = prep_of(takeoff)
    assert takeoff.design.frames[0].weight_kg == 400
    assert prep.frames_kg == 0
    assert prep.doors == ()
    assert prep.load.longest_m < 2.9
    assert LIFTING not in prep.cautions
    tasks = dict(takeoff.work())
    assert not {"Set up frames", "Strip and pack frames", "Dress covers", "Wash covers"} & set(tasks)
    assert not any(step.startswith("Set up the frames") for step in build_sheet(takeoff).steps)
    assert "stands at the venue, too heavy to bring" in explain(takeoff, "venue-pillar")


@pytest.mark.parametrize(("weight_kg", "is_brought"), [(CARRIED_KG, True), (CARRIED_KG + 0.1, False)])
def test_from_100_kg_on_a_frame_is_not_brought(weight_kg: float, is_brought: bool) -> None:
    takeoff = take_off(pillar_of(weight_kg))
    prep = prep_of(takeoff)
    assert (prep.frames_kg == weight_kg) == is_brought
    assert bool(prep.doors) == is_brought
    assert ("Set up frames" in dict(takeoff.work())) == is_brought
    assert (LIFTING in prep.cautions) == is_brought
    assert ("stands at the venue" in explain(takeoff, "venue-pillar")) == (not is_brought)


def test_its_weight_still_holds_it_in_the_wind() -> None:
    """What stands there stands: the wind meets it, and its mass counts."""
    checks = []
    for weight in (400.0, 9.0):
        design = pillar_of(weight)
        wind = prep_of(
            take_off(replace(design, site=replace(design.site, outdoors=True, gust_m_s=12.0)))
        ).wind
        assert wind is not None
        checks.append(wind.tipping_speed)
    assert checks[0] > checks[1]
