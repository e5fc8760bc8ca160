"""Corners of a free outline moved, added and taken out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Frame
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import SaidCode
from quoting.craft.table.bending import LEAST_SIDE_M, MOST_CORNERS, corners_of
from tests.quoting.craft.table.tables import ARCHES, LOW, codes, done, table

REF = "frame:frame-1"
BENT = Frame(
    id="frame-1", shape="free", item="frame-free-200x200", label="Bent frame", width_m=2.0, height_m=2.0, x_m=0.5,
    points=((-1.0, 0.0), (-1.0, 2.0), (1.0, 2.0), (1.0, 0.0)),
)  # fmt: skip


def garlanded() -> Design:
    stroke = [(-0.5, 0.1), (-0.5, 2.0), (1.5, 2.0), (1.5, 1.0)]
    return done(table(BENT), "put-garland", points=stroke).design


def line(design: Design) -> LineString:
    return LineString(outline(design.frames[0]).points)


@pytest.mark.parametrize("turned", [False, True])
def test_a_moved_corner_goes_where_it_is_put_and_the_others_stay(turned: bool) -> None:
    design = table(replace(BENT, turned=turned))
    was = corners_of(design.frames[0])
    acted = done(design, "move-corner", thing=REF, index=1, x_m=-1.2, y_m=2.6)
    assert codes(acted) == [SaidCode.CORNER_MOVED]
    assert corners_of(acted.design.frames[0]) == (was[0], (-1.2, 2.6), *was[2:])


def test_a_bent_frame_is_as_wide_and_as_high_as_its_corners() -> None:
    # Source: shapely, the bounds of the line.
    after = done(table(BENT), "move-corner", thing=REF, index=2, x_m=2.4, y_m=1.4).design
    left, low, right, top = line(after).bounds
    frame = after.frames[0]
    assert (frame.width_m, frame.height_m) == pytest.approx((right - left, top - low), abs=1e-3)
    assert (frame.x_m, frame.base_m) == pytest.approx(((left + right) / 2, low), abs=1e-3)
    assert frame.item == "frame-free-290x200"


def test_a_corner_added_half_way_bends_nothing_and_taken_out_it_is_as_before() -> None:
    design = garlanded()
    acted = done(design, "add-corner", thing=REF, index=1)
    assert codes(acted) == [SaidCode.CORNER_ADDED]
    assert corners_of(acted.design.frames[0])[2] == (0.5, 2.0)
    assert line(acted.design).hausdorff_distance(line(design)) < 1e-6
    assert acted.design.garlands == design.garlands
    back = done(acted.design, "remove-corner", thing=REF, index=2).design
    assert back.frames == design.frames
    assert back.garlands == design.garlands


def test_a_garland_stays_between_the_corners_that_it_ran_between() -> None:
    design = garlanded()
    after = done(design, "move-corner", thing=REF, index=0, x_m=-2.0, y_m=0.0).design
    end = LineString(route_in(design, 0).points[:, :2]).coords[-1]
    assert Point(LineString(route_in(after, 0).points[:, :2]).coords[-1]).distance(Point(end)) < 0.03


def test_without_its_first_corner_the_outline_begins_at_the_next() -> None:
    after = done(garlanded(), "remove-corner", thing=REF, index=0).design
    assert corners_of(after.frames[0])[0] == (-0.5, 2.0)
    assert route_in(after, 0).length_m > 1.0


def test_a_bent_frame_of_the_studio_is_none_of_its_own_any_more() -> None:
    owned = replace(BENT, item="frame-wave", sizes=ARCHES[:1])
    acted = done(table(owned), "move-corner", thing=REF, index=1, x_m=-0.6, y_m=2.2)
    assert codes(acted) == [SaidCode.CORNER_MOVED, SaidCode.MADE_TO_MEASURE]
    assert (acted.design.frames[0].item, acted.design.frames[0].sizes) == ("frame-free-210x220", ())


@pytest.mark.parametrize(
    ("name", "values", "code"),
    [
        ("move-corner", {"index": 4, "x_m": 0.0, "y_m": 1.0}, FaultCode.NO_SUCH_CORNER),
        ("add-corner", {"index": 3}, FaultCode.NO_SUCH_CORNER),
        ("move-corner", {"index": 1, "x_m": -0.5 + LEAST_SIDE_M / 2, "y_m": 0.0}, FaultCode.CORNERS_TOO_NEAR),
        ("add-corner", {"index": 1, "x_m": -0.5, "y_m": 2.0}, FaultCode.CORNERS_TOO_NEAR),
    ],
)
def test_what_is_no_corner_is_refused(name: str, values: dict[str, object], code: FaultCode) -> None:
    with pytest.raises(DesignError) as refused:
        done(table(BENT), name, thing=REF, **values)
    assert refused.value.faults[0].code is code


def test_the_last_two_corners_stay_and_no_frame_has_too_many() -> None:
    design = table(BENT)
    for _ in range(2):
        design = done(design, "remove-corner", thing=REF, index=1).design
    with pytest.raises(DesignError) as refused:
        done(design, "remove-corner", thing=REF, index=1)
    assert refused.value.faults[0].code is FaultCode.LAST_CORNERS
    along = np.linspace(-1, 1, MOST_CORNERS)
    full = replace(BENT, points=tuple((round(x, 3), round(abs(x) * 2, 3)) for x in along.tolist()))
    with pytest.raises(DesignError):
        done(table(full), "add-corner", thing=REF, index=3)


def test_frames_with_a_shape_of_their_own_are_not_bent() -> None:
    assert corners_of(LOW) == ()
    with pytest.raises(DesignError) as refused:
        done(table(LOW), "move-corner", thing="frame:low", index=0, x_m=0.0, y_m=0.0)
    assert refused.value.faults[0].code is FaultCode.NOT_FOR_THIS


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 2), st.integers(0, 5), st.floats(-3, 3), st.floats(0, 3)), max_size=6)
)
def test_however_it_is_bent_the_frame_reads_and_its_garland_can_be_laid(
    steps: list[tuple[int, int, float, float]],
) -> None:
    design = garlanded()
    for which, index, x, y in steps:
        place = {} if which == 2 else {"x_m": x, "y_m": y}
        name = ("move-corner", "add-corner", "remove-corner")[which]
        try:
            design = done(design, name, thing=REF, index=index, **place).design
        except DesignError:
            continue
        assert len(corners_of(design.frames[0])) >= 2
        assert route_in(design, 0).length_m > 0
