"""Lengths of routes against closed forms; a route is too long where its closed form says so.

Helix: one turn of (cos t, sin t, t) is 2 sqrt(2) pi (Apostol, Calculus I, 14.13); n turns of radius r and pitch p are
n sqrt((2 pi r)^2 + p^2) long. Catenary: 2a sinh(span / 2a).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.design.records import Frame, Garland, Leg
from quoting.craft.design.routes import Route, RouteTooLong, route_of
from tests.quoting.craft.starter_designs import straight_garland

BALL_M = 0.2
UPRIGHT = Frame(id="post", shape="column", item="post", label="Post", width_m=0.3, height_m=2.4, x_m=1.0)
ARCH = Frame(id="arch", shape="rectangle", item="arch", label="Arch", width_m=4.0, height_m=3.0, tube_m=0.05)


def garland(*legs: Leg) -> Garland:
    return replace(straight_garland(3.0).garlands[0], route=legs)


def laid(*legs: Leg) -> Route:
    return route_of(garland(*legs), (UPRIGHT, ARCH), ball_m=BALL_M)


def test_a_line_that_folds_back_on_itself_has_no_step_of_no_length() -> None:
    route = laid(Leg(kind="through", points=((0.0, 1.5), (1.0, 0.0), (0.0, 1.5))))
    assert np.diff(route.along).min() > 0
    assert np.isfinite(np.concatenate(route.triad(route.along))).all()


def test_a_line_through_the_air_lies_at_the_depths_of_its_points_and_is_as_long_as_in_space() -> None:
    """Length of a broken line in space, by Pythagoras; corners are rounded by half a balloon."""
    places = ((0.0, 1.0), (2.0, 1.0), (4.0, 1.0))
    route = laid(Leg(kind="through", points=places, depths=(0.0, 1.5, 0.0)))
    assert route.length_m == pytest.approx(2 * math.hypot(2.0, 1.5), rel=0.03)
    middle = route.points[np.argmin(np.abs(route.points[:, 0] - 2.0))]
    assert middle[2] == pytest.approx(1.5, abs=BALL_M)
    assert route.points[[0, -1], 2] == pytest.approx([0.0, 0.0], abs=1e-9)


@pytest.mark.parametrize(("start", "end", "turns"), [(0.1, 0.95, 3.0), (0.25, 0.75, 2.0), (0.1, 0.6, 6.5)])
def test_a_garland_wound_round_an_upright_is_as_long_as_a_helix(
    start: float, end: float, turns: float
) -> None:
    """The string stands off the upright by some half a balloon, which is measured here and not taken on trust."""
    route = laid(Leg(kind="wind", frame="post", start=start, end=end, turns=turns))
    inner = route.points[10:-10]
    radius = float(np.hypot(inner[:, 0] - 1.0, inner[:, 2]).mean())
    assert 0.15 + 0.4 * BALL_M < radius < 0.15 + 0.7 * BALL_M
    assert np.ptp(route.points[:, 1]) == pytest.approx((end - start) * 2.4, abs=0.02)
    assert route.length_m == pytest.approx(
        math.hypot(2 * math.pi * radius * turns, (end - start) * 2.4), rel=0.01
    )


@pytest.mark.parametrize("turns", [2.0, 5.0])
def test_a_garland_wrapped_round_a_tube_goes_round_it_as_often_as_it_says(turns: float) -> None:
    """Counted where it passes from before the tube to behind it and back, along the level top of the frame."""
    route = laid(Leg(kind="along", frame="arch", start=0.45, end=0.55, side="wrapped", turns=turns))
    depth = route.points[:, 2] - route.points[:, 2].mean()
    crossings = int(np.count_nonzero(np.diff(np.sign(depth)) != 0))
    assert abs(crossings - 2 * turns) <= 1
    assert 0.05 < np.ptp(route.points[:, 1]) < 0.05 + 0.7 * BALL_M, "round the tube, and near it"


def test_a_garland_on_the_floor_is_as_long_as_it_says_and_lies_beside_the_foot() -> None:
    down = Leg(kind="through", points=((0.0, 1.5), (0.0, 0.2)))
    bare = laid(down)
    for direction, sign in (("right", 1.0), ("left", -1.0)):
        route = laid(down, Leg(kind="pool", length_m=0.8, direction=direction))
        assert 0.8 < route.length_m - bare.length_m < 0.8 + BALL_M
        assert sign * route.points[-1, 0] == pytest.approx(0.8 + 0.45 * BALL_M, abs=0.01)
        assert (route.points[:, 1] > 0.5 * BALL_M).all()


@pytest.mark.parametrize(
    ("leg", "least_m"),
    [
        (Leg(kind="through", points=((0.0, 1.0), (3.0, 1.0), (3.0, 5.0))), 7.0),
        (Leg(kind="wind", frame="post", start=0.25, end=0.75, turns=4.0), 4 * 2 * math.pi * 0.15),
        (Leg(kind="along", frame="arch", start=0.0, end=1.0), 2 * 3.0 + 4.0),
    ],
)
def test_a_route_is_refused_as_too_long_only_where_it_is(leg: Leg, least_m: float) -> None:
    whole = route_of(garland(leg), (UPRIGHT, ARCH), ball_m=BALL_M, longest_m=1.2 * laid(leg).length_m)
    assert whole.length_m == pytest.approx(laid(leg).length_m)
    with pytest.raises(RouteTooLong):
        route_of(garland(leg), (UPRIGHT, ARCH), ball_m=BALL_M, longest_m=0.95 * least_m)


@pytest.mark.parametrize("sag_m", [0.2, 0.8, 1.6])
def test_a_hanging_line_stays_as_long_as_its_catenary_when_it_is_laid_in_steps(sag_m: float) -> None:
    """Parameter by bisection from sag = a (cosh(span / 2a) - 1), length 2a sinh(span / 2a)."""
    low, high = 0.05, 50.0
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if middle * (math.cosh(1.5 / middle) - 1) > sag_m else (low, middle)
    route = laid(Leg(kind="hang", points=((0.0, 3.0), (3.0, 3.0)), sag_m=sag_m))
    assert route.length_m == pytest.approx(2 * low * math.sinh(1.5 / low), rel=3e-3)
    assert route.points[:, 1].min() == pytest.approx(3.0 - sag_m, abs=0.01)
