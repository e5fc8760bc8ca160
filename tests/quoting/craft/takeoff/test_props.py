"""Props: billed, carried, driven and set up, and what is too heavy for that stands at the venue."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.design.records import Design
from quoting.craft.design.things import PROP_LOOKS, Prop
from quoting.craft.picture.elevation import alt_text, elevation_svg, plan_svg
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.sheets.stored import stored_takeoff
from quoting.craft.site.prep import prep_of
from quoting.craft.takeoff.carrying import loads
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.takeoff import TakeOff, packed_load, take_off
from studio.trade.packing import Packed
from tests.quoting.craft.design.thing_designs import OAT, PROP

RUG = replace(
    PROP, id="rug", item="rug", label="Rug", look="rug", width_m=2.0, height_m=0.01, depth_m=1.5, weight_kg=9
)
CANDLE = replace(PROP, id="candle", item="candle", label="Candle", look="candle", width_m=0.1, height_m=0.3,
                 depth_m=0.1, weight_kg=0.5)  # fmt: skip
STONE = replace(PROP, id="stone", item="stone", label="Stone bench", look="box", weight_kg=180.0)


def beside(*props: Prop) -> Design:
    return Design(version=2, name="Props", palette=(replace(OAT, share=1.0),), props=props)


def minutes(takeoff: TakeOff) -> dict[str, float]:
    return {task.name: task.minutes for task in takeoff.tasks}


def test_props_are_on_the_bill_and_have_minutes_to_set_up_and_to_pack() -> None:
    takeoff = take_off(beside(PROP, replace(PROP, id="other"), CANDLE))
    assert [(line.code, line.quantity, line.part) for line in takeoff.bill()] == [
        ("plinth-90", 2, "props"), ("candle", 1, "props"),
    ]  # fmt: skip
    assert minutes(takeoff)["Set up props"] == pytest.approx(3 * 180 / 60)
    assert minutes(takeoff)["Pack props"] == pytest.approx(3 * 90 / 60)


def test_a_prop_of_18_kg_takes_two_loads_and_one_of_half_a_kilogram_one() -> None:
    """Two people at 16 kg each (HSE guidance L23, as in ``carrying``)."""
    found = loads(beside(PROP, CANDLE), balloons=0, rounds=Packed(), parts=0)
    assert (found.way_in, found.way_out) == (3, 3)
    assert loads(beside(STONE), balloons=0, rounds=Packed(), parts=0).way_in == 0


def test_props_travel_as_they_are_and_rugs_rolled() -> None:
    packed = packed_load(take_off(beside(PROP, RUG)))
    assert packed.props.volume_m3 == pytest.approx(0.35 * 0.9 * 0.35 + 1.5 * 0.2 * 0.2)
    assert (packed.props.longest_m, packed.parts) == (1.5, 0)


def test_doors_and_weights_count_what_is_brought() -> None:
    wide = replace(PROP, id="wide", label="Wide table", width_m=2.4, depth_m=1.1, height_m=2.2, look="table")
    prep = prep_of(take_off(beside(PROP, wide, STONE)))
    assert [(door.label, door.answer.passes) for door in prep.doors] == [
        ("Plinth 90 cm", True),
        ("Wide table", False),
    ]
    assert prep.frames_kg == 36.0
    assert stored_takeoff(take_off(beside(PROP, STONE))).heaviest_kg == 18.0


def test_heavy_props_and_candles_bring_their_cautions() -> None:
    def names(*props: Prop) -> list[str]:
        return [caution.name for caution in prep_of(take_off(beside(*props))).cautions]

    assert names(PROP) == ["lifting"]
    assert names(CANDLE) == ["candles"]
    assert names(RUG) == []


def test_the_sheet_lays_rugs_before_anything_stands_on_them() -> None:
    steps = build_sheet(take_off(beside(PROP, replace(PROP, id="b"), RUG, CANDLE, STONE))).steps
    assert steps[:3] == (
        "Lay Rug.",
        "Set up 2 x Plinth 90 cm, Candle.",
        "Light the candles by battery; no open flame stands near the piece.",
    )


@pytest.mark.parametrize("look", PROP_LOOKS)
def test_every_look_is_drawn_from_the_front_and_from_above(look: str) -> None:
    takeoff = take_off(beside(replace(PROP, look=look)))
    for svg in (elevation_svg(takeoff, things=True, prefix="q-"), plan_svg(takeoff, things=True)):
        assert svg.count('data-thing="prop:plinth"') == 1
        assert "nan" not in svg
    assert 'id="q-p0"' in elevation_svg(takeoff, prefix="q-")


def test_the_words_for_those_who_do_not_see_name_the_props() -> None:
    assert "beside Plinth 90 cm and Rug" in alt_text(take_off(beside(PROP, replace(PROP, id="b"), RUG)))


def test_what_stands_at_the_venue_is_said_to() -> None:
    heavy, light = (take_off(beside(replace(PROP, weight_kg=kg))) for kg in (180.0, 20.0))
    assert "it stands at the venue, too heavy to bring" in explain(heavy, PROP.item)
    assert "venue" not in explain(light, PROP.item)
