"""The take-off adds up: bill, explanations, build sheet, fullness, fit, picture."""

from __future__ import annotations

import gzip
import re
from collections import Counter
from dataclasses import replace
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from quoting.craft.change.edit import editable, edited, swap_colour
from quoting.craft.change.resize import scale_to
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Bag, MixEntry, PaletteColour
from quoting.craft.picture.elevation import alt_text, elevation_svg, plan_svg
from quoting.craft.rigging.tie_points import MOST_ON_A_TIE_KG, weight_per_metre
from quoting.craft.rigging.ties import rig
from quoting.craft.settle.build import built
from quoting.craft.settle.fillers import COVERED_DEPTH, VIEW_DEG
from quoting.craft.settle.garland import body_diameter_m
from quoting.craft.settle.laying import routes_of
from quoting.craft.sheets.build_sheet import build_sheet, sheet_text
from quoting.craft.sheets.stored import stored_takeoff
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.takeoff import TakeOff, forget, take_off
from tests.quoting.craft.starter_designs import NAMES, starter, straight_garland, worked

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("name", NAMES)
def test_the_bill_holds_every_balloon_and_the_spares(name: str) -> None:
    takeoff = worked(name)
    latex = {
        line.code: line.quantity for line in takeoff.bill() if re.fullmatch(r"latex-(?!260-).*", line.code)
    }
    assert sum(takeoff.counts.values()) == len(takeoff.balloons)
    for (size, colour), placed in takeoff.counts.items():
        assert latex.pop(f"latex-{size}-{colour}") == placed + takeoff.allowance.spares[size, colour]
    assert not latex


@pytest.mark.parametrize("name", NAMES)
def test_every_line_of_the_bill_is_explained_and_latex_adds_up(name: str) -> None:
    takeoff = worked(name)
    for line in takeoff.bill():
        words = explain(takeoff, line.code)
        assert line.label in words
        if " placed; +" in words:
            parts, placed = re.match(r".*?: (.*) = (\d+) placed", words).groups()  # type: ignore[union-attr]
            assert sum(int(n) for n in re.findall(r"(?:^|, )(\d+) (?:in|as|tied|afloat)", parts)) == int(
                placed
            )
            assert words.endswith(f"= {line.quantity}.")


@pytest.mark.parametrize("name", NAMES)
def test_the_sizing_rings_are_for_every_balloon_of_the_bill_that_is_filled_with_air(name: str) -> None:
    takeoff = worked(name)
    brought: Counter[int] = Counter()
    for (size, _colour), count in takeoff.to_bring.items():
        brought[size] += count
    rings: Counter[int] = Counter()
    for ring in build_sheet(takeoff).prep.rings:
        rings[ring.size_in] += ring.count
    afloat = _brought_to_float(takeoff)
    if not takeoff.design.bouquets:
        assert rings == brought
    missing = brought.total() - rings.total()
    assert missing == pytest.approx(afloat, abs=len(takeoff.design.palette))


def _brought_to_float(takeoff: TakeOff) -> float:
    """What is brought for bouquets: of every size and colour the share that floats."""
    b, total = takeoff.balloons, 0.0
    afloat = b.garland >= len(takeoff.design.garlands) + len(takeoff.design.walls)
    for (size, colour), brought in takeoff.to_bring.items():
        codes = [one.colour for one in takeoff.design.palette]
        alike = (b.size_in == size) & (b.colour == codes.index(colour))
        total += brought * float(afloat[alike].mean())
    return total


def test_a_code_that_the_bill_lacks_is_a_key_error() -> None:
    with pytest.raises(KeyError, match="latex-99-oat"):
        explain(worked("classic-arch"), "latex-99-oat")


@pytest.mark.parametrize("name", NAMES)
def test_the_build_sheet_makes_every_balloon_once(name: str) -> None:
    takeoff = worked(name)
    sheet = build_sheet(takeoff)
    made = sum(len(one.recipe.balloons) * one.recipe.count for piece in sheet.pieces for one in piece.recipes)
    tied = sum(len(piece.big_rounds) for piece in sheet.pieces)
    afloat = sum(bouquet.count for bouquet in takeoff.design.bouquets)
    assert made + tied + afloat == len(takeoff.balloons)
    strung = [run.last - run.first + 1 for piece in sheet.pieces for run in piece.order]
    quads = [
        one.recipe.count for piece in sheet.pieces for one in piece.recipes if one.recipe.kind != "filler"
    ]
    assert sum(strung) + sum(len(piece.ends) for piece in sheet.pieces) == sum(quads)
    assert "Steps" in sheet_text(sheet)


def test_fullness_agrees_with_rays_shot_at_random() -> None:
    """Ten thousand rays at places of their own, against every balloon, with no grid and no search tree."""
    takeoff = take_off(straight_garland(4.0))
    garland, route = takeoff.design.garlands[0], takeoff.garlands[0].route
    body, b = body_diameter_m(garland), takeoff.balloons
    quads = (b.quad >= 0) & (b.quad < takeoff.garlands[0].quads)
    axis = np.column_stack([b.station, *(route.at(b.station)[:, k] for k in (1, 2))])
    outside = np.hypot(b.y - axis[:, 1], b.z - axis[:, 2])
    rng = np.random.default_rng(5)
    station = rng.uniform(0, route.length_m, 10_000)
    angle = np.radians(rng.uniform(-VIEW_DEG, VIEW_DEG, 10_000))
    _, sideways, facing = route.triad(station)
    outward = facing * np.cos(angle)[:, None] + sideways * np.sin(angle)[:, None]
    along = np.linalg.norm(b.centres - route.at(b.station), axis=1) + b.radius
    reach = np.array(
        [
            along[quads & (np.abs(b.station - s) < 1.5 * body)].mean()
            for s in np.linspace(0, route.length_m, 60)
        ]
    )
    points = (
        route.at(station) + outward * np.interp(station, np.linspace(0, route.length_m, 60), reach)[:, None]
    )
    offset = b.centres[None] - points[:, None]
    inward = -np.einsum("ijk,ik->ij", offset, outward)
    hit2 = b.radius**2 - (np.einsum("ijk,ijk->ij", offset, offset) - inward**2)
    depth = np.where(hit2 > 0, inward - np.sqrt(np.maximum(hit2, 0)), 9.0).min(axis=1)
    assert outside.max() > 0
    assert (depth <= COVERED_DEPTH * body).mean() == pytest.approx(takeoff.fullness, abs=0.03)


@pytest.mark.parametrize(
    "name", [name for name in NAMES if any(g.work == "organic" for g in starter(name).garlands)]
)
def test_organic_garlands_reach_the_asked_fullness_or_say_what_they_reached(name: str) -> None:
    for result in worked(name).garlands:
        assert result.fullness >= result.fullness_bare
        assert result.fullness >= result.garland.fullness - 0.02


@pytest.mark.parametrize("name", NAMES)
def test_a_design_scaled_to_its_own_size_keeps_it(name: str) -> None:
    size = worked(name).dimensions
    same = take_off(scale_to(starter(name), width_m=size.width_m, height_m=size.height_m)).dimensions
    assert same.width_m == pytest.approx(size.width_m, rel=0.02)
    assert same.height_m == pytest.approx(size.height_m, rel=0.02)


def test_a_wider_site_gets_a_wider_piece_from_owned_frames_only() -> None:
    design = scale_to(starter("garland-nested-arches"), width_m=3.6, height_m=2.9)
    owned = {size.item for frame in starter("garland-nested-arches").frames for size in frame.sizes}
    assert {frame.item for frame in design.frames} <= owned
    assert take_off(design).dimensions.width_m == pytest.approx(3.6, rel=0.02)


@pytest.mark.parametrize(("width_m", "height_m", "path"), [(9, 2.4, "width_m"), (2.8, 5, "height_m")])
def test_a_size_that_no_frame_makes_is_refused_with_the_range(
    width_m: float, height_m: float, path: str
) -> None:
    with pytest.raises(DesignError, match=r"these frames make a piece \d\.\d\d to \d\.\d\d m") as raised:
        scale_to(starter("garland-nested-arches"), width_m=width_m, height_m=height_m)
    assert [fault.field for fault in raised.value.faults] == [path]


def test_every_editable_value_can_be_given_back_unchanged() -> None:
    design = starter("ring-half-moon")
    same = {row.key: row.value for row in editable(design) if row.key not in ("width_m", "height_m")}
    assert edited(design, same) == design


def test_an_edit_out_of_range_is_told_under_its_key() -> None:
    with pytest.raises(DesignError) as raised:
        edited(starter("ring-half-moon"), {"fullness": 2, "share.nowhere": 1})
    assert {fault.field for fault in raised.value.faults} == {"fullness", "share.nowhere"}


def test_a_swapped_colour_takes_the_share_and_changes_no_total() -> None:
    brick = PaletteColour(colour="brick", name="Brick", hex="#A4553F", share=0)
    swapped = take_off(swap_colour(starter("ring-and-panel"), "ink", brick))
    before, after = worked("ring-and-panel").counts, swapped.counts
    assert {key: n for key, n in after.items() if key[1] == "brick"} == {
        (size, "brick"): n for (size, colour), n in before.items() if colour == "ink"
    }


@pytest.mark.parametrize("name", NAMES)
def test_the_picture_is_strict_svg_with_a_round_for_every_balloon(name: str) -> None:
    takeoff = worked(name)
    for svg in (elevation_svg(takeoff, dimensions=True), plan_svg(takeoff)):
        assert not re.search(r"\sstyle=|<style|<script|href=\"[^#]|\son\w+=", svg)
        root = ET.fromstring(svg)  # noqa: S314 - our own picture
        rounds = [one for one in root.iter(f"{SVG}use") if re.fullmatch(r"#b\d+", one.get("href", ""))]
        assert len(rounds) == len(takeoff.balloons)
        assert all(
            part.get("data-part") in ("garland", "frames", "florals", "sign")
            for part in root.iter()
            if part.get("data-part")
        )


def test_balloons_are_drawn_from_the_rear_to_the_front() -> None:
    takeoff = worked("garland-nested-arches")
    root = ET.fromstring(elevation_svg(takeoff, person=False))  # noqa: S314 - our own picture
    rounds = [one for one in root.iter(f"{SVG}use") if one.get("href", "").startswith("#b")]
    drawn = [float(one.get("transform", "").partition("scale(")[2].rstrip(")")) for one in rounds]
    by_depth = takeoff.balloons.radius[np.argsort(takeoff.balloons.z, kind="stable")]
    assert drawn == pytest.approx(by_depth * 200, abs=0.06)


def test_three_hundred_balloons_take_under_sixty_kilobytes_compressed() -> None:
    assert len(worked("stage-three-frames").balloons) > 300
    assert len(gzip.compress(elevation_svg(worked("stage-three-frames")).encode())) < 60_000


def test_the_words_for_the_picture_say_number_colours_size_and_sign() -> None:
    takeoff = worked("ring-half-moon")
    words = alt_text(takeoff)
    for part in (f"{len(takeoff.balloons)} balloons", "dull pink 34 %", "m wide", "at last"):
        assert part in words


def test_a_site_high_and_warm_is_sized_down_in_prep() -> None:
    design = starter("ring-half-moon")
    warm = replace(design, site=replace(design.site, temperature_c=32.0, altitude_m=1500.0))
    for ring in build_sheet(take_off(warm)).prep.rings:
        assert 0.9 * ring.site_m < ring.ring_m < 0.96 * ring.site_m


def test_wind_is_judged_outdoors_only() -> None:
    assert build_sheet(worked("ring-half-moon")).prep.wind is None
    wind = build_sheet(worked("terrace-frame-bouquets")).prep.wind
    assert wind is not None
    assert wind.ballast > 0
    assert "licensed engineer" in wind.caution.text


def test_garlands_that_meet_settle_together() -> None:
    design = starter("ceiling-swags")
    made = built(design)
    assert {int(k) for k in np.unique(made.columns["piece"])} == {0, 1, 2}


def test_a_heavy_garland_takes_more_ties() -> None:
    """Weights are common practice, no source; no stretch between two ties carries more than one tie may."""
    light = straight_garland(6.0)
    big = MixEntry(size_in=36, role="accent", sized_low_m=0.8, sized_high_m=0.8, spacing_m=0.1)
    heavy = replace(
        light, garlands=(replace(light.garlands[0], mix=(*light.garlands[0].mix, big, big, big)),)
    )
    few, many = (
        [tie.station_m for tie in rig(design, routes_of(design), fillers=0).ties] for design in (light, heavy)
    )
    assert len(many) > len(few)
    weight = weight_per_metre(heavy, heavy.garlands[0])
    assert weight > weight_per_metre(light, light.garlands[0]) + 0.8
    assert weight * np.diff(many).max() <= MOST_ON_A_TIE_KG + 1e-9


@pytest.mark.parametrize("name", NAMES)
def test_what_is_kept_of_a_design_says_nothing_else_of_the_next(name: str) -> None:
    """Only minutes and spares follow crew, rates, loss, service and bags: worked out after the design, and alone."""
    design = starter(name)
    rates = replace(design.rates, crew=5, tie_s=2 * design.rates.tie_s)
    bags = (Bag(size_in=11, pieces=25), Bag(size_in=5, pieces=25))
    changes = [replace(design, rates=rates), replace(design, loss=0.15), replace(design, service=0.99)]
    for changed in (*changes, replace(design, bags=bags), replace(design, loss=0.0)):
        take_off(design)
        after = take_off(changed)
        forget()
        alone = take_off(changed)
        assert after.design == alone.design == changed
        assert stored_takeoff(after) == stored_takeoff(alone)
        assert elevation_svg(after) == elevation_svg(alone)
        assert sheet_text(build_sheet(after)) == sheet_text(build_sheet(alone))
