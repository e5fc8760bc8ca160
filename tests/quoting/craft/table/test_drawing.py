"""Points of garlands moved, added and taken out; ends and thickness changed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Garland, Leg
from quoting.craft.design.routes import STAND_OFF
from quoting.craft.settle.garland import body_diameter_m
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import SaidCode
from quoting.craft.table.drawing import SAME_KNOT, USUAL_MIX, with_knot
from quoting.craft.table.ends import ends_of, tapered
from quoting.craft.table.grips import grip_places, grips
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.table.tables import LOW, TALL, codes, done, over_both_arches, table

REF = "garland:garland-1"


def drawn() -> Design:
    return done(table(TALL, LOW), "put-garland", points=over_both_arches()).design


def in_air() -> Design:
    leg = Leg(kind="through", points=((-1.5, 1.0), (0.0, 2.0), (1.5, 1.0)), depths=(0.1, 0.1, 0.1))
    return replace(table(), garlands=(Garland(id="garland-1", route=(leg,), mix=USUAL_MIX),))


def kinds(design: Design) -> list[str]:
    return [leg.kind for leg in design.garlands[0].route]


def string(design: Design) -> LineString:
    return LineString(route_in(design, 0).points[:, :2])


def index_near(design: Design, x_m: float, y_m: float) -> int:
    places = grip_places(design, design.garlands[0])
    return int(np.argmin([np.hypot(place.x_m - x_m, place.y_m - y_m) for place in places]))


def test_a_point_in_the_air_goes_where_it_is_put_and_the_others_stay() -> None:
    after = done(in_air(), "move-point", thing=REF, index=1, x_m=0.2, y_m=2.3, z_m=0.4).design
    (leg,) = after.garlands[0].route
    assert leg.points == ((-1.5, 1.0), (0.2, 2.3), (1.5, 1.0))
    assert leg.depths == (0.1, 0.4, 0.1)


def test_a_point_moved_over_a_frame_goes_before_it_and_stays_there() -> None:
    near = replace(LOW, x_m=0.0, z_m=0.5)
    design = replace(in_air(), frames=(near,))
    over = done(design, "move-point", thing=REF, index=0, x_m=-0.2, y_m=1.0).design.garlands[0].route[0]
    front = near.z_m + near.tube_m / 2 + STAND_OFF * body_diameter_m(design.garlands[0])
    assert over.depths[0] == pytest.approx(front, abs=1e-3)
    assert over.depths[2] == 0.1
    back = replace(design, garlands=(replace(design.garlands[0], route=(over,)),))
    away = done(back, "move-point", thing=REF, index=0, x_m=-1.5, y_m=1.0).design.garlands[0].route[0]
    assert away.depths[0] == over.depths[0]
    asked = done(design, "move-point", thing=REF, index=0, x_m=-0.2, y_m=1.0, z_m=-0.3)
    assert asked.design.garlands[0].route[0].depths[0] == -0.3


def test_a_second_garland_has_a_name_of_its_own() -> None:
    design = done(drawn(), "put-garland", points=[(-1, 1), (1, 1)]).design
    assert [garland.label for garland in design.garlands] == ["Garland", "Garland 2"]


def test_moved_back_the_point_is_where_it_was() -> None:
    there = done(in_air(), "move-point", thing=REF, index=1, x_m=0.2, y_m=2.3).design
    assert done(there, "move-point", thing=REF, index=1, x_m=0.0, y_m=2.0).design == in_air()


def test_an_end_on_a_frame_moves_along_its_outline() -> None:
    # Source: shapely, the nearest place on the outline.
    design = drawn()
    last = len(grips(design, design.garlands[0])) - 1
    after = done(design, "move-point", thing=REF, index=last, x_m=1.1, y_m=1.0).design
    line = LineString(outline(TALL).points)
    wanted = line.project(Point(1.1, 1.0)) / line.length
    assert after.garlands[0].route[-1].end == pytest.approx(wanted, abs=0.005)


def test_a_point_pulled_off_its_frame_leaves_it_there_and_comes_back() -> None:
    design = drawn()
    at = index_near(design, 1.03, 1.3)
    acted = done(design, "move-point", thing=REF, index=at, x_m=1.7, y_m=1.3)
    assert codes(acted) == [SaidCode.POINT_MOVED, SaidCode.OFF_THE_FRAME]
    assert kinds(acted.design) == ["pool", "along", "along", "through", "along"]
    assert string(acted.design).distance(Point(1.7, 1.3)) < 0.05
    assert len(take_off(acted.design).balloons) > 200


def test_the_point_off_the_frame_is_one_point_and_taken_out_it_is_as_before() -> None:
    design = drawn()
    at = index_near(design, 1.03, 1.3)
    off = done(design, "move-point", thing=REF, index=at, x_m=1.7, y_m=1.3).design
    pin = index_near(off, 1.7, 1.3)
    moved = done(off, "move-point", thing=REF, index=pin, x_m=1.6, y_m=1.5).design
    assert string(moved).distance(Point(1.6, 1.5)) < 0.05
    back = done(moved, "remove-point", thing=REF, index=index_near(moved, 1.6, 1.5)).design
    assert back.garlands[0].route == design.garlands[0].route


def test_a_point_moved_a_little_on_its_frame_changes_nothing() -> None:
    design = drawn()
    acted = done(design, "move-point", thing=REF, index=index_near(design, 1.03, 1.3), x_m=1.1, y_m=1.3)
    assert acted.design.garlands[0].route == design.garlands[0].route


def test_the_far_end_of_a_pool_moves_and_its_near_end_stays() -> None:
    design = drawn()
    after = done(design, "move-point", thing=REF, index=0, x_m=-2.2, y_m=0.4).design
    before, now = design.garlands[0].route[0], after.garlands[0].route[0]
    assert now.points[0][0] == -2.2
    assert now.points[0][0] + now.length_m == pytest.approx(before.points[0][0] + before.length_m, abs=1e-3)


def test_the_end_of_a_pool_at_the_end_goes_where_it_is_put() -> None:
    design = done(drawn(), "end", thing=REF, which="end", how="pool").design
    last = len(grips(design, design.garlands[0])) - 1
    after = done(design, "move-point", thing=REF, index=last, x_m=2.6, y_m=0.1).design
    assert route_in(after, 0).points[-1, 0] == pytest.approx(2.6, abs=0.03)


def test_a_hanging_leg_is_pulled_deeper_by_its_middle() -> None:
    leg = Leg(kind="hang", points=((-1.5, 2.4), (1.5, 2.4)), sag_m=0.4)
    design = replace(table(), garlands=(Garland(id="garland-1", route=(leg,), mix=USUAL_MIX),))
    after = done(design, "move-point", thing=REF, index=1, x_m=0.0, y_m=1.6).design
    assert after.garlands[0].route[0].sag_m == pytest.approx(0.8)
    assert string(after).bounds[1] == pytest.approx(1.6, abs=0.02)


def test_a_point_added_in_the_air_changes_no_shape() -> None:
    after = done(in_air(), "add-point", thing=REF, at=0.25).design
    assert len(after.garlands[0].route[0].points) == 4
    assert string(after).hausdorff_distance(string(in_air())) < 0.01


def test_a_point_added_on_a_frame_can_be_moved_away_and_taken_out() -> None:
    design = drawn()
    added = done(design, "add-point", thing=REF, at=0.8).design
    assert string(added).hausdorff_distance(string(design)) < 0.08
    place = route_in(design, 0).at(np.array([0.8 * route_in(design, 0).length_m]))[0]
    back = done(added, "remove-point", thing=REF, index=index_near(added, place[0], place[1])).design
    assert back.garlands[0].route == design.garlands[0].route


def test_a_stretch_of_a_frame_is_shorter_without_its_first_or_last_point() -> None:
    leg = Leg(kind="along", frame="tall", start=0.1, end=0.9)
    design = replace(table(TALL), garlands=(Garland(id="garland-1", route=(leg,), mix=USUAL_MIX),))
    shares = [grip.share for grip in grips(design, design.garlands[0])]
    last = len(shares) - 1
    first_gone = done(design, "remove-point", thing=REF, index=0).design.garlands[0].route[0]
    last_gone = done(design, "remove-point", thing=REF, index=last).design.garlands[0].route[0]
    assert (first_gone.start, first_gone.end) == pytest.approx((shares[1], 0.9), abs=1e-3)
    assert (last_gone.start, last_gone.end) == pytest.approx((0.1, shares[-2]), abs=1e-3)
    with pytest.raises(DesignError) as refused:
        done(design, "remove-point", thing=REF, index=1)
    assert [fault.code for fault in refused.value.faults] == [FaultCode.NOT_FOR_THIS]


def test_stretches_of_two_frames_stay_two_without_the_point_between_them() -> None:
    design = drawn()
    at = index_near(design, -0.18, 1.79)
    between = done(design, "move-point", thing=REF, index=at, x_m=0.0, y_m=2.4).design
    assert kinds(between) == ["pool", "along", "through", "along"]
    back = done(between, "remove-point", thing=REF, index=index_near(between, 0.0, 2.4)).design
    assert back.garlands[0].route == design.garlands[0].route


def test_a_point_off_its_frame_is_moved_as_a_whole() -> None:
    design = drawn()
    off = done(design, "move-point", thing=REF, index=index_near(design, 1.03, 1.3), x_m=1.7, y_m=1.3).design
    before = off.garlands[0].route[3].points
    after = done(off, "move-point", thing=REF, index=index_near(off, 1.7, 1.3), x_m=1.9, y_m=1.6).design
    moved = [(x + 0.2, y + 0.3) for x, y in before]
    assert np.array(after.garlands[0].route[3].points) == pytest.approx(np.array(moved), abs=2e-3)


def test_the_last_points_of_a_garland_stay() -> None:
    design = done(in_air(), "remove-point", thing=REF, index=1).design
    with pytest.raises(DesignError) as refused:
        done(design, "remove-point", thing=REF, index=0)
    assert [fault.code for fault in refused.value.faults] == [FaultCode.LAST_POINTS]


def test_an_index_beyond_the_points_is_a_fault_with_the_last_one() -> None:
    with pytest.raises(DesignError) as refused:
        done(in_air(), "move-point", thing=REF, index=3, x_m=0, y_m=0)
    (fault,) = refused.value.faults
    assert (fault.code, fault.field, fault.high) == (FaultCode.NO_SUCH_POINT, "index", 2)


def test_a_pool_at_the_end_goes_on_from_the_foot_of_its_frame() -> None:
    half = done(drawn(), "move-point", thing=REF, index=9, x_m=1.03, y_m=0.9).design
    after = done(half, "end", thing=REF, which="end", how="pool", length_m=0.8).design
    assert after.garlands[0].route[-2].end == 1.0
    assert (after.garlands[0].route[-1].kind, after.garlands[0].route[-1].direction) == ("pool", "right")
    assert [end.how for end in ends_of(after, after.garlands[0])] == ["pool", "pool"]


def test_a_pool_at_the_start_lies_outside_of_its_frame() -> None:
    bare = done(drawn(), "end", thing=REF, which="start", how="tuck").design
    assert kinds(bare) == ["along", "along"]
    after = done(bare, "end", thing=REF, which="start", how="pool", length_m=0.7).design
    assert route_in(after, 0).points[0, 0] < LOW.x_m - LOW.width_m / 2 - 0.6
    assert kinds(after) == ["pool", "along", "along"]


@pytest.mark.parametrize("which", ["start", "end"])
def test_a_tail_hangs_straight_down_and_stays_off_the_floor(which: str) -> None:
    acted = done(in_air(), "end", thing=REF, which=which, how="hang", length_m=2.0)
    line = route_in(acted.design, 0).points
    end = line[0] if which == "start" else line[-1]
    assert end[1] == pytest.approx(0.15, abs=0.03)
    assert abs(abs(end[0]) - 1.5) < 0.15
    assert ends_of(acted.design, acted.design.garlands[0])[0 if which == "start" else 1].how == "hang"


@pytest.mark.parametrize("length_m", [0.1, 0.1524, 0.3, 0.8])
def test_a_tail_is_told_to_be_as_long_as_it_was_asked_for(length_m: float) -> None:
    after = done(in_air(), "end", thing=REF, which="end", how="hang", length_m=length_m).design
    _, end = ends_of(after, after.garlands[0])
    assert end.how == "hang"
    assert end.length_m == pytest.approx(length_m, abs=0.002)
    back = done(after, "end", thing=REF, which="end", how="tuck").design
    assert kinds(back) == kinds(in_air()), "the tail is taken off again, however short"


def test_a_pool_is_told_to_be_as_long_as_it_was_asked_for() -> None:
    after = done(drawn(), "end", thing=REF, which="end", how="pool", length_m=0.7).design
    assert ends_of(after, after.garlands[0])[1].length_m == pytest.approx(0.7)


def test_the_middle_of_a_hanging_leg_is_taken_hold_of_in_the_middle() -> None:
    leg = Leg(kind="hang", points=((-1.5, 2.4), (1.5, 2.4)), sag_m=0.4)
    design = replace(table(), garlands=(Garland(id="garland-1", route=(leg,), mix=USUAL_MIX),))
    first, middle, last = grip_places(design, design.garlands[0])
    assert (first.fraction, middle.fraction, last.fraction) == pytest.approx((0.0, 0.5, 1.0), abs=0.01)
    assert (middle.x_m, middle.y_m) == pytest.approx((0.0, 2.0), abs=0.02)


@pytest.mark.parametrize(("frame", "side"), [("low", -1.0), ("tall", 1.0)])
def test_a_tail_hangs_on_the_outer_side_of_its_frame(frame: str, side: float) -> None:
    middle = LOW.x_m if frame == "low" else TALL.x_m
    way = (0.15, 0.5) if frame == "low" else (0.85, 0.5)
    leg = Leg(kind="along", frame=frame, start=way[1], end=way[0])
    design = replace(table(TALL, LOW), garlands=(Garland(id="garland-1", route=(leg,), mix=USUAL_MIX),))
    after = done(design, "end", thing=REF, which="end", how="hang", length_m=0.3).design
    tail = after.garlands[0].route[-1].points[0][0]
    half = (LOW if frame == "low" else TALL).width_m / 2
    assert side * (tail - middle) > half


def test_the_end_on_a_ring_does_not_leap_over_its_foot() -> None:
    ring = replace(LOW, id="ring", shape="ring", width_m=2.0, height_m=2.0, x_m=0.0)
    leg = Leg(kind="along", frame="ring", start=0.2, end=0.95)
    design = replace(table(ring), garlands=(Garland(id="garland-1", route=(leg,), mix=USUAL_MIX),))
    last = len(grips(design, design.garlands[0])) - 1
    after = done(design, "move-point", thing=REF, index=last, x_m=-0.2, y_m=0.03).design
    assert after.garlands[0].route[0].end == 1.0


def test_a_point_off_its_frame_lies_in_the_direction_of_the_garland() -> None:
    design = drawn()
    off = done(design, "move-point", thing=REF, index=index_near(design, 1.03, 1.3), x_m=1.7, y_m=1.3).design
    (x1, y1), (x2, y2) = off.garlands[0].route[3].points
    # By hand: down the right leg of the tall arch, 20 cm long about the place.
    assert (x1, x2) == pytest.approx((1.7, 1.7), abs=0.03)
    assert (y1, y2) == pytest.approx((1.4, 1.2), abs=0.01)


def test_a_tail_takes_the_place_of_a_tail() -> None:
    once = done(in_air(), "end", thing=REF, which="end", how="hang", length_m=0.4).design
    twice = done(once, "end", thing=REF, which="end", how="hang", length_m=0.6).design
    assert kinds(once) == kinds(twice) == ["through", "through"]
    assert kinds(done(twice, "end", thing=REF, which="end", how="tuck").design) == ["through"]


def test_a_pool_that_another_pool_goes_on_from_stays() -> None:
    pools = (
        Leg(kind="pool", length_m=0.6, points=((-1.0, 0.15),), direction="right"),
        Leg(kind="pool", length_m=0.6, direction="right"),
    )
    design = replace(table(), garlands=(Garland(id="garland-1", route=pools, mix=USUAL_MIX),))
    for how in ("tuck", "pool"):
        assert done(design, "end", thing=REF, which="start", how=how).design.garlands[0].route[-2:] == pools


def test_on_the_floor_nothing_can_hang() -> None:
    with pytest.raises(DesignError) as refused:
        done(drawn(), "end", thing=REF, which="end", how="hang")
    assert [(fault.code, fault.field) for fault in refused.value.faults] == [
        (FaultCode.NO_ROOM_TO_HANG, "how")
    ]


def test_redrawn_a_garland_keeps_its_sizes_and_thickness() -> None:
    thick = done(drawn(), "thickness", thing=REF, at=0.4, factor=1.5).design
    after = done(thick, "redraw", thing=REF, points=[(-1.0, 1.0), (1.0, 1.5)]).design
    assert after.garlands[0].profile == thick.garlands[0].profile
    assert after.garlands[0].mix == USUAL_MIX
    assert kinds(after) == ["through"]


knots = st.lists(st.tuples(st.floats(0, 1), st.floats(0.5, 1.8)), max_size=12)


@given(knots)
def test_thickness_is_what_was_set_last_and_in_order(steps: list[tuple[float, float]]) -> None:
    profile: tuple[tuple[float, float], ...] = ()
    for at, factor in steps:
        profile = with_knot(profile, at, factor)
        places = [place for place, _ in profile]
        assert places == sorted(set(places))
        place = float(round(at)) if min(at, 1 - at) <= SAME_KNOT else round(at, 4)
        assert dict(profile)[place] == round(factor, 3)


@given(knots, st.booleans())
def test_a_tapered_end_is_thin_and_the_rest_stays(steps: list[tuple[float, float]], at_start: bool) -> None:
    profile: tuple[tuple[float, float], ...] = ()
    for at, factor in steps:
        profile = with_knot(profile, at, factor)
    after = tapered(profile, at_start=at_start)
    places, values = zip(*after, strict=True)
    assert list(places) == sorted(set(places))
    assert values[0 if at_start else -1] == 0.6
    inner = [(place, value) for place, value in profile if (place > 0.12 if at_start else place < 0.88)]
    assert set(inner) <= set(after)


@settings(max_examples=40)
@given(st.lists(st.tuples(st.integers(0, 9), st.floats(-3, 3), st.floats(0, 3)), min_size=1, max_size=6))
def test_points_stay_in_order_along_the_garland_however_they_are_moved(
    moves: list[tuple[int, float, float]],
) -> None:
    design = drawn()
    for index, x_m, y_m in moves:
        try:
            design = done(design, "move-point", thing=REF, index=index, x_m=x_m, y_m=y_m).design
        except DesignError:
            continue
        fractions = [place.fraction for place in grip_places(design, design.garlands[0])]
        assert fractions == sorted(fractions)
        assert len(fractions) == len(grips(design, design.garlands[0]))
