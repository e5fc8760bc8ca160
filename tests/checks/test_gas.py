"""Gas densities, lift, compressibility and the gas law against reference equations of state and worked
examples.

CoolProp is imported where it is asked: it reads its tables for a second, which a process that lists the tests need not.
"""

from __future__ import annotations

import math

import numpy as np
import pint
import pytest
from scipy.optimize import brentq

from quoting.craft.air import helium, inflation
from quoting.craft.air.atmosphere import Air, air_at
from studio.trade.packing import INCH_M

# Equations of state as in CoolProp 8.0.0: Lemmon et al. 2000 (air), Ortiz Vega 2013 (helium); 101325 Pa, dry.
DENSITIES = [  # °C, air kg/m³, helium kg/m³
    (0, 1.2931, 0.17848),
    (15, 1.2255, 0.16920),
    (20, 1.2046, 0.16631),
]

# The same source; sphere of pi d³/6, 1 in = 25.4 mm, no skin, pure helium at ambient pressure.
SPHERE_LIFTS = [  # in, °C, litres, grams
    (5, 0, 1.0725, 1.195),
    (9, 15, 6.2550, 6.607),
    (11, 20, 11.4203, 11.857),
    (11, 25, 11.4203, 11.658),
    (16, 15, 35.1447, 37.125),
    (24, 25, 118.6133, 121.080),
    (30, 0, 231.6667, 258.212),
    (36, 15, 400.3200, 422.876),
]


@pytest.mark.parametrize(("celsius", "of_air", "of_helium"), DENSITIES)
def test_densities_agree_with_the_reference_equations_of_state(
    celsius: float, of_air: float, of_helium: float
) -> None:
    place = air_at(celsius=celsius)
    assert place.density == pytest.approx(of_air, rel=8e-4)
    assert helium.helium_density(place) == pytest.approx(of_helium, rel=8e-4)


@pytest.mark.parametrize("celsius", range(-10, 41, 5))
@pytest.mark.parametrize("pressure", [80_000.0, 101_325.0, 104_000.0])
def test_densities_agree_with_coolprop_in_any_weather(celsius: float, pressure: float) -> None:
    from CoolProp.CoolProp import PropsSI

    place = Air(celsius + 273.15, pressure)
    of_air = PropsSI("D", "T", place.temperature, "P", pressure, "Air")
    of_helium = PropsSI("D", "T", place.temperature, "P", pressure, "Helium")
    assert place.density == pytest.approx(of_air, rel=1e-3)
    assert helium.helium_density(place) == pytest.approx(of_helium, rel=1e-3)


@pytest.mark.parametrize(("celsius", "humidity"), [(0, 0.9), (20, 0.5), (30, 0.8), (40, 0.3)])
def test_moist_air_agrees_with_the_humid_air_formulation(celsius: float, humidity: float) -> None:
    """Herrmann, Kretzschmar & Gatley as in CoolProp's HAPropsSI; V is per kilogram of humid air."""
    from CoolProp.CoolProp import HAPropsSI

    place = air_at(celsius=celsius, humidity=humidity)
    volume = HAPropsSI("Vha", "T", place.temperature, "P", place.pressure, "R", humidity)
    assert place.density == pytest.approx(1 / volume, rel=1e-3)


def test_moist_air_at_20_degrees_and_half_humidity_weighs_as_published() -> None:
    """CoolProp 8.0.0, HAPropsSI: 1.1994 kg/m³."""
    assert air_at(celsius=20, humidity=0.5).density == pytest.approx(1.1994, rel=8e-4)


@pytest.mark.parametrize(("inches", "celsius", "litres", "grams"), SPHERE_LIFTS)
def test_helium_spheres_lift_what_the_densities_say(
    inches: float, celsius: float, litres: float, grams: float
) -> None:
    volume = inflation.sphere_volume(inches * INCH_M)
    assert volume * 1000 == pytest.approx(litres, abs=6e-5)
    assert helium.gross_lift(volume, air_at(celsius=celsius)) * 1000 == pytest.approx(grams, rel=1e-3)


@pytest.mark.parametrize(
    ("celsius", "per_litre", "per_cubic_foot"), [(0, 1.1146, 31.562), (20, 1.0383, 29.400)]
)
def test_lift_per_litre_and_per_cubic_foot(celsius: float, per_litre: float, per_cubic_foot: float) -> None:
    """CoolProp 8.0.0; 1 ft³ = 28.316846592 L."""
    place = air_at(celsius=celsius)
    assert helium.gross_lift(0.001, place) * 1000 == pytest.approx(per_litre, rel=1e-3)
    assert helium.gross_lift(0.028316846592, place) * 1000 == pytest.approx(per_cubic_foot, rel=1e-3)


@pytest.mark.parametrize(("bar", "factor"), [(200, 1.0970), (150, 1.0731)])
def test_compressibility_of_helium_at_15_degrees(bar: float, factor: float) -> None:
    """Helium reference equation of state, CoolProp 8.0.0."""
    assert helium.compressibility(bar * 1e5, 288.15) == pytest.approx(factor, abs=1e-4)


@pytest.mark.parametrize("temperature", [233.15, 253.15, 273.15, 288.15, 303.15, 333.15])
def test_compressibility_follows_the_reference_equation_as_closely_as_promised(temperature: float) -> None:
    from CoolProp.CoolProp import PropsSI

    pressures = np.linspace(1e5, 300e5, 40)
    reference = PropsSI("Z", "T", temperature, "P", pressures, "Helium")
    assert np.abs(helium.compressibility(pressures, temperature) - reference).max() < 1e-4


@pytest.mark.parametrize(("litres", "cubic_metres"), [(50, 9.001), (10, 1.800)])
def test_a_cylinder_gives_less_than_the_ideal_gas_law_says(litres: float, cubic_metres: float) -> None:
    """At 200 bar absolute and 15 °C down to nothing, measured at 1.01325 bar; CoolProp 8.0.0, ideal 9.87 and
    1.97.

    What stays behind at 1 bar, where helium is all but ideal, is added back by hand.
    """
    place = air_at(celsius=15)
    down_to_one_bar = helium.Cylinder(litres / 1000, 200e5, left_over=1e5)
    stays = litres / 1000 * 1e5 / 101_325
    assert helium.cylinder_gas(down_to_one_bar, place) + stays == pytest.approx(cubic_metres, rel=2e-4)


def test_a_weather_balloon_grows_with_height_as_in_the_textbook() -> None:
    """7600 L at 1 atm and 298 K, taken to 0.70 atm and 253 K: 9218 L.

    University of Oxford, Virtual Chemistry, Atoms Molecules and Moles, p. 42; result recomputed from its
    factors.
    """
    here, there = Air(298.0, 101_325.0), Air(253.0, 0.70 * 101_325)
    diameter = math.cbrt(6 / math.pi * 7.6)
    grown = inflation.diameter_elsewhere(diameter, here, there, overpressure=0.0)
    assert inflation.sphere_volume(grown) * 1000 == pytest.approx(9218, abs=1)


@pytest.mark.parametrize(
    ("height", "same_temperature", "standard_temperature"),
    [
        (500, 1.02007, 1.01622),
        (1000, 1.04078, 1.03290),
        (1609.344, 1.06693, 1.05386),
        (2000, 1.08424, 1.06768),
        (3000, 1.13062, 1.10451),
    ],
)
def test_a_free_sphere_grows_with_geopotential_height(
    height: float, same_temperature: float, standard_temperature: float
) -> None:
    """(p0/p)^(1/3) and (p0 T/(p T0))^(1/3) in the ICAO Standard Atmosphere, Doc 7488."""
    geometric = height * 6_356_766 / (6_356_766 - height)
    sea = air_at(celsius=15)
    up_warm = air_at(celsius=15, height=geometric)
    up_cool = air_at(celsius=15 - 0.0065 * height, height=geometric)
    assert inflation.diameter_elsewhere(1.0, sea, up_warm, overpressure=0) == pytest.approx(
        same_temperature, abs=6e-6
    )
    assert inflation.diameter_elsewhere(1.0, sea, up_cool, overpressure=0) == pytest.approx(
        standard_temperature, abs=6e-6
    )


@pytest.mark.parametrize(
    ("celsius", "height"), [(35.0, 0.0), (0.0, 0.0), (20.0, 2000.0), (35.0, 1000.0), (-5.0, 500.0)]
)
def test_a_constant_overpressure_answers_as_the_rubber_pressure_curve_does(
    celsius: float, height: float
) -> None:
    """Merritt & Weinhaus 1978, doi:10.1119/1.11486: dp = C (1 - (r0/r)^6)/(r0² r), with the curve scaled so
    that a balloon of 9 in, four times its slack size, shows the overpressure that we take for constant."""
    studio, venue = air_at(celsius=20), air_at(celsius=celsius, height=height)
    sized = 9 * INCH_M
    slack = sized / 4

    def skin(diameter: float) -> float:
        shape = (1 - (slack / diameter) ** 6) / diameter
        return inflation.LATEX_OVERPRESSURE * shape / ((1 - (slack / sized) ** 6) / sized)

    amount = (studio.pressure + skin(sized)) * sized**3 / studio.temperature

    def surplus(diameter: float) -> float:
        return (venue.pressure + skin(diameter)) * diameter**3 / venue.temperature - amount

    by_curve = brentq(surplus, sized / 2, sized * 2)
    assert inflation.diameter_elsewhere(sized, studio, venue) == pytest.approx(by_curve, rel=2e-3)


def test_volumes_agree_with_an_independent_reader_of_units() -> None:
    """pint: an 11-in sphere is 0.40330 ft³."""
    units: pint.UnitRegistry[float] = pint.UnitRegistry()
    volume = (math.pi / 6 * units.Quantity(11, "inch") ** 3).to("m^3").magnitude
    assert inflation.sphere_volume(11 * INCH_M) == pytest.approx(volume, rel=1e-12)
    assert units.Quantity(inflation.sphere_volume(11 * INCH_M), "m^3").to("ft^3").magnitude == pytest.approx(
        0.40330, abs=5e-6
    )


@pytest.mark.parametrize("overpressure", [0.0, 2500.0, 4000.0])
def test_the_air_taken_from_the_room_weighs_what_is_in_the_balloon(overpressure: float) -> None:
    """CoolProp 8.0.0: the same mass, in the balloon under the skin's pressure and in the room without it."""
    from CoolProp.CoolProp import PropsSI

    room = air_at(celsius=20)
    inside = PropsSI("D", "T", room.temperature, "P", room.pressure + overpressure, "Air")
    outside = PropsSI("D", "T", room.temperature, "P", room.pressure, "Air")
    taken = inflation.free_air(0.006, room, overpressure=overpressure)
    assert taken * outside == pytest.approx(0.006 * inside, rel=3e-5)
