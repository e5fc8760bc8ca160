"""Where a line crosses itself, beside what shapely says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point

from quoting.craft.table.crossing import crossings

Line = list[tuple[float, float]]


def level(
    points: Line | np.ndarray[tuple[int, ...], np.dtype[np.float64]],
) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return np.column_stack([np.array(points), np.zeros(len(points))])


@given(st.integers(0, 10**6), st.integers(3, 14))
def test_a_line_crosses_itself_where_shapely_calls_it_not_simple(seed: int, count: int) -> None:
    # Source: shapely (GEOS), is_simple. Points by chance neither touch a line nor lie twice in one place.
    points = np.random.default_rng(seed).uniform(-2, 2, (count, 2))
    assert (len(crossings(level(points)).first) == 0) == LineString(points).is_simple


def test_the_place_of_a_crossing_is_that_of_shapely() -> None:
    eight: Line = [(-1, 0.5), (1, 2.0), (1, 0.5), (-1, 1.8)]
    theirs = LineString(eight[:2]).intersection(LineString(eight[2:]))
    assert isinstance(theirs, Point)
    assert crossings(level(eight)).places[0] == pytest.approx([theirs.x, theirs.y])


def test_how_far_apart_the_strands_are_in_depth_is_told() -> None:
    eight = np.column_stack([[-1, 1, 1, -1], [0.5, 2.0, 0.5, 1.8], [0.0, 0.0, 0.5, 0.5]])
    assert crossings(eight).apart_m == pytest.approx([0.5])


def test_a_closed_line_does_not_cross_itself_at_its_ends() -> None:
    square: Line = [(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)]
    assert len(crossings(level(square)).first) == 0
    assert LineString(square).is_simple
