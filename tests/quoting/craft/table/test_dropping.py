"""An end of a garland let go on the floor, at a frame, in the air."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Frame, Garland, Leg
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import Acted, SaidCode
from quoting.craft.table.drawing import USUAL_MIX
from quoting.craft.table.ends import ends_of
from quoting.craft.table.grips import grips
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.table.tables import LOW, TALL, codes, done, over_both_arches, table

REF = "garland:garland-1"
RING = Frame(
    id="ring", shape="ring", item="ring", label="Ring", width_m=1.5, height_m=1.5, x_m=2.6, base_m=0.4
)


def drawn(*more: Frame) -> Design:
    return done(table(TALL, LOW, *more), "put-garland", points=over_both_arches()).design


def in_air(*frames: Frame) -> Design:
    leg = Leg(kind="through", points=((-1.5, 1.0), (0.0, 2.0), (1.5, 1.0)), depths=(0.1, 0.1, 0.1))
    return replace(table(*frames), garlands=(Garland(id="garland-1", route=(leg,), mix=USUAL_MIX),))


def let_go(design: Design, x_m: float, y_m: float, *, at_start: bool = False) -> Acted:
    last = len(grips(design, design.garlands[0])) - 1
    return done(design, "move-point", thing=REF, index=0 if at_start else last, x_m=x_m, y_m=y_m)


def far_end(design: Design, *, at_start: bool = False) -> tuple[float, float]:
    x, y, _ = route_in(design, 0).points[0 if at_start else -1].tolist()
    return x, y


def string(design: Design) -> LineString:
    return LineString(route_in(design, 0).points[:, :2])


@pytest.mark.parametrize("at_start", [True, False])
def test_an_end_in_the_air_let_go_on_the_floor_comes_down_and_pools(at_start: bool) -> None:
    x = -2.1 if at_start else 2.1
    acted = let_go(in_air(), x, 0.03, at_start=at_start)
    assert codes(acted) == [SaidCode.POINT_MOVED, SaidCode.POOLS]
    assert ends_of(acted.design, acted.design.garlands[0])[0 if at_start else 1].how == "pool"
    found_x, found_y = far_end(acted.design, at_start=at_start)
    assert found_x == pytest.approx(x, abs=0.05)
    assert found_y < 0.2
    assert string(acted.design).distance(Point(0.0, 2.0)) < 0.05, "the point between stays"
    assert len(take_off(acted.design).balloons) > 100


def test_from_the_foot_of_its_frame_a_pool_reaches_as_far_as_the_hand() -> None:
    acted = let_go(drawn(), 1.9, 0.0)
    assert codes(acted)[-1] is SaidCode.POOLS
    assert [leg.kind for leg in acted.design.garlands[0].route][-2:] == ["along", "pool"]
    assert far_end(acted.design)[0] == pytest.approx(1.9, abs=0.05)


def test_a_stretch_that_ends_high_on_its_frame_goes_down_to_the_foot_first() -> None:
    short = let_go(drawn(), 1.05, 1.0).design
    assert short.garlands[0].route[-1].end < 0.9
    acted = let_go(short, 1.9, 0.0)
    assert acted.design.garlands[0].route[-2].end == 1.0
    assert far_end(acted.design)[0] == pytest.approx(1.9, abs=0.05)


def test_an_end_let_go_at_the_foot_of_its_own_frame_stays_on_it() -> None:
    acted = let_go(drawn(), 1.08, 0.02)
    assert codes(acted) == [SaidCode.POINT_MOVED]
    assert acted.design.garlands[0].route[-1].kind == "along"


def test_an_end_let_go_near_another_frame_follows_it_as_it_came() -> None:
    # Source: shapely, the nearest place on the ring's outline.
    acted = let_go(drawn(RING), 1.8, 1.2)
    assert codes(acted) == [SaidCode.POINT_MOVED, SaidCode.ON_FRAME]
    assert acted.said[1].other == "Ring"
    leg = acted.design.garlands[0].route[-1]
    line = LineString(outline(RING).points)
    middle = line.project(Point(1.8, 1.2)) / line.length
    assert (leg.kind, leg.frame) == ("along", "ring")
    assert (leg.start + leg.end) / 2 == pytest.approx(middle, abs=0.01)
    assert abs(leg.end - leg.start) * line.length == pytest.approx(0.3, abs=0.02)


def test_the_point_in_the_air_goes_to_the_frame_with_the_hand() -> None:
    acted = let_go(in_air(RING), 1.88, 1.3)
    route = acted.design.garlands[0].route
    assert [leg.kind for leg in route] == ["through", "along"]
    assert route[0].points == ((-1.5, 1.0), (0.0, 2.0))


def test_a_pool_that_is_lifted_hangs_free_where_it_is_let_go() -> None:
    acted = let_go(drawn(), -1.6, 0.9, at_start=True)
    assert codes(acted) == [SaidCode.POINT_MOVED, SaidCode.OFF_THE_FLOOR]
    assert acted.design.garlands[0].route[0].kind == "through"
    assert far_end(acted.design, at_start=True) == pytest.approx((-1.6, 0.9), abs=0.12)


def test_a_pool_that_is_lifted_to_a_frame_follows_it() -> None:
    pooled = let_go(drawn(RING), 1.9, 0.0).design
    acted = let_go(pooled, 1.86, 1.1)
    assert codes(acted)[-1] is SaidCode.ON_FRAME
    assert [leg.kind for leg in acted.design.garlands[0].route][-2:] == ["along", "along"]


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(st.booleans(), st.floats(-2.5, 3.5), st.floats(0.0, 2.4)),
        min_size=1,
        max_size=4,
    )
)
def test_wherever_ends_are_let_go_the_garland_can_be_laid(drops: list[tuple[bool, float, float]]) -> None:
    design = drawn(RING)
    for at_start, x, y in drops:
        design = let_go(design, x, y, at_start=at_start).design
        assert string(design).length > 0.5
