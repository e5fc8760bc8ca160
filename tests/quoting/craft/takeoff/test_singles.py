"""Rounds by themselves: counted, billed, inflated, tied or weighted like others, in the colour that each was given."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.air.atmosphere import air_at
from quoting.craft.air.helium import gross_lift
from quoting.craft.change.edit import swap_colour
from quoting.craft.design.faults import FaultCode
from quoting.craft.design.records import PaletteColour
from quoting.craft.design.thing_checks import thing_faults
from quoting.craft.design.things import Round
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.sheets.report import report_text
from quoting.craft.site.prep import prep_of
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.design.thing_designs import ROUND, furnished
from tests.quoting.craft.starter_designs import starter

BRICK = PaletteColour(colour="brick", name="Brick", hex="#A4553F", share=0)
AFLOAT = replace(ROUND, id="up", y_m=2.0, gas="helium", size_in=36, sized_m=0.8)


def ringed(*rounds: Round) -> TakeOff:
    design = starter("ring-half-moon")
    own = [replace(one, colour=design.palette[0].colour) for one in rounds]
    return take_off(replace(design, rounds=tuple(own)))


def test_a_round_is_counted_in_its_colour_and_leaves_the_shares_of_the_others_alone() -> None:
    bare, found = take_off(starter("ring-half-moon")), ringed(ROUND)
    colour = found.design.palette[0].colour
    assert found.counts == {(36, colour): 1, **bare.counts}
    assert len(found.balloons) == len(bare.balloons) + 1
    assert {code: n for (size, code), n in found.to_bring.items() if size == 36} == {colour: 2}


def test_a_round_has_minutes_of_its_own_and_none_of_tying_quads() -> None:
    minutes = [
        {task.name: task.minutes for task in takeoff.tasks}
        for takeoff in (take_off(starter("ring-half-moon")), ringed(ROUND, replace(ROUND, id="other")))
    ]
    assert minutes[1]["Place single rounds"] == pytest.approx(2 * 90 / 60)
    assert minutes[1]["Tie pairs and quads"] == minutes[0]["Tie pairs and quads"]
    assert minutes[1]["Inflate and size"] == pytest.approx(
        minutes[0]["Inflate and size"] + 2 * 45 / 0.93 / 60
    )


def test_the_bill_says_how_many_rounds_are_by_themselves() -> None:
    takeoff = take_off(furnished())
    assert explain(takeoff, "latex-36-ink").startswith("Ink 36 in: 1 by itself = 1 placed; + 0 spare")
    assert "Place 1 x Ink 36 in." in build_sheet(takeoff).steps


def test_a_round_on_a_frame_takes_a_260_and_one_on_the_floor_none() -> None:
    tied = take_off(replace(furnished(), rounds=(replace(ROUND, frame="panel"), replace(ROUND, id="floor"))))
    assert [line.quantity for line in tied.rigging.lines if line.code == "latex-260-oat"] == [1]


def test_a_round_of_helium_floats_on_a_ribbon_and_a_weight() -> None:
    takeoff = ringed(AFLOAT)
    codes = {line.code: line.quantity for line in takeoff.bill()}
    assert (codes["bouquet-weight"], codes["ribbon-m"], codes["helium-cylinder-10l"]) == (1, 2, 1)
    (check,) = prep_of(takeoff).bouquets
    lifted = gross_lift(
        4 / 3 * 3.14159265 * 0.4**3, air_at(celsius=20.0, height=0.0), overpressure=2500, purity=0.97
    )
    assert check.lift.gross_lift == pytest.approx(lifted, rel=1e-6)
    assert check.lift.net_lift == pytest.approx(lifted - 0.040 - 2.0 * 0.0008, rel=1e-6)
    assert "helium" in [caution.name for caution in prep_of(takeoff).cautions]
    assert not any(ring.size_in == 36 for ring in prep_of(takeoff).rings)


def test_a_round_of_helium_in_the_wind_is_held_by_ballast() -> None:
    design = starter("ring-half-moon")
    windy = replace(design.site, outdoors=True, gust_m_s=9.0)
    up = replace(AFLOAT, colour=design.palette[0].colour)
    found = take_off(replace(design, site=windy, rounds=(up,))).rigging.lines
    assert any("1 single balloon in the wind" in line.reason for line in found)


def test_too_little_a_round_does_not_float() -> None:
    little = replace(ROUND, size_in=5, sized_m=0.12, gas="helium")
    assert [(fault.code, fault.field) for fault in thing_faults(replace(furnished(), rounds=(little,)))] == [
        (FaultCode.OUT_OF_RANGE, "rounds[0].sized_m")
    ]


def test_another_colour_goes_to_the_rounds_as_well() -> None:
    assert [one.colour for one in swap_colour(furnished(), "ink", BRICK).rounds] == ["brick"]


def test_rounds_are_drawn_by_their_names_and_told_in_the_report() -> None:
    takeoff = ringed(ROUND, AFLOAT)
    svg = elevation_svg(takeoff, things=True)
    assert 'data-thing="round:big"' in svg
    assert svg.count('data-thing="round:up"') == 2
    assert "Big round: net lift" in report_text(takeoff)
