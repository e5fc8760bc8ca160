"""Laws of lines: longer than straight, even steps, mirror images."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.craft.geometry import catenary, curves
from studio.trade.errors import CraftError

lengths = st.floats(0.1, 20)
counts = st.integers(2, 60)


@given(lengths, lengths)
def test_a_half_ellipse_is_longer_than_two_straight_lines_over_its_top(width: float, height: float) -> None:
    length = curves.ellipse_arch_length(width, height)
    assert 2 * math.hypot(width / 2, height) <= length <= width + 2 * height


@given(lengths, lengths, counts)
def test_every_arch_is_its_own_mirror_image(width: float, height: float, count: int) -> None:
    for points in (
        curves.ellipse_arch_points(width, height, count),
        curves.legs_arch_points(width, height + width / 2, count),
        curves.segment_points(width, height, count),
        curves.parabola_points(width, height, count),
    ):
        assert points[::-1] * [-1, 1] == pytest.approx(points, abs=1e-7 * (width + height))
        assert points[0, 0] == pytest.approx(-width / 2)
        assert points[[0, -1], 1] == pytest.approx(0.0, abs=1e-9 * (width + height))


@given(lengths, lengths, st.floats(0.1, 10))
def test_lengths_scale_with_the_piece(width: float, height: float, scale: float) -> None:
    for length_of in (
        curves.ellipse_arch_length,
        curves.parabola_length,
        lambda w, h: curves.segment(w, h).length,
    ):
        assert length_of(width * scale, height * scale) == pytest.approx(
            scale * length_of(width, height), rel=1e-9
        )


@given(st.floats(0.5, 10), st.floats(-3, 3), st.floats(1.01, 3), counts)
def test_a_hanging_line_has_its_length_its_ends_and_hangs_below_the_straight_way(
    span: float, rise: float, slack: float, count: int
) -> None:
    length = math.hypot(span, rise) * slack
    line = catenary.catenary_of_length(span, length, rise=rise)
    points = line.points(count)
    assert line.length == pytest.approx(length, rel=1e-9)
    assert points[0] == pytest.approx([0, 0], abs=1e-9)
    assert points[-1] == pytest.approx([span, rise], abs=1e-6)
    assert line.sag > 0
    assert np.all(points[:, 1] <= rise / span * points[:, 0] + 1e-6)


@given(st.floats(0.5, 10), st.floats(0.01, 3), st.floats(-2, 2))
def test_a_sag_comes_back_from_the_length_it_needs(
    span: float, sag_in_spans: float, rise_in_spans: float
) -> None:
    line = catenary.catenary_of_sag(span, sag_in_spans * span, rise=rise_in_spans * span)
    back = catenary.catenary_of_length(span, line.length, rise=rise_in_spans * span)
    assert back.sag == pytest.approx(sag_in_spans * span, rel=1e-4)


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
    points = curves.resampled(line, count)
    assert curves.polyline_length(points) <= curves.polyline_length(line) + 1e-9
    assert points[[0, -1]] == pytest.approx(line[[0, -1]])


@pytest.mark.parametrize(
    ("fault", "message"),
    [
        (lambda: curves.legs_arch_length(3.0, 1.0), "an arch 3.0 m wide must be at least 1.5 m high"),
        (lambda: curves.ellipse_arch_length(0.0, 1.0), "half width is 0.0; it must be above 0 m"),
        (lambda: curves.ellipse_arc_length(1, 1, 2, 1), "ends at 1 rad before it starts at 2 rad"),
        (lambda: curves.stations(np.zeros((1, 2))), r"points have the shape \(1, 2\)"),
        (
            lambda: curves.points_along(np.array([[0, 0], [1.0, 0]]), np.array([1.5])),
            "distance along the line",
        ),
        (lambda: curves.ring_points(2.0, 1), "count of points is 1; it must be a whole number from 2"),
        (lambda: catenary.catenary_of_length(4.0, 4.0), "must be longer than that and at most 404 m"),
        (lambda: catenary.catenary_of_sag(4.0, 0.0), "sag is 0.0; it must be from 4e-06 to 200 m"),
    ],
)
def test_what_cannot_be_is_refused_in_words(fault: object, message: str) -> None:
    assert callable(fault)
    with pytest.raises(CraftError, match=message):
        fault()
