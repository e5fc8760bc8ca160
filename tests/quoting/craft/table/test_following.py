"""A stroke becomes a clean route, which a take-off can be made of."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, frechet_distance, hausdorff_distance

from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.frames import face, outline
from quoting.craft.design.records import Frame, Leg
from quoting.craft.design.routes import STAND_OFF, route_of
from quoting.craft.table.acts import apply, read_act
from quoting.craft.table.drawing import USUAL_MIX
from quoting.craft.table.following import LONGEST_M, depths_before, follow
from quoting.craft.table.limits import limits
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import starter
from tests.quoting.craft.table.tables import (
    COVER,
    LOW,
    SHELF,
    TALL,
    Points,
    along,
    codes,
    done,
    over_both_arches,
    shaky,
    table,
)

BALL_M = 0.2286
PANEL = Frame(id="panel", shape="panel", item="panel", label="Panel", width_m=1.0, height_m=2.0, z_m=0.3)
RING = Frame(id="ring", shape="ring", item="ring", label="Ring", width_m=2.0, height_m=2.0)
PILLAR = Frame(
    id="pillar", shape="column", item="pillar", label="Pillar", width_m=0.4, height_m=2.9, weight_kg=400
)


def followed(points: Points, *frames: Frame) -> tuple[Leg, ...]:
    return follow(points, frames, ball_m=BALL_M)


def kinds(legs: tuple[Leg, ...]) -> list[tuple[str, str]]:
    return [(leg.kind, leg.frame) for leg in legs]


@pytest.mark.parametrize("tremor_m", [0.0, 0.02, 0.04, 0.06])
@pytest.mark.parametrize("seed", range(4))
def test_an_unsteady_stroke_over_both_arches_is_a_pool_and_two_frames(seed: int, tremor_m: float) -> None:
    legs = followed(shaky(over_both_arches(), seed, tremor_m), TALL, LOW)
    assert kinds(legs) == [("pool", ""), ("along", "low"), ("along", "tall")]
    pool, low, tall = legs
    assert pool.direction == "right"
    assert 0.4 < pool.length_m < 0.8
    assert (low.start, tall.end) == (0.0, 1.0)
    assert low.end == pytest.approx(0.53, abs=0.06)
    assert tall.start == pytest.approx(0.37, abs=0.06)


def test_its_take_off_works_and_nothing_stands_in_the_way() -> None:
    drawn = done(table(TALL, LOW), "put-garland", points=shaky(over_both_arches()))
    found = take_off(drawn.design)
    assert limits(drawn.design) == ()
    # Common practice, no source: 12 to 16 balloons a foot.
    assert 11 < found.dimensions.balloons_per_foot < 17
    assert found.dimensions.garland_m == pytest.approx(6.0, rel=0.08)


def test_the_route_stays_with_the_stroke() -> None:
    # Source: shapely, the discrete Frechet distance between the stroke and the string as it is laid.
    legs = followed(shaky(over_both_arches()), TALL, LOW)
    garland = replace(starter("garland-nested-arches").garlands[0], route=legs)
    laid = route_of(garland, (TALL, LOW), ball_m=BALL_M)
    drawn = LineString(over_both_arches()).segmentize(0.05)
    assert frechet_distance(LineString(laid.points[:, :2]), drawn) < 0.35


def test_drawn_the_other_way_it_is_the_same_route_backwards() -> None:
    forth, back = over_both_arches(), over_both_arches()[::-1]
    there, again = followed(forth, TALL, LOW), followed(back, TALL, LOW)
    assert kinds(again) == [("along", "tall"), ("along", "low"), ("pool", "")]
    assert again[1].end == there[1].start == 0.0
    assert again[0].start == there[2].end == 1.0
    assert again[1].start == pytest.approx(there[1].end, abs=0.02)
    assert again[2].direction == "left"


def test_a_stroke_in_the_air_goes_before_the_frames_behind_it() -> None:
    covered = replace(PANEL, cover=COVER)
    (leg,) = followed([(-2.0, 1.0), (2.0, 1.2)], covered, replace(LOW, x_m=3.0))
    assert leg.kind == "through"
    face_of = Polygon(face(covered))
    front = covered.z_m + covered.tube_m / 2 + STAND_OFF * BALL_M
    line = LineString(leg.points)
    assert face_of.intersects(line)
    assert min(leg.depths) == pytest.approx(front, abs=1e-3)


def test_it_is_as_deep_as_the_foremost_of_two_frames() -> None:
    behind = replace(PANEL, id="behind", z_m=-0.4)
    depths = depths_before(np.array([(0.0, 1.0)]), [behind, PANEL], ball_m=BALL_M)
    assert depths[0] == pytest.approx(0.3 + PANEL.tube_m / 2 + STAND_OFF * BALL_M)


def test_an_uncovered_frame_is_in_the_way_with_its_tube_only() -> None:
    gate = replace(PANEL, shape="rectangle", cover=None)
    depths = depths_before(np.array([(0.0, 1.0), (0.5, 1.0)]), [gate], ball_m=BALL_M)
    assert np.isnan(depths).tolist() == [True, False]


def test_shimmering_panels_are_in_the_way_as_a_cover_is() -> None:
    bare = replace(TALL, cover=None)
    within = np.array([(TALL.x_m, 1.0)])
    covered, shimmering, open_ = (
        depths_before(within, [frame], ball_m=0.2)
        for frame in (TALL, replace(bare, filling="shimmer"), replace(bare, filling="ladder"))
    )
    assert shimmering == pytest.approx(covered)
    assert np.isnan(open_).all()


def test_where_nothing_is_behind_it_runs_before_the_middle_plane() -> None:
    (leg,) = followed([(-2.0, 1.0), (2.0, 1.2)])
    assert set(leg.depths) == {round(STAND_OFF * BALL_M, 3)}


@pytest.mark.parametrize("seed", range(4))
def test_points_in_the_air_stay_near_the_stroke(seed: int) -> None:
    # Source: shapely, the Hausdorff distance.
    wave = [(x, 1.2 + 0.4 * np.sin(2 * x)) for x in np.linspace(-2, 2, 80)]
    (leg,) = followed(shaky(wave, seed, 0.02))
    assert hausdorff_distance(LineString(leg.points), LineString(wave), densify=0.05) < 0.12
    assert len(leg.points) < 15


def test_a_whole_ring_is_followed_over_its_foot() -> None:
    around = [*along(RING, 0.7, 1.0), *along(RING, 0.0, 0.7)]
    legs = followed(around, RING)
    assert kinds(legs) == [("along", "ring")] * 2
    assert (legs[0].end, legs[1].start) == (1.0, 0.0)
    total = sum(leg.end - leg.start for leg in legs) * outline(RING).length_m
    assert total == pytest.approx(LineString(around).length, rel=0.02)


def test_up_a_pillar_a_garland_is_wound() -> None:
    (leg,) = followed([(0.05, 0.3), (-0.05, 2.6)], PILLAR)
    # Common practice, no source: a turn for every 0.9 m.
    assert (leg.kind, leg.turns) == ("wind", 2.5)
    assert (leg.start, leg.end) == pytest.approx((0.3 / 2.9, 2.6 / 2.9), abs=0.02)


def test_there_and_back_on_one_frame_are_two_stretches() -> None:
    legs = followed([*along(LOW, 0.1, 0.6), *along(LOW, 0.6, 0.3)], LOW)
    assert kinds(legs) == [("along", "low")] * 2
    assert legs[0].end > legs[0].start
    assert legs[1].end < legs[1].start


def test_across_a_narrow_frame_from_leg_to_leg_are_two_stretches() -> None:
    gate = Frame(id="gate", shape="rectangle", item="gate", label="Gate", width_m=0.3, height_m=2.0)
    legs = followed([(-0.15, 0.4), (-0.15, 1.2), (0.15, 1.2), (0.15, 0.4)], gate)
    # By hand: an outline of 4.3 m; from 0.4 m to 1.2 m up its left leg, and down its right one.
    assert kinds(legs) == [("along", "gate")] * 2
    shares = [(leg.start * 4.3, leg.end * 4.3) for leg in legs]
    assert shares[0] == pytest.approx((0.4, 1.2), abs=0.15)
    assert shares[1] == pytest.approx((4.3 - 1.2, 4.3 - 0.4), abs=0.15)


def test_a_stroke_from_the_middle_of_an_outline_begins_there() -> None:
    (leg,) = followed(along(LOW, 0.3, 0.7), LOW)
    assert (leg.start, leg.end) == pytest.approx((0.3, 0.7), abs=0.01)


def test_a_stroke_beyond_a_frame_goes_on_through_the_air() -> None:
    legs = followed([*along(LOW, 0.0, 0.5), (0.3, 2.0), (1.5, 2.3)], LOW)
    assert kinds(legs) == [("along", "low"), ("through", "")]
    assert legs[1].points[-1] == pytest.approx((1.5, 2.3), abs=0.01)


def test_down_a_frame_and_along_the_floor_it_ends_in_a_pool() -> None:
    legs = followed([*along(LOW, 0.5, 1.0), (0.2, 0.03), (0.9, 0.05)], LOW)
    assert kinds(legs) == [("along", "low"), ("pool", "")]
    garland = replace(starter("garland-nested-arches").garlands[0], route=legs)
    end = route_of(garland, (LOW,), ball_m=BALL_M).points[-1]
    assert end[0] == pytest.approx(0.9, abs=0.12)


@pytest.mark.parametrize(
    ("points", "code"),
    [
        ([(0.0, 1.0), (0.0, 1.0)], FaultCode.ROUTE_TOO_SHORT),
        ([(0.0, 1.0), (0.05, 1.0)], FaultCode.ROUTE_TOO_SHORT),
        ([(-29.0, 1.0), (29.0, 1.0), (-29.0, 2.0)], FaultCode.GARLAND_TOO_LONG),
    ],
)
def test_a_stroke_that_is_no_garland_is_a_fault_at_its_points(points: Points, code: FaultCode) -> None:
    with pytest.raises(DesignError) as refused:
        followed(points)
    (fault,) = refused.value.faults
    assert (fault.code, fault.field) == (code, "points")
    assert fault.high in (None, LONGEST_M)


def test_what_is_said_is_the_length_as_laid() -> None:
    acted = done(table(), "put-garland", points=[(-1.0, 1.0), (1.0, 1.0)])
    assert codes(acted) == ["drawn"]
    assert acted.said[0].figures["length_m"] == pytest.approx(2.0, abs=0.01)
    assert acted.design.garlands[0].mix == USUAL_MIX


def test_packed_work_runs_along_a_pole_where_other_work_is_wound() -> None:
    up = [(0.0, 0.2), (0.0, 2.0)]
    assert follow(up, [PILLAR], ball_m=BALL_M, packed=True)[0].kind == "along"


ROOMS = [(TALL, LOW), (RING, replace(PANEL, x_m=1.2)), (PILLAR, replace(LOW, x_m=1.0)), ()]
coordinate = st.floats(-3, 3, allow_nan=False)
strokes = st.lists(st.tuples(coordinate, st.floats(-0.1, 3.2, allow_nan=False)), min_size=2, max_size=9)


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(strokes, st.sampled_from(ROOMS), st.integers(0, 99))
def test_any_stroke_gives_a_design_that_reads_or_a_fault(
    points: Points, frames: tuple[Frame, ...], seed: int
) -> None:
    drawn = shaky(points, seed, 0.02) if seed % 2 else points
    try:
        design = apply(table(*frames), read_act("put-garland", {"points": drawn}), SHELF).design
    except DesignError as refused:
        assert {fault.field for fault in refused.faults} == {"points"}
        return
    assert read_design(write_design(design)) == design
    again = apply(table(*frames), read_act("put-garland", {"points": drawn}), SHELF).design
    assert again == design


@settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow])
@given(strokes, st.sampled_from(ROOMS))
def test_any_stroke_that_is_a_garland_takes_off(points: Points, frames: tuple[Frame, ...]) -> None:
    try:
        design = apply(table(*frames), read_act("put-garland", {"points": points}), SHELF).design
    except DesignError:
        return
    assert len(take_off(design).balloons) > 0
