"""Laws of wind on a free-standing piece."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.craft.air import wind
from quoting.craft.air.atmosphere import GRAVITY
from quoting.craft.geometry import silhouette
from studio.trade import cautions
from studio.trade.errors import CraftError

parts = st.lists(
    st.builds(
        wind.WindPart,
        area=st.floats(0.01, 6),
        height=st.floats(0.05, 4),
        coefficient=st.floats(0.3, 2.0),
    ),
    min_size=1,
    max_size=5,
)
stands = st.builds(
    wind.Stand,
    mass=st.floats(1, 200),
    arm=st.floats(0.05, 1),
    ballast_arm=st.floats(0.05, 1),
    friction=st.floats(0.1, 1),
)
gusts = st.floats(1, 40)


def ballasted(stand: wind.Stand, ballast: float) -> wind.Stand:
    """The stand with ballast on its feet counted in."""
    mass = stand.mass + ballast
    arm = (stand.mass * stand.arm + ballast * stand.ballast_arm) / mass
    return dataclasses.replace(stand, mass=mass, arm=arm)


@given(parts, stands, gusts, st.floats(1, 3))
def test_with_its_ballast_a_piece_has_the_safety_that_was_asked(
    seen: list[wind.WindPart], stand: wind.Stand, gust: float, safety: float
) -> None:
    check = wind.stand_in_wind(seen, stand, gust, safety_factor=safety)
    held = wind.stand_in_wind(seen, ballasted(stand, check.ballast), gust, safety_factor=safety)
    assert held.tipping_factor >= safety * (1 - 1e-9)
    assert held.sliding_factor >= safety * (1 - 1e-9)
    assert held.ballast <= 1e-6 * (stand.mass + check.ballast)
    if check.ballast > 0:
        assert min(held.tipping_factor, held.sliding_factor) == pytest.approx(safety)


@given(parts, stands)
def test_at_the_wind_at_which_it_comes_down_it_is_just_held(
    seen: list[wind.WindPart], stand: wind.Stand
) -> None:
    falls = wind.stand_in_wind(seen, stand, 10.0).comes_down_at
    if falls <= 60:
        there = wind.stand_in_wind(seen, stand, falls)
        assert min(there.tipping_factor, there.sliding_factor) == pytest.approx(1.0)


@given(parts, stands, gusts)
def test_twice_the_wind_is_four_times_the_force(
    seen: list[wind.WindPart], stand: wind.Stand, gust: float
) -> None:
    half = wind.stand_in_wind(seen, stand, gust / 2)
    full = wind.stand_in_wind(seen, stand, gust)
    assert full.force == pytest.approx(4 * half.force)
    assert full.tipping_moment == pytest.approx(4 * half.tipping_moment)
    assert full.ballast >= half.ballast
    assert full.comes_down_at == half.comes_down_at


@given(parts, stands, gusts, st.floats(0.1, 0.9))
def test_helium_makes_a_piece_come_down_sooner(
    seen: list[wind.WindPart], stand: wind.Stand, gust: float, share: float
) -> None:
    lifted = dataclasses.replace(stand, uplift=share * stand.mass * GRAVITY)
    still, light = wind.stand_in_wind(seen, stand, gust), wind.stand_in_wind(seen, lifted, gust)
    assert light.comes_down_at < still.comes_down_at
    assert light.ballast >= still.ballast


@given(parts, stands, gusts)
def test_every_answer_carries_its_caution(seen: list[wind.WindPart], stand: wind.Stand, gust: float) -> None:
    caution = wind.stand_in_wind(seen, stand, gust).caution
    assert caution is cautions.WIND
    assert "estimate" in caution.text
    assert "licensed engineer" in caution.text
    assert caution.shown.endswith("Local codes and licensed practice come first.")


def test_the_limits_of_what_is_taken_are_taken() -> None:
    assert wind.WindPart(0.0, 0.0, 2.5).coefficient == 2.5
    assert wind.weight_against_drag(10.0, friction=0.02, safety_factor=1.0) == pytest.approx(500 / GRAVITY)
    assert wind.stand_in_wind([], wind.Stand(10, 0.3, 0.3, 0.02), 60.0, safety_factor=1.0).force == 0


def test_a_piece_that_shows_nothing_to_the_wind_never_comes_down() -> None:
    check = wind.stand_in_wind([], wind.Stand(10.0, 0.3, 0.3, 0.4), 20.0)
    assert check.comes_down_at == math.inf
    assert check.ballast == 0.0


@pytest.mark.parametrize(
    ("fault", "message"),
    [
        (
            lambda: wind.stand_in_wind([], wind.Stand(10, 0.3, 0.3, 0.4), 80),
            "gust is 80; it must be from 0 to 60 m/s",
        ),
        (
            lambda: wind.stand_in_wind([], wind.Stand(10, 0.3, 0.3, 0.4), 8, safety_factor=0.8),
            "safety factor is 0.8; it must be 1 or more",
        ),
        (
            lambda: wind.stand_in_wind([], wind.Stand(1, 0.3, 0.3, 0.4, uplift=20), 8),
            "carries the piece away",
        ),
        (lambda: wind.Stand(0, 0.3, 0.3, 0.4), "mass is 0; it must be above 0 kg"),
        (lambda: wind.WindPart(-1, 1, 1), "area is -1"),
        (lambda: wind.WindPart(1, 1, 2.51), "force coefficient is 2.51; it must be from 0 to 2.5"),
        (lambda: wind.Stand(10, 0.3, 0.3, 0.019), "friction is 0.019; it must be from 0.02 to 1.5"),
        (lambda: wind.weight_against_drag(10.0, friction=0.019), "friction is 0.019"),
        (lambda: wind.weight_against_drag(-1.0), "drag is -1.0"),
        (
            lambda: silhouette.silhouette_of_balloons(np.zeros((3, 3)), np.ones(3)),
            r"must be \(n, 2\) and \(n,\)",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_words(fault: object, message: str) -> None:
    assert callable(fault)
    with pytest.raises(CraftError, match=message):
        fault()


discs = st.lists(
    st.tuples(st.floats(-2, 2), st.floats(-2, 2), st.floats(0.05, 0.6)),
    min_size=1,
    max_size=12,
)


@given(discs, st.floats(-3, 3), st.floats(-3, 3))
def test_a_silhouette_is_between_its_largest_disc_and_all_of_them_and_stays_where_moved(
    heap: list[tuple[float, float, float]], right: float, up: float
) -> None:
    array = np.array(heap)
    centres, radii = array[:, :2], array[:, 2]
    area = silhouette.silhouette_of_balloons(centres, radii).area
    assert math.pi * radii.max() ** 2 * (1 - 1e-9) <= area <= math.pi * (radii**2).sum() * (1 + 1e-9)
    assert silhouette.silhouette_of_balloons(np.add(centres, [right, up]), radii).area == pytest.approx(
        area, rel=1e-7
    )
    mirrored = centres * [-1, 1]
    assert silhouette.silhouette_of_balloons(mirrored, radii).area == pytest.approx(area, rel=1e-7)


def test_a_disc_seen_twice_counts_once_and_nothing_shows_nothing() -> None:
    twice = silhouette.silhouette_of_balloons(np.zeros((2, 2)), np.array([0.5, 0.5])).area
    inside = silhouette.silhouette_of_balloons(np.array([[0.0, 0.0], [0.1, 0.0]]), np.array([0.5, 0.2])).area
    assert twice == pytest.approx(math.pi / 4)
    assert inside == pytest.approx(math.pi / 4)
    assert silhouette.silhouette_of_balloons(np.zeros((0, 2)), np.zeros(0)).area == 0.0
