"""A moved thing goes to the floor, to edges and centres, and to the stagger of nested frames; and says why."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from quoting.craft.design.frames import face
from quoting.craft.design.records import Frame, Sign
from quoting.craft.design.things import Prop, Round
from quoting.craft.table.snapping import SNAP_M, Why, nested_depth_m, snap_lines, snapped
from tests.quoting.craft.table.tables import LOW, TALL, done, table

TWO = table(TALL, replace(LOW, x_m=-2.0))
MOVED = TWO.frames[1]


@pytest.mark.parametrize(
    ("x_m", "to_m", "why"),
    [
        (0.41, 0.42, Why.CENTRE),
        (0.02, 0.0, Why.MIDDLE),
        (0.42 - 1.22 / 2 - 1.07 / 2 - 0.04, 0.42 - 1.22 / 2 - 1.07 / 2, Why.BESIDE),
        (0.42 - 1.22 / 2 + 1.07 / 2 + 0.03, 0.42 - 1.22 / 2 + 1.07 / 2, Why.EDGE),
        (0.42 - 1.22 / 2 - 1.07 / 2 + 1.07 / 3 + 0.02, 0.42 - 1.22 / 2 - 1.07 / 2 + 1.07 / 3, Why.NESTED),
    ],
)
def test_a_frame_goes_to_the_line_that_is_near(x_m: float, to_m: float, why: Why) -> None:
    found = snapped(TWO, MOVED, x_m, 0.4)
    assert found.x_m == pytest.approx(to_m, abs=1e-4)
    assert [guide.why for guide in found.guides if guide.axis == "x"] == [why]


def test_nested_frames_overlap_by_a_third_of_the_narrower_one() -> None:
    # Source of the measure: shapely, the overlap of the two faces' boxes. The third itself: common practice, no source.
    acted = done(TWO, "move", thing="frame:low", x_m=-0.36)
    low, tall = (Polygon(face(frame)).envelope.bounds for frame in reversed(acted.design.frames))
    assert low[2] - tall[0] == pytest.approx(LOW.width_m / 3, abs=1e-3)


def test_a_lower_frame_nests_before_a_higher_one_and_the_higher_one_behind() -> None:
    assert nested_depth_m(LOW, TALL) == pytest.approx(0.0)
    assert nested_depth_m(TALL, LOW) == pytest.approx(-0.2)


def test_a_frame_that_stands_in_the_others_plane_steps_out_of_it() -> None:
    level = table(TALL, replace(LOW, x_m=-2.0, z_m=TALL.z_m))
    acted = done(level, "move", thing="frame:low", x_m=-0.36)
    assert acted.design.frames[1].z_m == pytest.approx(0.0)


def test_far_from_every_line_it_stays_where_it_is_put() -> None:
    assert snapped(TWO, MOVED, -3.3, 0.9).guides == ()


def test_exactly_there_means_to_no_line() -> None:
    acted = done(TWO, "move", thing="frame:low", x_m=0.41, y_m=0.02, exact=True)
    assert (acted.design.frames[1].x_m, acted.design.frames[1].base_m) == (0.41, 0.02)
    assert acted.guides == ()


def test_a_frame_goes_to_the_floor_and_to_the_top_of_another() -> None:
    assert [guide.why for guide in snapped(TWO, MOVED, -3.3, 0.05).guides] == [Why.FLOOR]
    level = snapped(TWO, MOVED, -3.3, TALL.height_m - LOW.height_m + 0.02)
    assert [guide.why for guide in level.guides] == [Why.TOP]


def test_a_round_rests_on_the_floor_and_a_prop_on_a_plinth() -> None:
    plinth = Prop(id="p", item="p", label="P", look="plinth", width_m=0.4, height_m=0.9, depth_m=0.4, x_m=1.0)
    box = replace(plinth, id="b", look="box", height_m=0.3, x_m=2.0)
    ball = Round(id="r", size_in=24, sized_m=0.55, colour="oat", x_m=-1, y_m=1)
    design = replace(table(), props=(plinth, box), rounds=(ball,))
    assert snapped(design, ball, -1.0, 0.25).y_m == pytest.approx(0.275)
    on_top = snapped(design, box, 1.02, 0.88)
    assert (on_top.x_m, on_top.y_m) == pytest.approx((1.0, 0.9))
    assert [guide.why for guide in on_top.guides] == [Why.CENTRE, Why.ON_TOP]


def test_two_signs_hang_level() -> None:
    sign = Sign(id="one", item="s", label="S", text="S", width_m=0.5, height_m=0.3, x_m=-1, y_m=1.4)
    design = replace(table(), signs=(sign, replace(sign, id="two", x_m=1.0, y_m=1.0)))
    found = snapped(design, design.signs[1], 1.0, 1.43)
    assert (found.y_m, [guide.why for guide in found.guides]) == (1.4, [Why.LEVEL])


@given(st.floats(-3, 3), st.floats(0, 2))
def test_nothing_is_moved_farther_than_a_snap_reaches(x_m: float, y_m: float) -> None:
    found = snapped(TWO, MOVED, x_m, y_m)
    assert abs(found.x_m - x_m) <= SNAP_M + 1e-4
    assert abs(found.y_m - y_m) <= SNAP_M + 1e-4
    assert (found.x_m == x_m) or any(guide.axis == "x" for guide in found.guides)


@given(st.floats(-3, 3), st.floats(0, 2))
def test_moved_again_it_stays(x_m: float, y_m: float) -> None:
    once = snapped(TWO, MOVED, x_m, y_m)
    there: Frame = replace(MOVED, x_m=once.x_m, base_m=once.y_m)
    design = table(TALL, there)
    again = snapped(design, there, once.x_m, once.y_m)
    assert (again.x_m, again.y_m) == pytest.approx((once.x_m, once.y_m), abs=SNAP_M)


def test_every_line_names_the_thing_that_gives_it() -> None:
    refs = {
        snap.guide.other for snap in snap_lines(TWO, MOVED) if snap.guide.why not in (Why.FLOOR, Why.MIDDLE)
    }
    assert refs == {"frame:tall"}
