"""Foil balloons: each letter is an item, has minutes, a tie or a weight, and its caution."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from shapely import affinity, box

from quoting.craft.air.atmosphere import Air
from quoting.craft.air.helium import lifted
from quoting.craft.design.boxes import foil_boxes
from quoting.craft.design.foils import balloons_of, foil_size
from quoting.craft.design.thing_checks import thing_faults
from quoting.craft.design.things import Foil
from quoting.craft.picture.drawing import many
from quoting.craft.picture.elevation import alt_text, elevation_svg, plan_svg
from quoting.craft.picture.view import View
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.site.prep import prep_of
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from quoting.craft.takeoff.wind_load import wind_on
from tests.quoting.craft.design.thing_designs import FOIL, furnished

STAR = replace(FOIL, id="star", item="foil-star", label="Star 18 in", shape="star", text="", flat_m=0.457)
DISC = replace(STAR, id="disc", item="foil-disc", label="Disc 18 in", shape="disc")
STANDARD = Air()


def with_foils(*foils: Foil) -> TakeOff:
    return take_off(replace(furnished(), foils=foils))


def quantities(takeoff: TakeOff) -> dict[str, int]:
    return {line.code: line.quantity for line in takeoff.bill()}


def test_each_letter_and_digit_is_an_item_of_its_own() -> None:
    found = quantities(with_foils(replace(FOIL, text="404"), STAR))
    assert {code: n for code, n in found.items() if code.startswith("foil")} == {
        "foil-34-gold-4": 2, "foil-34-gold-0": 1, "foil-star": 1,
    }  # fmt: skip


def test_a_disc_of_18_in_lifts_a_few_grams_with_helium() -> None:
    """By hand: 1.2185 · 0.2285³ m³ of 1.2041 - 0.1931 kg/m³ (air of 20 °C; helium of 97 %), less 9.8 g of foil."""
    (disc,) = balloons_of(DISC)
    by_hand = (
        1.2185 * 0.2285**3 * (1.2041 - (0.97 * 0.16637 + 0.03 * 1.2041)) - 2 * math.pi / 4 * 0.457**2 * 0.030
    )
    assert lifted(disc.volume_m3, disc.skin_kg, STANDARD).net_lift == pytest.approx(by_hand, rel=0.005)
    assert 0.003 < by_hand < 0.007


@pytest.mark.parametrize("glyph", "0123456789")
def test_a_number_of_34_in_floats_and_a_letter_of_16_in_does_not(glyph: str) -> None:
    """Common practice, no source: numbers of 34 in are sold to float, letters of 16 in for air only."""
    floats = replace(FOIL, text=glyph, gas="helium")
    assert thing_faults(replace(furnished(), foils=(floats,))) == []
    small = replace(floats, flat_m=0.4)
    assert [fault.field for fault in thing_faults(replace(furnished(), foils=(small,)))] == ["foils[0].gas"]


def test_the_tube_of_a_stroke_has_the_girth_of_both_strips() -> None:
    size = balloons_of(replace(FOIL, text="I", flat_m=1.0))[0].size
    assert size.width_m * math.pi == pytest.approx(2 * 0.30)
    assert size.height_m == pytest.approx(1.0 - 0.30 + size.width_m)


def test_letters_of_a_row_stand_side_by_side_about_its_middle() -> None:
    row = balloons_of(replace(FOIL, text="LOVE"))
    edges = [(one.across_m - one.size.width_m / 2, one.across_m + one.size.width_m / 2) for one in row]
    assert edges[0][0] == pytest.approx(-edges[-1][1])
    assert all(left[1] < right[0] for left, right in pairwise(edges))
    assert foil_size(replace(FOIL, text="LOVE")).width_m == pytest.approx(edges[-1][1] - edges[0][0])


def test_foil_with_air_is_tied_on_and_with_helium_held_by_a_weight_each() -> None:
    bare = quantities(take_off(replace(furnished(), foils=())))
    air, helium = quantities(with_foils(FOIL)), quantities(with_foils(replace(FOIL, gas="helium")))
    assert air["fishing-line-m"] == bare.get("fishing-line-m", 0) + 2
    assert (helium["bouquet-weight"], helium["ribbon-m"]) == (2, math.ceil(2 * FOIL.y_m))
    assert "fishing-line-m" not in helium
    assert helium["helium-cylinder-10l"] == 1


def test_foil_has_minutes_steps_and_cautions() -> None:
    takeoff = with_foils(FOIL, STAR)
    minutes = {task.name: task.minutes for task in takeoff.tasks}
    assert minutes["Fill foil balloons"] == pytest.approx(3 * 60 / 60)
    assert minutes["Place foil balloons"] == pytest.approx(3 * 150 / 60)
    assert "Set Gold number 34 in “40” in its place." in build_sheet(takeoff).steps
    assert "foil" in [caution.name for caution in prep_of(takeoff).cautions]
    assert "foil" not in [
        caution.name for caution in prep_of(take_off(replace(furnished(), foils=()))).cautions
    ]


def test_the_wind_meets_foil_that_is_tied_on() -> None:
    site = replace(furnished().site, outdoors=True, gust_m_s=9.0)
    moments = []
    for foils in ((), (FOIL,), (replace(FOIL, gas="helium"),)):
        design = replace(furnished(), site=site, foils=foils)
        check = wind_on(design, take_off(design).balloons)
        assert check is not None
        moments.append(check.ballast_for_tipping)
    assert moments[0] == moments[2] < moments[1]


@pytest.mark.parametrize("shape", ["star", "heart", "disc", "crescent"])
def test_every_shape_is_drawn_and_named(shape: str) -> None:
    takeoff = with_foils(replace(STAR, shape=shape, gas="helium"))
    assert elevation_svg(takeoff, things=True).count('data-thing="foil:star"') == 2
    assert 'data-thing="foil:star"' in plan_svg(takeoff, things=True)


def test_the_words_for_those_who_do_not_see_say_what_foil_reads() -> None:
    assert "Foil balloons read “40”." in alt_text(take_off(furnished()))


def test_the_words_name_foil_whether_anything_else_is_there_or_not() -> None:
    star = replace(FOIL, shape="star", text="", label="Gold star")
    alone = replace(
        furnished(), frames=(), rounds=(), props=(), letterings=(), sprays=(), signs=(), foils=(star,)
    )
    assert alt_text(take_off(alone)).startswith(f"{alone.name}: Gold star; ")
    assert "Gold star" in alt_text(with_foils(star))


@pytest.mark.parametrize("turn_deg", [0.0, 35.0, 90.0])
def test_ribbons_hang_from_each_letter_of_a_turned_row(turn_deg: float) -> None:
    # Source: shapely turns the boxes of the letters about the middle of the row.
    foil = replace(FOIL, gas="helium", turn_deg=turn_deg, x_m=0.3, y_m=2.0)
    boxes = [
        affinity.rotate(
            box(one.across_m - one.size.width_m / 2, -one.size.height_m / 2,
                one.across_m + one.size.width_m / 2, one.size.height_m / 2),
            -turn_deg, origin=(0, 0),
        ).bounds
        for one in balloons_of(foil)
    ]  # fmt: skip
    expected = [(0.3 + (left + right) / 2, 2.0 + low) for left, low, right, _ in boxes]
    assert [(one.x_m, one.bottom) for one in foil_boxes(foil)] == [pytest.approx(place) for place in expected]
    takeoff = with_foils(foil)
    view = View(takeoff, person=False, dimensions=False, prefix="")
    svg = elevation_svg(takeoff)
    for x, y in expected:
        assert f'<path d="M{many(view.x(x), view.y(y))}V' in svg


def test_a_row_on_top_of_something_hangs_from_no_ribbon() -> None:
    floating = replace(FOIL, gas="helium")
    top = replace(floating, on_top="prop:plinth")
    assert elevation_svg(with_foils(floating)).count("l4-18h18l4") == 2
    assert "l4-18h18l4" not in elevation_svg(with_foils(top))
