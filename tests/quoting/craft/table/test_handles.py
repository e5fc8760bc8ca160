"""What a page takes hold of lies where the things are."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from shapely import LineString, MultiPoint, Point, Polygon

from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.frames import face
from quoting.craft.design.records import Frame
from quoting.craft.table.handles import TAKES, table_view, takes_of
from quoting.craft.table.things import all_things, ref_of
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import NAMES, starter, worked
from tests.quoting.craft.table.tables import LOW, TALL, done, over_both_arches, table


@pytest.mark.parametrize("name", NAMES)
def test_every_thing_of_a_starter_is_shown_once_with_what_it_takes(name: str) -> None:
    view = table_view(starter(name))
    assert sorted(thing.ref for thing in view.things) == sorted(map(ref_of, all_things(starter(name))))


ACT_VALUES: dict[str, dict[str, object]] = {
    "move": {"x_m": 0.3}, "depth": {"z_m": 0.2}, "resize": {"width_m": 1.0, "height_m": 2.0}, "copy": {}, "remove": {},
    "mirror": {}, "cover": {}, "print": {}, "turn": {"deg": 20}, "set": {"field": "label", "value": "Other"},
    "end": {"which": "end", "how": "tuck"}, "thickness": {"at": 0.5, "factor": 1.2},
    "redraw": {"points": [(0, 1), (1, 1)]}, "move-corner": {"index": 1, "x_m": 0.0, "y_m": 1.0},
    "add-corner": {"index": 0}, "remove-corner": {"index": 0},
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_what_a_thing_is_said_to_take_can_be_done_with_it(name: str) -> None:
    for thing in table_view(starter(name)).things:
        for act in set(thing.takes) & set(ACT_VALUES):
            assert done(starter(name), act, thing=thing.ref, **ACT_VALUES[act]).said


@pytest.mark.parametrize("name", NAMES)
def test_what_a_frame_is_not_said_to_take_is_refused_or_changes_nothing(name: str) -> None:
    for frame in starter(name).frames:
        for act in set(TAKES["frame"]) - set(takes_of(starter(name), frame)) - {"mirror"}:
            with pytest.raises(DesignError) as refused:
                done(starter(name), act, thing=f"frame:{frame.id}", **ACT_VALUES[act])
            assert [fault.code for fault in refused.value.faults] == [FaultCode.NOT_FOR_THIS]


def test_a_column_is_held_as_a_whole_and_a_packed_arch_by_its_points() -> None:
    column = done(table(), "put-column", x_m=0.0).design
    (packed,) = (thing for thing in table_view(column).things if thing.garland)
    assert set(packed.takes) == {"move", "depth", "mirror", "copy", "remove", "set"}
    assert packed.garland is not None
    assert (packed.garland.points, packed.garland.thickness) == ((), ())
    organic = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    over = replace(organic, garlands=(replace(organic.garlands[0], work="classic"),))
    (arch,) = (thing for thing in table_view(over).things if thing.garland)
    assert {"move-point", "end", "redraw"} <= set(arch.takes)
    assert "thickness" not in arch.takes


@pytest.mark.parametrize("name", NAMES)
def test_points_are_numbered_in_order_and_lie_by_the_path(name: str) -> None:
    # Source: shapely, the distance of a point from the path.
    for thing in table_view(starter(name)).things:
        if thing.garland is None:
            continue
        points = thing.garland.points
        numbers = [point.index for point in points]
        assert numbers == sorted(set(numbers))
        fractions = [point.fraction for point in points]
        assert fractions == sorted(fractions)
        path = LineString([(x, y) for x, y, _ in thing.garland.path])
        off = [path.distance(Point(point.x_m, point.y_m)) for point in points if point.kind != "along"]
        assert max(off, default=0.0) < 0.15


@pytest.mark.parametrize("name", NAMES)
def test_the_bounds_hold_every_balloon_and_every_frame(name: str) -> None:
    # Source: shapely, the hull of all frames and balloons.
    takeoff = worked(name)
    balls = takeoff.balloons
    hulls = [Polygon(face(frame)).convex_hull for frame in takeoff.design.frames if frame.shape != "column"]
    hulls += [Point(x, y).buffer(r, 64) for x, y, r in zip(balls.x, balls.y, balls.radius, strict=True)]
    bounds = table_view(takeoff.design, takeoff).bounds
    assert bounds is not None
    left, _, right, top = np.array([hull.bounds for hull in hulls]).T
    assert bounds.left <= left.min() + 1e-3
    assert bounds.right >= right.max() - 1e-3
    assert bounds.top >= top.max() - 1e-3


def test_of_two_points_in_one_place_one_is_shown() -> None:
    """Where frames were moved together, the end of one stretch and the start of the next lie side by side."""
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    near = done(design, "move", thing="frame:tall", x_m=0.2, exact=True).design
    garland = table_view(near).things[-1].garland
    assert garland is not None
    places = [Point(point.x_m, point.y_m) for point in garland.points]
    # Source: shapely, distances of points.
    assert min(a.distance(b) for a, b in pairwise(places)) > 0.12
    assert garland.points[-1].fraction == pytest.approx(1.0, abs=0.02)
    assert garland.points[0].index == 0


def test_an_empty_table_has_no_bounds() -> None:
    view = table_view(table())
    assert (view.things, view.bounds) == ((), None)


@pytest.mark.parametrize(
    "frame", [LOW, replace(LOW, shape="ring"), replace(LOW, shape="panel"), replace(LOW, shape="polygon")]
)
def test_the_outline_of_a_frame_has_its_hull_with_few_points(frame: Frame) -> None:
    # Source: shapely, convex hulls.
    (thing,) = table_view(table(frame)).things
    whole = MultiPoint([tuple(point) for point in face(frame)]).convex_hull
    assert MultiPoint(thing.outline).convex_hull.symmetric_difference(whole).area < 0.03 * whole.area
    assert len(thing.outline) < 150


def test_thickness_is_taken_hold_of_at_its_knots_and_between() -> None:
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    plain = table_view(design).things[-1].garland
    thick = (
        table_view(done(design, "thickness", thing="garland:garland-1", at=0.5, factor=1.6).design)
        .things[-1]
        .garland
    )
    assert plain is not None
    assert thick is not None
    assert {knot.factor for knot in plain.thickness} == {1.0}
    (knot,) = [one for one in thick.thickness if one.at == 0.5]
    assert knot.factor == 1.6
    assert knot.reach_m > plain.thickness[2].reach_m
    assert np.hypot(knot.across_x, knot.across_y) == pytest.approx(1.0, abs=1e-3)


def test_the_path_with_a_take_off_is_the_string_at_rest() -> None:
    takeoff = take_off(done(table(TALL, LOW), "put-garland", points=over_both_arches()).design)
    garland = table_view(takeoff.design, takeoff).things[-1].garland
    assert garland is not None
    # Source: shapely. The path is handed out in steps of 8 cm.
    string = LineString(takeoff.garlands[0].route.points)
    assert LineString(garland.path).hausdorff_distance(string) < 0.05


def test_front_things_come_after_what_stands_behind_and_garlands_last() -> None:
    design = done(table(LOW, TALL), "put-garland", points=over_both_arches()).design
    assert [thing.ref for thing in table_view(design).things] == [
        "frame:tall",
        "frame:low",
        "garland:garland-1",
    ]
