"""Polygons and what fills a frame, checked with shapely and closed forms."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely import LineString, Polygon, affinity

from quoting.craft.design.fillings import bars_of
from quoting.craft.design.frames import face, outline, outline_length_m
from quoting.craft.design.records import Frame

HEXAGON = Frame(
    id="hexagon", shape="polygon", item="frame", label="Hexagon", width_m=2.0, height_m=math.sqrt(3), x_m=0.4,
    base_m=0.1,
)  # fmt: skip


@pytest.mark.parametrize("sides", range(3, 13))
def test_a_polygon_is_regular_where_its_width_and_height_are(sides: int) -> None:
    """Side 2 R sin(pi/n) and area n R^2 sin(2 pi/n) / 2 of a regular polygon: closed forms of any handbook."""
    turn = [math.pi / sides * (1 + 2 * k) - math.pi / 2 for k in range(sides)]
    corners = [(math.cos(one), math.sin(one)) for one in turn]
    left, low, right, high = Polygon(corners).bounds
    frame = replace(HEXAGON, sides=sides, width_m=right - left, height_m=high - low)
    assert outline_length_m(frame) == pytest.approx(sides * 2 * math.sin(math.pi / sides), rel=1e-9)
    drawn = Polygon(face(frame))
    assert drawn.area == pytest.approx(sides * math.sin(2 * math.pi / sides) / 2, rel=1e-9)
    assert drawn.bounds == pytest.approx(
        (0.4 - (right - left) / 2, 0.1, 0.4 + (right - left) / 2, 0.1 + high - low)
    )


def test_a_polygon_begins_in_the_middle_of_its_lowest_side_and_runs_to_the_left() -> None:
    points = outline(HEXAGON).points
    assert points[0] == pytest.approx((0.4, 0.1))
    assert points[1, 0] < 0.4
    assert outline(HEXAGON).closed


@pytest.mark.parametrize("filling", ["ladder", "grid"])
@pytest.mark.parametrize("shape", ["polygon", "arch-top", "ring"])
def test_bars_end_at_the_outline(shape: str, filling: str) -> None:
    frame = replace(HEXAGON, shape=shape, filling=filling)
    inside = Polygon(face(frame))
    assert bars_of(frame)
    for bar in bars_of(frame):
        line = LineString(bar)
        reached = affinity.scale(line, 3.0, 3.0).intersection(inside)
        assert line.length == pytest.approx(reached.length, abs=1e-6)


def test_only_ladders_and_grids_have_bars() -> None:
    assert bars_of(HEXAGON) == bars_of(replace(HEXAGON, filling="shimmer")) == []
