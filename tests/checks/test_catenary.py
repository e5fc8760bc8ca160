"""Hanging lines against published values and a second way of solving them; places on a line against shapely."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from scipy.integrate import quad
from scipy.optimize import brentq

from quoting.craft.geometry import catenary, polyline

# y = a cosh(x/a) - a. The first row: course exercise through (±10, 6), mathhelpforum.com 104833, a 9.1889.
CATENARIES = [
    (20.0, 6.0, 9.188941, 24.188203),
    (10.0, 2.0, 6.558626, 10.997182),
    (4.0, 1.0, 2.148640, 4.603164),
]


@pytest.mark.parametrize(("span", "sag", "parameter", "length"), CATENARIES)
def test_catenaries_have_the_published_parameter_and_length(
    span: float, sag: float, parameter: float, length: float
) -> None:
    line = catenary.catenary_of_sag(span, sag)
    assert line.parameter == pytest.approx(parameter, abs=1e-6)
    assert line.length == pytest.approx(length, abs=1e-6)


@pytest.mark.parametrize(("rise", "sag"), [(1.5, 1.1), (-2.0, 0.4), (0.2, 3.8), (3.0, 0.09)])
def test_slanting_catenaries_agree_with_a_second_way_of_solving_them(rise: float, sag: float) -> None:
    """scipy: root of sqrt(L² - v²) = 2a sinh(b/(2a)), length by quadrature, sag by search over the line."""
    span = 4.0
    line = catenary.catenary_of_sag(span, sag, rise=rise)
    wanted = math.sqrt(line.length**2 - rise**2)
    a = brentq(lambda a: 2 * a * math.sinh(span / (2 * a)) - wanted, 0.2, 1e3, xtol=1e-12)
    assert line.parameter == pytest.approx(a, rel=1e-9)
    measured, _ = quad(lambda x: math.cosh((x - line.lowest) / a), 0, span)
    assert measured == pytest.approx(line.length, rel=1e-9)
    across = np.linspace(0, span, 200_001)
    heights = line.height(across)
    assert heights[[0, -1]] == pytest.approx([0.0, rise], abs=1e-9)
    assert sag == pytest.approx((rise / span * across - heights).max(), abs=1e-8)


@pytest.mark.parametrize(("sag", "rise"), [(1.0, 0.0), (1.2, 1.5)])
def test_points_of_a_hanging_line_run_all_of_it_in_even_steps(sag: float, rise: float) -> None:
    """shapely 2 measures the chords."""
    line = catenary.catenary_of_sag(4.0, sag, rise=rise)
    points = line.points(4001)
    assert shapely.LineString(points).length == pytest.approx(
        line.length, rel=1e-5
    )  # chords fall short of the arc
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    assert np.ptp(steps) < 1e-3 * steps.mean()


def test_places_along_a_line_lie_where_shapely_puts_them() -> None:
    corners = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 2.0], [-0.5, 2.5]])
    line = shapely.LineString(corners)
    assert polyline.polyline_length(corners) == pytest.approx(line.length, rel=1e-12)
    distances = np.linspace(0, line.length, 41)
    ours = polyline.points_along(corners, distances)
    theirs = np.array([line.interpolate(distance).coords[0] for distance in distances])
    assert ours == pytest.approx(theirs, abs=1e-12)
