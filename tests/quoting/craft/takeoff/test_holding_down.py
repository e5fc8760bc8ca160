"""What holds a piece down and what floats it are on the bill."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from quoting.craft.design.records import Design, Site
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.site.prep import prep_of
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from studio.trade.packing import packed_goods, packed_parts
from tests.quoting.craft.starter_designs import starter


def terrace(gust: float) -> TakeOff:
    design = starter("terrace-frame-bouquets")
    return take_off(replace(design, site=replace(design.site, outdoors=gust > 0, gust_m_s=gust)))


def billed(takeoff: TakeOff) -> dict[str, int]:
    return {line.code: line.quantity for line in takeoff.bill()}


@pytest.mark.parametrize("gust", [6.0, 9.0, 12.0])
def test_ballast_of_frames_and_bouquets_is_billed_to_the_kilogram(gust: float) -> None:
    takeoff = terrace(gust)
    prep, bill = prep_of(takeoff), billed(takeoff)
    assert prep.wind is not None
    needs = [prep.wind.ballast_for_tipping, *(one.lift.weight_needed for one in prep.bouquets)]
    assert all(need > 0 for need in needs)
    assert bill["ballast-kg"] == sum(math.ceil(need) for need in needs)
    assert "bouquet-weight" not in bill, "grams hold nothing in a wind"
    assert bill["foot-fixing"] == 2, "bare steel feet slide long before the frame tips"


def test_more_wind_bills_more_ballast_and_none_bills_none() -> None:
    assert billed(terrace(6.0))["ballast-kg"] < billed(terrace(12.0))["ballast-kg"]
    indoors = billed(terrace(0.0))
    assert "ballast-kg" not in indoors
    assert "foot-fixing" not in indoors
    assert indoors["bouquet-weight"] == 2


@pytest.mark.parametrize("gust", [0.0, 9.0])
def test_cylinders_of_helium_are_billed_for_all_bouquets_together(gust: float) -> None:
    """By hand: 14 spheres of 0.2667 m are 0.139 m³, a tenth more for losses; one cylinder gives 1.8 m³."""
    takeoff = terrace(gust)
    assert billed(takeoff)["helium-cylinder-10l"] == 1
    many = replace(takeoff.design, bouquets=tuple(replace(one, count=150) for one in takeoff.design.bouquets))
    volume = 300 * math.pi / 6 * 0.2667**3 * 1.1
    assert billed(take_off(many))["helium-cylinder-10l"] == math.ceil(volume / 1.81) == 2
    assert "helium-cylinder-10l" not in billed(take_off(starter("classic-arch")))


def test_every_line_says_how_it_came_about() -> None:
    takeoff = terrace(9.0)
    words = explain(takeoff, "ballast-kg")
    assert "against tipping" in words
    assert "2 bouquets" in words
    assert "balloons afloat" in explain(takeoff, "helium-cylinder-10l")
    assert "from sliding" in explain(takeoff, "foot-fixing")


def test_the_steps_of_the_sheet_lay_the_ballast_before_anything_catches_the_wind() -> None:
    steps = build_sheet(terrace(9.0)).steps
    ballast = next(k for k, step in enumerate(steps) if "ballast" in step)
    assert ballast < next(k for k, step in enumerate(steps) if "garland" in step.lower())
    assert not any("ballast" in step for step in build_sheet(terrace(0.0)).steps)


def test_what_can_t_be_worked_out_bills_no_ballast_and_the_sheet_still_stands() -> None:
    """A frame without weight has no holding moment; the prep says so in words."""
    design = starter("terrace-frame-bouquets")
    weightless: Design = replace(
        design,
        site=Site(outdoors=True, gust_m_s=9.0),
        frames=tuple(replace(frame, weight_kg=0.0) for frame in design.frames),
        garlands=(),
        bouquets=(),
    )
    assert "ballast-kg" not in billed(take_off(weightless))


def test_ballast_and_cylinders_take_their_own_room_in_the_van() -> None:
    """Dry sand weighs some 1,600 kg a cubic metre; a cylinder of 10 litres lies in a box of 0.2 x 0.2 x 1.0 m."""
    assert packed_goods("ballast-kg", 160).volume_m3 == pytest.approx(0.1)
    assert packed_goods("helium-cylinder-10l", 2).volume_m3 == pytest.approx(0.08)
    assert packed_goods("clip-binder", 24) == packed_parts(24)
