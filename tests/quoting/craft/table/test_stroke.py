"""Strokes are cleaned without losing their ends, and simplified as a reference library does it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, hausdorff_distance

from quoting.craft.geometry.polyline import kept_points
from quoting.craft.table.stroke import cleaned_stroke, few_points, without_loops

coordinate = st.floats(-5, 5, allow_nan=False).map(lambda value: round(value, 3))
lines = st.lists(st.tuples(coordinate, coordinate), min_size=2, max_size=60)


@given(lines, st.sampled_from([0.01, 0.05, 0.3]))
def test_a_simplified_line_is_that_of_shapely(points: list[tuple[float, float]], tolerance_m: float) -> None:
    # Source: shapely (GEOS), Douglas-Peucker without preserving topology. Both keep every point that they leave out
    # within the tolerance; they may choose another of two points that are equally far.
    line = np.array(points)
    kept = LineString(line[kept_points(line, tolerance_m)])
    theirs = LineString(line).simplify(tolerance_m, preserve_topology=False)
    off = [kept.distance(Point(place)) for place in points]
    assert max(off) <= tolerance_m + 1e-9
    assert len(kept.coords) <= 2 * max(len(theirs.coords), 2)


@pytest.mark.parametrize("seed", range(8))
def test_a_line_without_ties_keeps_the_points_that_shapely_keeps(seed: int) -> None:
    line = np.random.default_rng(seed).normal(0, 0.03, (200, 2)).cumsum(axis=0)
    theirs = np.array(LineString(line).simplify(0.02, preserve_topology=False).coords)
    assert line[kept_points(line, 0.02)] == pytest.approx(theirs)


@given(lines)
def test_few_points_are_few_and_hold_the_ends(points: list[tuple[float, float]]) -> None:
    line = np.array(points)
    kept = few_points(line, 0.03, 8)
    assert len(kept) <= 8
    assert (kept[0], kept[-1]) == (0, len(line) - 1)


@given(lines)
def test_a_cleaned_stroke_keeps_its_ends_and_stays_above_the_floor(points: list[tuple[float, float]]) -> None:
    clean = cleaned_stroke(points)
    assert (clean[:, 1] >= -1e-9).all()
    assert clean[0] == pytest.approx([points[0][0], max(points[0][1], 0.0)], abs=1e-6)
    assert clean[-1] == pytest.approx([points[-1][0], max(points[-1][1], 0.0)], abs=1e-6)


def off(line: LineString, straight: LineString) -> float:
    """How far a line's points are off a straight one, on the average [m]."""
    return float(np.mean([straight.distance(Point(place)) for place in line.coords]))


@pytest.mark.parametrize("seed", range(5))
def test_the_tremor_of_a_finger_goes(seed: int) -> None:
    """A straight line drawn with a fast tremor of 2 cm comes out straighter, and hardly longer."""
    straight = LineString([(-1.0, 1.0), (1.5, 1.0)])
    tremor = np.random.default_rng(seed).normal(0, 0.02, (160, 2))
    drawn = LineString(np.column_stack([np.linspace(-1.0, 1.5, 160), np.ones(160)]) + tremor)
    clean = LineString(cleaned_stroke([(x, y) for x, y in drawn.coords]))
    assert off(clean, straight) < 0.6 * off(drawn, straight)
    assert clean.length < 1.05 * straight.length < drawn.length / 1.5


def test_a_corner_of_the_room_stays_a_corner() -> None:
    clean = LineString(cleaned_stroke([(-1.0, 0.0), (0.0, 0.0), (0.0, 2.0)]))
    assert hausdorff_distance(clean, LineString([(-1.0, 0.0), (0.0, 0.0), (0.0, 2.0)])) < 0.05


@given(st.integers(0, 10**6))
def test_without_loops_a_line_is_simple_and_keeps_its_ends(seed: int) -> None:
    # Source: shapely (GEOS), is_simple.
    line = np.random.default_rng(seed).normal(0, 0.2, (25, 2)).cumsum(axis=0)
    left = without_loops(line, 100.0)
    assert LineString(left).is_simple
    assert left[0] == pytest.approx(line[0])
    assert left[-1] == pytest.approx(line[-1])


def test_a_long_loop_stays() -> None:
    loop = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.5, 1.0), (0.5, -1.0)])
    # By hand: from the crossing at (0.5, 0) around and back it is 3 m.
    assert without_loops(loop, 2.9) == pytest.approx(loop)
    assert len(without_loops(loop, 3.1)) == 3


def test_a_tap_is_one_point() -> None:
    assert len(cleaned_stroke([(1.0, 1.0)] * 5)) == 1
