"""Legs give way where frames are moved together, and take their place again where they are moved apart."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString

from quoting.craft.design.giving_way import JOINT, given_way
from quoting.craft.design.records import Design, Leg
from quoting.craft.settle.garland import body_diameter_m
from quoting.craft.settle.laying import route_in
from tests.quoting.craft.starter_designs import NAMES, starter
from tests.quoting.craft.table.tables import LOW, TALL, done, over_both_arches, table

BALL_M = 0.23


def drawn(tall_x_m: float) -> Design:
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    return done(design, "move", thing="frame:tall", x_m=tall_x_m, exact=True).design


def string(design: Design) -> LineString:
    return LineString(route_in(design, 0).points[:, :2])


@pytest.mark.parametrize("tall_x_m", [0.42, 0.3, 0.2, 0.1, 0.0, -0.1, -0.2])
def test_a_garland_over_frames_moved_together_does_not_cross_itself(tall_x_m: float) -> None:
    # Source: shapely (GEOS), is_simple.
    assert string(drawn(tall_x_m)).is_simple


def test_moved_apart_again_the_garland_is_as_long_as_before() -> None:
    near, there = drawn(0.0), drawn(0.42)
    assert string(near).length < string(there).length - 0.3
    back = done(near, "move", thing="frame:tall", x_m=0.42, exact=True).design
    assert string(back).equals(string(there))


@pytest.mark.parametrize("name", NAMES)
def test_no_leg_of_a_starter_gives_way(name: str) -> None:
    """Each leg along a frame is laid over its whole stretch, up to the corners that are rounded."""
    design = starter(name)
    for index, garland in enumerate(design.garlands):
        laid = route_in(design, index)
        for k, leg in enumerate(garland.route):
            if leg.kind == "along" and leg.side == "edge":
                frame = next(one for one in design.frames if one.id == leg.frame)
                alone = replace(garland, route=(leg,))
                whole = route_in(replace(design, frames=(frame,), garlands=(alone,)), 0).length_m
                mine = laid.along[laid.legs == k]
                assert mine[-1] - mine[0] > 0.93 * whole - body_diameter_m(garland)


def test_a_leg_that_goes_straight_on_to_the_next_stays() -> None:
    up = np.column_stack([np.zeros(40), np.linspace(0, 2, 40), np.zeros(40)])
    legs = [Leg(kind="along", frame="a"), Leg(kind="along", frame="b")]
    first, second = given_way([up, up + np.array([0.0, 2.3, -0.2])], legs, BALL_M)
    assert first is up
    assert second is not None
    assert len(second) == 40


def test_points_in_the_air_and_pools_never_give_way() -> None:
    forth = np.column_stack([np.linspace(0, 2, 40), np.ones(40), np.zeros(40)])
    back = forth + np.array([1.0, 0.0, 0.0])
    air = [Leg(kind="through", points=((0, 1), (2, 1))), Leg(kind="along", frame="b")]
    first, second = given_way([forth, back], air, BALL_M)
    assert first is not None
    assert len(first) == len(forth)
    assert second is not None
    assert second[0, 0] > 2.0 + JOINT * BALL_M - 1e-6
    pool = [Leg(kind="pool", length_m=1.0), Leg(kind="along", frame="b")]
    assert given_way([forth, back], pool, BALL_M)[1] is back


@given(st.floats(-1.5, 1.5), st.floats(-0.5, 0.5))
def test_a_leg_that_gave_way_goes_on_to_the_next_one(across_m: float, up_m: float) -> None:
    turn = np.linspace(np.pi, 0, 80)
    arch = np.column_stack([np.cos(turn), 1 + np.sin(turn), np.zeros(80)])
    legs = [Leg(kind="along", frame="a"), Leg(kind="along", frame="b")]
    first, second = given_way([arch, arch + np.array([across_m, up_m, 0.0])], legs, BALL_M)
    assert first is not None
    assert second is not None
    if len(first) < 80 or len(second) < 80:
        way = second[0, :2] - first[-1, :2]
        assert np.hypot(*way) >= JOINT * BALL_M - 1e-9
        assert way @ (first[-1, :2] - first[-2, :2]) >= -0.02
        assert way @ (second[1, :2] - second[0, :2]) >= -0.02
