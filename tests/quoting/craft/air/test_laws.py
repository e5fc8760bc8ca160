"""Laws of air and helium that hold for every size and place."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.craft.air import helium, inflation
from quoting.craft.air.atmosphere import Air, air_at, standard_pressure
from studio.trade.errors import CraftError
from studio.trade.packing import INCH_M

diameters = st.floats(0.05, 1.0)
places = st.builds(
    air_at,
    celsius=st.floats(-30, 50),
    height=st.floats(-400, 4500),
    humidity=st.floats(0, 1),
)
balloons = st.builds(
    helium.FloatingBalloon,
    diameter=st.floats(0.2, 1.0),
    skin_mass=st.floats(0.001, 0.05),
    ribbon_mass=st.floats(0, 0.005),
)


@given(diameters, places, places)
def test_a_balloon_that_travels_there_and_back_has_its_size_again(
    diameter: float, here: Air, there: Air
) -> None:
    back = inflation.diameter_elsewhere(inflation.diameter_elsewhere(diameter, here, there), there, here)
    assert back == pytest.approx(diameter, rel=1e-12)


@given(diameters, places, places)
def test_the_ring_at_the_studio_gives_the_size_at_the_venue(diameter: float, studio: Air, venue: Air) -> None:
    sized = inflation.size_for(diameter, studio, venue)
    assert inflation.diameter_elsewhere(sized.ring_diameter, studio, venue) == pytest.approx(
        diameter, rel=1e-12
    )
    assert sized.ratio == pytest.approx(diameter / sized.ring_diameter)


@given(diameters, st.floats(-20, 40), st.floats(1, 20))
def test_warmth_makes_a_balloon_larger_and_a_mountain_too(
    diameter: float, celsius: float, warmer: float
) -> None:
    here = air_at(celsius=celsius)
    assert inflation.diameter_elsewhere(diameter, here, air_at(celsius=celsius + warmer)) > diameter
    assert (
        inflation.diameter_elsewhere(diameter, here, air_at(celsius=celsius, height=100 * warmer)) > diameter
    )


@given(st.lists(diameters, min_size=1, max_size=20), places)
def test_many_balloons_at_once_are_what_each_is_alone(sizes: list[float], place: Air) -> None:
    array = np.array(sizes)
    alone = [inflation.sphere_volume(size) for size in sizes]
    assert inflation.sphere_volume(array) == pytest.approx(alone, rel=1e-12)
    lifts = helium.gross_lift(inflation.sphere_volume(array), place)
    assert lifts == pytest.approx([helium.gross_lift(volume, place) for volume in alone], rel=1e-12)


@given(st.lists(st.tuples(diameters, st.integers(0, 300)), max_size=6), places)
def test_inflating_two_sets_takes_what_each_takes(sets: list[tuple[float, int]], place: Air) -> None:
    whole = inflation.inflation(sets, place)
    parts = [inflation.inflation([one], place) for one in sets]
    assert whole.free_air == pytest.approx(sum(part.free_air for part in parts))
    assert whole.strokes == pytest.approx(sum(part.strokes for part in parts))


def test_inflating_takes_the_air_of_every_balloon() -> None:
    balloons = [(0.2, 10), (0.3, 5)]
    volume = 10 * inflation.sphere_volume(0.2) + 5 * inflation.sphere_volume(0.3)
    done = inflation.inflation(balloons, air_at(), overpressure=0.0, stroke=0.0005)
    assert done.free_air == pytest.approx(volume)
    assert done.strokes == pytest.approx(volume / 0.0005)


@given(places)
def test_moist_air_is_never_heavier_than_dry(place: Air) -> None:
    assert place.density <= Air(place.temperature, place.pressure).density


@given(st.floats(-400, 4500), st.floats(1, 400))
def test_pressure_falls_with_height(height: float, higher: float) -> None:
    assert standard_pressure(height + higher) < standard_pressure(height)


@given(st.lists(balloons, max_size=8), places)
def test_the_weight_of_a_bouquet_holds_it_down_and_adds_up(
    bouquet: list[helium.FloatingBalloon], place: Air
) -> None:
    together = helium.bouquet(bouquet, place)
    assert together.net_lift == pytest.approx(sum(helium.net_lift(one, place) for one in bouquet), abs=1e-12)
    assert together.weight_needed >= together.net_lift
    assert together.weight_needed >= 0


@given(st.floats(0.001, 0.5), places, st.floats(0.5, 0.99))
def test_impure_helium_lifts_less(volume: float, place: Air, purity: float) -> None:
    assert helium.gross_lift(volume, place, purity=purity) < helium.gross_lift(volume, place)


@given(st.just(0.0) | st.floats(0.001, 200.0), places)
def test_the_cylinders_taken_along_are_enough_and_never_one_too_many(gas: float, place: Air) -> None:
    cylinder = helium.Cylinder(water_volume=0.05, pressure=200e5)
    need = helium.cylinders_needed(gas, cylinder, place)
    assert need.whole * need.per_cylinder >= need.gas * (1 - 1e-9)
    assert (need.whole - 1) * need.per_cylinder < need.gas or need.whole == 0


@given(st.floats(9, 36), st.floats(9, 36), st.floats(0, 40), st.floats(0, 40))
def test_larger_and_cooler_balloons_float_no_shorter(
    one: float, other: float, warm: float, cool: float
) -> None:
    small, large = sorted((one * INCH_M, other * INCH_M))
    cool, warm = sorted((warm, cool))
    short = helium.float_hours(small, air_at(celsius=warm))
    long = helium.float_hours(large, air_at(celsius=cool))
    assert short[0] <= long[0] * (1 + 1e-12)
    assert short[1] <= long[1] * (1 + 1e-12)
    assert short[0] < short[1]


@pytest.mark.parametrize("diameter", [0.0, -0.1, math.nan, math.inf])
def test_a_balloon_without_a_size_is_refused(diameter: float) -> None:
    with pytest.raises(CraftError, match=r"diameter is .* above 0 m"):
        inflation.sphere_volume(diameter)
    with pytest.raises(CraftError, match="diameter is an array with a value outside"):
        inflation.sphere_volume(np.array([0.2, diameter]))


def test_a_balloon_that_would_pop_on_its_way_is_refused_with_the_size_that_works() -> None:
    hall = air_at(celsius=20, height=2000)
    with pytest.raises(CraftError, match=r"size it at most 11\.1 in at the venue"):
        inflation.size_for(12 * INCH_M, hall, air_at(celsius=20), nominal_diameter=12 * INCH_M)
    fits = inflation.size_for(11 * INCH_M, hall, air_at(celsius=20), nominal_diameter=12 * INCH_M)
    assert fits.ring_diameter > fits.venue_diameter


@pytest.mark.parametrize(
    ("fault", "message"),
    [
        (lambda: air_at(celsius=80), "temperature is 80; it must be from -40 to 60 °C"),
        (lambda: air_at(height=9000), "height is 8987.* from -500 to 5000 m"),
        (lambda: air_at(humidity=1.2), "relative humidity is 1.2; it must be from 0 to 1"),
        (lambda: helium.compressibility(400e5, 288.15), "pressure is 40000000.0; it must be from 0 to 3e"),
        (lambda: helium.Cylinder(0.05, 200e5, left_over=300e5), "left-over pressure"),
        (
            lambda: helium.bouquet([], air_at(), hold_down_factor=0.9),
            "hold-down factor is 0.9; it must be 1 or more",
        ),
        (lambda: helium.float_hours(0.1, air_at()), "diameter is 0.1"),
        (lambda: inflation.inflation([], air_at(), stroke=0.0), "stroke is 0.0; it must be above 0 m³"),
        (lambda: inflation.inflation([(0.2, -1)], air_at()), "count is -1; it must be 0 balloons or more"),
    ],
)
def test_what_cannot_be_is_refused_in_words(fault: object, message: str) -> None:
    assert callable(fault)
    with pytest.raises(CraftError, match=message):
        fault()
