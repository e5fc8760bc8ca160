"""Lengths of curves against elliptic integrals, handbook values, and lengths that shapely measures."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pytest
import shapely
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import ellipe

from quoting.craft.geometry import catenary, curves

# P = 4 a E(e²), computed with scipy 1.17.1; Ramanujan's second formula gives the same digits but the last.
ELLIPSES = [(1, 1, 6.283185), (2, 1, 9.688448), (3, 2, 15.865440), (10, 5, 48.442241), (1.8, 1.2, 9.519264)]

# Closed forms of plane geometry: width, height, length; chord, rise, length.
LEGS_ARCHES = [(2.4, 2.4, 6.169911), (2.0, 2.2, 5.541593)]
SEGMENTS = [(3.0, 1.0, 1.625, 134.7603, 3.822017), (10.0, 2.0, 7.25, 87.2056, 11.034685)]

# y = a cosh(x/a) - a. The first row: course exercise through (±10, 6), mathhelpforum.com 104833, a 9.1889.
CATENARIES = [
    (20.0, 6.0, 9.188941, 24.188203),
    (10.0, 2.0, 6.558626, 10.997182),
    (4.0, 1.0, 2.148640, 4.603164),
]

SAMPLED: list[tuple[str, Callable[[int], npt.NDArray[np.float64]], float]] = [
    ("half ellipse", lambda n: curves.ellipse_arch_points(2.4, 1.8, n), 4.759632),
    (
        "flat half ellipse",
        lambda n: curves.ellipse_arch_points(6.0, 0.3, n),
        curves.ellipse_arch_length(6.0, 0.3),
    ),
    ("legs and arch", lambda n: curves.legs_arch_points(2.4, 2.4, n), 6.169911),
    ("segment", lambda n: curves.segment_points(3.0, 1.0, n), 3.822017),
    ("more than half a ring", lambda n: curves.segment_points(2.0, 1.6, n), curves.segment(2.0, 1.6).length),
    ("ring", lambda n: curves.ring_points(2.0, n), 2 * math.pi),
    ("part ring", lambda n: curves.ring_points(2.0, n, share=0.7), 1.4 * math.pi),
    ("parabola", lambda n: curves.parabola_points(10.0, 2.0, n), 10.982301),
    ("helix", lambda n: curves.helix_points(0.1, 0.3, 10, n), 6.962644),
    ("level catenary", lambda n: catenary.catenary_of_sag(4.0, 1.0).points(n), 4.603164),
    ("slanting catenary", lambda n: catenary.catenary_of_length(4.0, 5.0, rise=1.5).points(n), 5.0),
]


@pytest.mark.parametrize(("a", "b", "length"), ELLIPSES)
def test_ellipses_have_the_length_of_the_elliptic_integral(a: float, b: float, length: float) -> None:
    assert curves.ellipse_perimeter(a, b) == pytest.approx(length, abs=1e-6)
    assert curves.ellipse_perimeter(b, a) == pytest.approx(4 * a * ellipe(1 - (b / a) ** 2), rel=1e-12)


@pytest.mark.parametrize(("a", "b"), [(2.0, 1.0), (10.0, 5.0), (1.5, 1.2)])
def test_ellipses_agree_with_ramanujan(a: float, b: float) -> None:
    """S. Ramanujan 1914: pi (a + b)(1 + 3h/(10 + sqrt(4 - 3h))), h = ((a - b)/(a + b))²."""
    h = ((a - b) / (a + b)) ** 2
    ramanujan = math.pi * (a + b) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h)))
    assert curves.ellipse_perimeter(a, b) == pytest.approx(ramanujan, rel=1e-7)


def test_the_quarter_meridian_of_the_earth_is_the_geodesic_from_equator_to_pole() -> None:
    """WGS 84, a 6378137 m, b 6356752.3142 m: 10001965.729 m, pyproj 3.7.2 inverse geodesic."""
    quarter = curves.ellipse_arc_length(6378137.0, 6356752.3142, 0.0, math.pi / 2)
    assert quarter == pytest.approx(10001965.729, abs=1e-3)


def test_a_half_ellipse_arch_is_as_long_as_the_elliptic_integral_says() -> None:
    """Half width 1.2, height 1.8: 4.759632 m, scipy 1.17.1."""
    assert curves.ellipse_arch_length(2.4, 1.8) == pytest.approx(4.759632, abs=1e-6)


@pytest.mark.parametrize(("width", "height", "length"), LEGS_ARCHES)
def test_arches_on_legs_have_the_length_of_their_parts(width: float, height: float, length: float) -> None:
    assert curves.legs_arch_length(width, height) == pytest.approx(length, abs=1e-6)


@pytest.mark.parametrize(("chord", "rise", "radius", "degrees", "length"), SEGMENTS)
def test_segments_have_the_handbooks_radius_angle_and_arc(
    chord: float, rise: float, radius: float, degrees: float, length: float
) -> None:
    arc = curves.segment(chord, rise)
    assert arc.radius == pytest.approx(radius)
    assert math.degrees(arc.angle) == pytest.approx(degrees, abs=1e-4)
    assert arc.length == pytest.approx(length, abs=1e-6)


@pytest.mark.parametrize(("span", "sag", "parameter", "length"), CATENARIES)
def test_catenaries_have_the_published_parameter_and_length(
    span: float, sag: float, parameter: float, length: float
) -> None:
    line = catenary.catenary_of_sag(span, sag)
    assert line.parameter == pytest.approx(parameter, abs=1e-6)
    assert line.length == pytest.approx(length, abs=1e-6)
    back = catenary.catenary_of_length(span, length)
    assert back.sag == pytest.approx(sag, abs=1e-5)


@pytest.mark.parametrize(("rise", "length"), [(1.5, 5.0), (-2.0, 4.6), (0.2, 9.0), (3.0, 5.01)])
def test_slanting_catenaries_agree_with_a_second_way_of_solving_them(rise: float, length: float) -> None:
    """scipy: root of sqrt(L² - v²) = 2a sinh(b/(2a)), length by quadrature, sag by search over the line."""
    span = 4.0
    line = catenary.catenary_of_length(span, length, rise=rise)
    wanted = math.sqrt(length**2 - rise**2)
    a = brentq(lambda a: 2 * a * math.sinh(span / (2 * a)) - wanted, 0.2, 1e3, xtol=1e-12)
    assert line.parameter == pytest.approx(a, rel=1e-9)
    measured, _ = quad(lambda x: math.cosh((x - line.lowest) / a), 0, span)
    assert measured == pytest.approx(length, rel=1e-9)
    across = np.linspace(0, span, 200_001)
    heights = line.height(across)
    assert heights[[0, -1]] == pytest.approx([0.0, rise], abs=1e-9)
    assert line.sag == pytest.approx((rise / span * across - heights).max(), abs=1e-8)
    assert catenary.catenary_of_sag(span, line.sag, rise=rise).length == pytest.approx(length, rel=1e-9)


@pytest.mark.parametrize(("span", "rise", "length"), [(10.0, 2.0, 10.982301), (2.4, 1.2, 3.549463)])
def test_parabolas_have_the_length_of_numerical_integration(span: float, rise: float, length: float) -> None:
    assert curves.parabola_length(span, rise) == pytest.approx(length, abs=1e-6)


@pytest.mark.parametrize(
    ("radius", "pitch", "turns", "length"),
    [(1.0, 2 * math.pi, 1, 2 * math.sqrt(2) * math.pi), (0.1, 0.3, 10, 6.962644)],
)
def test_helices_have_the_textbooks_length(radius: float, pitch: float, turns: float, length: float) -> None:
    """First row: Apostol, Calculus I, 14.13 exercise 6, the curve (cos t, sin t, t) over one turn."""
    assert curves.helix_length(radius, pitch, turns) == pytest.approx(length, abs=1e-6)


@pytest.mark.parametrize(
    ("points_of", "length"), [row[1:] for row in SAMPLED], ids=[row[0] for row in SAMPLED]
)
def test_sampled_points_run_the_whole_curve_in_even_steps(
    points_of: Callable[[int], npt.NDArray[np.float64]], length: float
) -> None:
    """shapely 2 measures the chords in the plane, numpy where there is a third axis."""
    points = points_of(4001)
    flat = points.shape[1] == 2
    measured = (
        shapely.LineString(points).length if flat else np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
    )
    assert measured == pytest.approx(length, rel=1e-5)  # chords fall short of the arc
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    assert np.ptp(steps) < 1e-3 * steps.mean()


def test_a_line_is_resampled_where_shapely_puts_the_points() -> None:
    corners = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 2.0], [-0.5, 2.5]])
    line = shapely.LineString(corners)
    ours = curves.resampled(corners, 41)
    theirs = np.array([line.interpolate(share, normalized=True).coords[0] for share in np.linspace(0, 1, 41)])
    assert ours == pytest.approx(theirs, abs=1e-12)
