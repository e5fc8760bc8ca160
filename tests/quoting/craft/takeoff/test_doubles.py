"""Double-stuffed rounds: both balloons are counted, billed, inflated and named; the others stay as they were."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.change.edit import swap_colour
from quoting.craft.design.records import Bouquet, Design, PaletteColour
from quoting.craft.picture.elevation import elevation_svg, plan_svg
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.sheets.report import report_text
from quoting.craft.sheets.stored import read_takeoff, stored_takeoff, write_takeoff
from quoting.craft.site.prep import prep_of
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.holding_down import helium_of
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from quoting.craft.takeoff.wind_load import wind_on
from tests.quoting.craft.design.thing_designs import INK, OAT, ROUND, furnished
from tests.quoting.craft.starter_designs import starter

PLUM = {"inner": "plum", "inner_name": "Plum", "inner_hex": "#5A2A4A"}


def stuffed(inner: str, inner_name: str = "", inner_hex: str = "") -> Design:
    """The table garland, the third of its colours double-stuffed."""
    design = starter("table-garland")
    first, second, third, fourth = design.palette
    double = replace(third, finish="double-stuffed", inner=inner, inner_name=inner_name, inner_hex=inner_hex)
    return replace(design, palette=(first, second, double, fourth))


def minutes(takeoff: TakeOff) -> dict[str, float]:
    return {task.name: task.minutes for task in takeoff.tasks}


def test_each_has_one_of_its_size_in_the_inner_colour() -> None:
    bare, found = take_off(starter("table-garland")), take_off(stuffed(**PLUM))
    outer = found.design.palette[2].colour
    inner = {size: count for (size, colour), count in found.counts.items() if colour == "plum"}
    assert inner == {size: count for (size, colour), count in bare.counts.items() if colour == outer}
    assert {key: n for key, n in found.counts.items() if key[1] != "plum"} == bare.counts
    assert len(found.balloons) == len(bare.balloons)


def test_an_inner_colour_of_the_palette_adds_to_its_own() -> None:
    bare, design = take_off(starter("table-garland")), stuffed(inner="pearl")
    found, outer = take_off(design), design.palette[2].colour
    for (size, colour), count in bare.counts.items():
        more = bare.counts[size, outer] if colour == "pearl" else 0
        assert found.counts[size, colour] == count + more


def test_the_inner_ones_are_billed_with_spares_and_explained() -> None:
    takeoff = take_off(stuffed(**PLUM))
    lines = {line.code: line for line in takeoff.bill()}
    assert lines["latex-11-plum"].label == "Plum 11 in"
    assert lines["latex-11-plum"].quantity >= takeoff.counts[11, "plum"]
    assert explain(takeoff, "latex-11-plum").startswith(
        f"Plum 11 in: {takeoff.counts[11, 'plum']} within others = "
    )


def test_the_inner_ones_are_pushed_in_and_inflated() -> None:
    bare, found = take_off(starter("table-garland")), take_off(stuffed(**PLUM))
    count = sum(n for (_, colour), n in found.counts.items() if colour == "plum")
    assert minutes(found)["Push balloons into others"] == pytest.approx(count * 25 / 60)
    big = sum(n for (size, colour), n in found.counts.items() if colour == "plum" and size > 12)
    more = ((count - big) * 14 + big * 45) / 0.93 / 60  # by hand, at the rates and the loss of MODEL.md
    assert big
    assert found.design.loss == 0.07
    assert minutes(found)["Inflate and size"] == pytest.approx(minutes(bare)["Inflate and size"] + more)
    assert minutes(found)["Tie pairs and quads"] == minutes(bare)["Tie pairs and quads"]
    rings = sum(ring.count for ring in prep_of(found).rings)
    assert rings == sum(found.to_bring.values())


def test_recipes_and_rounds_name_both() -> None:
    takeoff = take_off(stuffed(**PLUM))
    outer = takeoff.design.palette[2].name.lower()
    words = " ".join(recipe.words for piece in build_sheet(takeoff).pieces for recipe in piece.recipes)
    assert f"{outer} over plum 11 in" in words
    deep = replace(INK, finish="double-stuffed", inner="oat")
    assert (
        "Place 1 x Ink over oat 36 in."
        in build_sheet(take_off(replace(furnished(), palette=(OAT, deep)))).steps
    )


def test_a_floating_one_carries_both_skins() -> None:
    up = replace(furnished(), rounds=(replace(ROUND, gas="helium", y_m=2.0),))
    deep = replace(up, palette=(OAT, replace(INK, finish="double-stuffed", inner="oat")))
    single, double = (prep_of(take_off(design)).bouquets[0].lift.net_lift for design in (up, deep))
    assert single - double == pytest.approx(0.040)


def test_a_stuffed_bouquet_lifts_two_skins_less_for_every_balloon() -> None:
    # By hand: six balloons with a further skin of 2.8 g each lift 16.8 g less, on as much gas.
    plum = PaletteColour(colour="plum", name="Plum", hex="#5A2A4A", share=0.0)
    deep = replace(OAT, share=1.0, finish="double-stuffed", inner="plum")
    bouquet = Bouquet(id="b", count=6, size_in=11, sized_m=0.2667)
    one, two = (
        take_off(Design(version=2, name="Six", palette=(outer, plum), bouquets=(bouquet,)))
        for outer in (replace(OAT, share=1.0), deep)
    )
    lifts = [helium_of(each.design, each.balloons).floating[0].lift for each in (one, two)]
    assert lifts[0].net_lift - lifts[1].net_lift == pytest.approx(6 * 0.0028)
    assert lifts[0].gas == lifts[1].gas


def test_what_the_wind_meets_weighs_both_skins() -> None:
    design = starter("classic-arch")
    windy = replace(design, site=replace(design.site, outdoors=True, gust_m_s=9.0))
    deep = replace(windy, palette=tuple(
        replace(one, finish="double-stuffed", inner=windy.palette[0].colour) for one in windy.palette
    ))  # fmt: skip
    ones, twos = (take_off(one).balloons for one in (windy, deep))
    light, heavy = wind_on(windy, ones), wind_on(deep, twos)
    assert light is not None
    assert heavy is not None
    # 136 skins of 11 in more, of 3 g each, against sliding on steel feet: the same force on more mass.
    assert heavy.ballast_for_sliding == pytest.approx(light.ballast_for_sliding - 136 * 0.003, abs=0.02)


def test_it_is_kept_read_and_told() -> None:
    takeoff = take_off(stuffed(**PLUM))
    kept = stored_takeoff(takeoff)
    assert read_takeoff(write_takeoff(kept)) == kept
    assert {(one.name, one.hex) for one in kept.counts if one.colour == "plum"} == {("Plum", "#5A2A4A")}
    assert "latex-11-plum" in report_text(takeoff)


def test_another_colour_goes_within_as_well() -> None:
    brick = PaletteColour(colour="brick", name="Brick", hex="#A4553F", share=0)
    assert swap_colour(stuffed(inner="pearl"), "pearl", brick).palette[2].inner == "brick"


@pytest.mark.parametrize(
    "finish", ["plain", "pearl", "metallic", "mirror", "crystal", "confetti", "double-stuffed"]
)
def test_every_finish_is_drawn(finish: str) -> None:
    first, *others = starter("table-garland").palette
    shiny = replace(first, finish=finish, inner="sage" if finish == "double-stuffed" else "")
    takeoff = take_off(replace(starter("table-garland"), palette=(shiny, *others)))
    of_first = int((takeoff.balloons.colour == 0).sum())
    front, above = elevation_svg(takeoff, prefix="q-"), plan_svg(takeoff, prefix="q-")
    assert front.count('id="q-b0"') == above.count('id="q-b0"') == 1
    assert front.count('href="#q-b0"') == above.count('href="#q-b0"') == of_first
