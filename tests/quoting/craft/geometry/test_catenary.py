"""Laws of lines: longer than straight, even steps, mirror images."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.craft.geometry import catenary, polyline
from studio.trade.errors import CraftError

lengths = st.floats(0.1, 20)
counts = st.integers(2, 60)


@given(st.floats(0.5, 10), st.floats(-3, 3), st.floats(0.01, 3), counts)
def test_a_hanging_line_is_longer_than_straight_has_its_ends_and_hangs_below_the_straight_way(
    span: float, rise: float, sag_in_spans: float, count: int
) -> None:
    line = catenary.catenary_of_sag(span, sag_in_spans * span, rise=rise)
    points = line.points(count)
    assert line.length > math.hypot(span, rise)
    assert line.sag == pytest.approx(sag_in_spans * span, rel=1e-6)
    assert points[0] == pytest.approx([0, 0], abs=1e-9)
    assert points[-1] == pytest.approx([span, rise], abs=1e-6)
    assert np.all(points[:, 1] <= rise / span * points[:, 0] + 1e-6)


@given(st.floats(0.5, 10), st.floats(0.05, 2), st.floats(-1, 1))
def test_swapping_the_ends_of_a_hanging_line_mirrors_it(span: float, sag: float, rise: float) -> None:
    there = catenary.catenary_of_sag(span, sag * span, rise=rise).points(21)
    back = catenary.catenary_of_sag(span, sag * span, rise=-rise).points(21)
    mirrored = np.column_stack([span - back[::-1, 0], back[::-1, 1] + rise])
    assert mirrored == pytest.approx(there, abs=1e-6 * span)


@given(
    st.lists(st.tuples(st.floats(-5, 5), st.floats(-5, 5), st.floats(-5, 5)), min_size=2, max_size=8),
    counts,
)
def test_resampling_never_lengthens_a_line_and_keeps_its_ends(
    corners: list[tuple[float, float, float]], count: int
) -> None:
    line = np.array(corners)
    points = polyline.points_along(line, np.linspace(0.0, polyline.polyline_length(line), count))
    assert polyline.polyline_length(points) <= polyline.polyline_length(line) + 1e-9
    assert points[[0, -1]] == pytest.approx(line[[0, -1]])


@pytest.mark.parametrize(
    ("fault", "message"),
    [
        (lambda: polyline.stations(np.zeros((1, 2))), r"points have the shape \(1, 2\)"),
        (
            lambda: polyline.points_along(np.array([[0, 0], [1.0, 0]]), np.array([1.5])),
            "distance along the line",
        ),
        (
            lambda: catenary.catenary_of_sag(4.0, 1.0).points(1),
            "count of points is 1; it must be a whole number from 2",
        ),
        (
            lambda: catenary.catenary_of_sag(4.0, 1.0, rise=201.0),
            "rise is 201.0; it must be from -200 to 200 m",
        ),
        (lambda: catenary.catenary_of_sag(4.0, 0.0), "sag is 0.0; it must be from 4e-06 to 200 m"),
    ],
)
def test_what_cannot_be_is_refused_in_words(fault: object, message: str) -> None:
    assert callable(fault)
    with pytest.raises(CraftError, match=message):
        fault()
