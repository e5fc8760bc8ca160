"""Helium: what a balloon carries, what holds a bouquet down, how many cylinders it takes, how long it floats.

Gross lift is the weight of the air displaced less that of the gas inside; everything else is taken off it.
Masses are in kg throughout, a lift of 0.012 kg being twelve grams-force. Always shown with `cautions.HELIUM`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from quoting.craft.air.atmosphere import COLDEST, GAS_CONSTANT, MOLAR_MASS_AIR, WARMEST, ZERO_CELSIUS, Air
from quoting.craft.air.inflation import LATEX_OVERPRESSURE, sphere_volume
from quoting.craft.air.wind import drag_of_balloons, weight_against_drag
from studio.trade.errors import CraftError
from studio.trade.packing import INCH_M
from studio.trade.ranges import Number, between, not_negative, positive

MOLAR_MASS_HELIUM = 0.004002602
"""Molar mass of helium [kg/mol]. Source: IUPAC atomic weights."""

BALLOON_GRADE_PURITY = 0.97
"""Share of helium in gas sold for balloons, by volume. Common practice, no source; the cylinder's label
says."""

LATEX_MASS = {5: 0.0010, 11: 0.0030, 17: 0.0080, 24: 0.0150, 36: 0.0400}
"""Mass of an empty latex round [kg] by nominal size [in]. Common practice, no source: weigh a handful of
one's own, makes differ by a quarter."""

RIBBON_MASS_PER_METRE = 0.0008
"""Mass of curling ribbon, 5 mm wide [kg/m]. Common practice, no source."""

HOLD_DOWN_FACTOR = 1.5
"""Weight over lift that keeps a bouquet down indoors, where people tug and doors draught. Common practice, no
source."""

FLOAT_HOURS = {11: (12.0, 20.0), 17: (20.0, 36.0), 24: (48.0, 72.0), 36: (72.0, 120.0)}
"""Hours that untreated latex floats at 20 °C, from and to, by nominal size [in]. Common practice, no
source."""

FOIL_HOURS = (72.0, 168.0)
"""Hours that a foil balloon floats at 20 °C, from and to. Common practice, no source."""

LEAK_ACTIVATION_ENERGY = 30_000.0
"""Energy [J/mol] by which natural rubber lets helium through faster when warm. From memory, after van
Amerongen 1946, doi:10.1063/1.1707667: 10 °C warmer leaks about 1.5 times as fast."""


@dataclass(frozen=True)
class FloatingBalloon:
    """One helium balloon as it hangs on its ribbon: sized diameter [m], skin and ribbon [kg]."""

    diameter: float
    skin_mass: float
    ribbon_mass: float = 0.0

    def __post_init__(self) -> None:
        positive("diameter", self.diameter, "m")
        not_negative("skin mass", self.skin_mass, "kg")
        not_negative("ribbon mass", self.ribbon_mass, "kg")


@dataclass(frozen=True)
class Bouquet:
    """The lift of several balloons on one weight."""

    gross_lift: float  # kg
    net_lift: float  # kg, less skins and ribbons; below zero it does not fly
    weight_needed: float  # kg, at least zero, against lift and drag, their factors included
    gas: float  # m³ of gas at the place's temperature and pressure


@dataclass(frozen=True)
class Cylinder:
    """A helium cylinder: inner (water) volume [m³], absolute pressure when full [Pa], temperature [K]."""

    water_volume: float
    pressure: float
    temperature: float = 288.15
    left_over: float = 200_000.0  # Pa absolute at which it is exchanged, since the filler stops delivering

    def __post_init__(self) -> None:
        positive("water volume", self.water_volume, "m³")
        between("cylinder pressure", self.pressure, 1e5, 300e5, "Pa")
        between("cylinder temperature", self.temperature, ZERO_CELSIUS + COLDEST, ZERO_CELSIUS + WARMEST, "K")
        between("left-over pressure", self.left_over, 1e5, self.pressure, "Pa")


@dataclass(frozen=True)
class CylinderNeed:
    """Cylinders for an amount of gas."""

    gas: float  # m³ at the place, losses included
    per_cylinder: float  # m³ that one cylinder gives there
    exact: float  # cylinders, not rounded
    whole: int  # cylinders to take along


def helium_density(air: Air, *, overpressure: float = 0.0, purity: float = 1.0) -> float:
    """Density [kg/m³] of the gas in a balloon at a place.

    overpressure: of the skin [Pa]; purity: share of helium by volume, the rest taken for air, above 0.5 to 1.
    Ideal gas; helium at 0 to 25 °C and one atmosphere is lighter by 0.06 % at most (Ortiz Vega 2013).

    >>> round(helium_density(Air()), 4)
    0.1664
    """
    not_negative("overpressure", overpressure, "Pa")
    between("purity", purity, 0.5, 1.0, "")
    molar_mass = purity * MOLAR_MASS_HELIUM + (1 - purity) * MOLAR_MASS_AIR
    return (air.pressure + overpressure) * molar_mass / (GAS_CONSTANT * air.temperature)


def gross_lift(volume: Number, air: Air, *, overpressure: float = 0.0, purity: float = 1.0) -> Number:
    """Lift [kg] of a volume of helium [m³], scalar or array: V (rho_air - rho_gas) (Archimedes).

    Skin, ribbon and anything hung on it still count against it. Overpressure and purity as in
    `helium_density`.

    >>> round(1000 * gross_lift(0.001, Air()), 2)  # grams that a litre lifts
    1.04
    """
    not_negative("volume", volume, "m³")
    return volume * (air.density - helium_density(air, overpressure=overpressure, purity=purity))


def net_lift(
    balloon: FloatingBalloon,
    air: Air,
    *,
    overpressure: float = LATEX_OVERPRESSURE,
    purity: float = BALLOON_GRADE_PURITY,
) -> float:
    """Lift left [kg] once a balloon carries its own skin and ribbon; below zero it does not fly.

    >>> round(1000 * net_lift(FloatingBalloon(0.2794, 0.003), Air()), 1)  # grams
    8.4
    """
    lift = gross_lift(sphere_volume(balloon.diameter), air, overpressure=overpressure, purity=purity)
    return lift - balloon.skin_mass - balloon.ribbon_mass


def latex_kg(size_in: ArrayLike) -> NDArray[np.float64]:
    """Mass of empty latex rounds of nominal sizes [in], shape as given [kg]; between the sizes of LATEX_MASS in line.

    >>> latex_kg([11, 14]).tolist()
    [0.003, 0.0055]
    """
    sizes = sorted(LATEX_MASS)
    return np.asarray(np.interp(np.asarray(size_in, float), sizes, [LATEX_MASS[size] for size in sizes]))


def bouquet(
    balloons: Sequence[FloatingBalloon],
    air: Air,
    *,
    hold_down_factor: float = HOLD_DOWN_FACTOR,
    overpressure: float = LATEX_OVERPRESSURE,
    purity: float = BALLOON_GRADE_PURITY,
    gust: float = 0.0,
) -> Bouquet:
    """Lift, gas and the weight that keeps balloons down which are tied together.

    hold_down_factor: weight over net lift, 1 or more. gust: wind at the place [m/s]. It pulls far harder than the
    lift, and the weight that withstands its drag comes on top. No balloons need no weight.

    >>> found = bouquet([FloatingBalloon(0.2794, 0.003)] * 7, Air())
    >>> round(found.net_lift, 3), round(found.weight_needed, 3)
    (0.059, 0.089)
    >>> round(bouquet([FloatingBalloon(0.2794, 0.003)] * 7, Air(), gust=9.0).weight_needed, 1)
    4.7
    """
    if not hold_down_factor >= 1:
        raise CraftError(f"hold-down factor is {hold_down_factor}; it must be 1 or more.")
    volumes = [sphere_volume(balloon.diameter) for balloon in balloons]
    gross = math.fsum(gross_lift(v, air, overpressure=overpressure, purity=purity) for v in volumes)
    net = gross - math.fsum(balloon.skin_mass + balloon.ribbon_mass for balloon in balloons)
    gas = math.fsum(volumes) * (air.pressure + overpressure) / air.pressure
    drag = drag_of_balloons([balloon.diameter for balloon in balloons], gust)
    return Bouquet(gross, net, max(0.0, net) * hold_down_factor + weight_against_drag(drag), gas)


def lifted(volume: float, mass: float, air: Air, *, gust: float = 0.0) -> Bouquet:
    """Lift of one foil balloon, gas and the weight that keeps it down; its skin doesn't stretch.

    volume: what it holds [m³]; mass: of skin and ribbon [kg]; gust: wind at the place [m/s], which meets the ball of
    that volume.

    >>> round(1000 * lifted(0.0146, 0.0098, Air()).net_lift, 1)  # grams, of a flat disc of 18 in
    4.9
    """
    gross = gross_lift(volume, air, purity=BALLOON_GRADE_PURITY)
    net = gross - mass
    ball = (6 * volume / math.pi) ** (1 / 3)
    held = weight_against_drag(drag_of_balloons([ball], gust))
    return Bouquet(gross, net, max(0.0, net) * HOLD_DOWN_FACTOR + held, volume)


def compressibility(pressure: Number, temperature: float) -> Number:
    """Compressibility factor Z of helium at an absolute pressure [Pa, scalar or array] and temperature [K].

    Z = 1 + B x + D x², x = p/(RT), B = (11.8635 - 0.003945 t) cm³/mol, D = -(29.37 + 0.07243 t) cm⁶/mol²,
    t = T - 288.15 K. Coefficients fitted to the reference equation of state of helium (Ortiz Vega 2013) from
    -40 to 60 °C and up to 300 bar, where the form keeps within 0.0001 of it. CraftError outside.
    Reference tables of the same quantity: NACA Technical Note 276, 1928.

    >>> round(compressibility(200e5, 288.15), 4)
    1.097
    """
    between("pressure", pressure, 0.0, 300e5, "Pa")
    between("temperature", temperature, ZERO_CELSIUS + COLDEST, ZERO_CELSIUS + WARMEST, "K")
    warmer = temperature - 288.15
    per_volume = pressure / (GAS_CONSTANT * temperature)
    second = 1.18635e-5 - 3.945e-9 * warmer
    third = -2.937e-11 - 7.243e-14 * warmer
    return 1 + second * per_volume + third * per_volume**2


def cylinder_gas(cylinder: Cylinder, air: Air) -> float:
    """Gas [m³ at the place's pressure and temperature] that a cylinder gives until it is exchanged.

    n = pV/(ZRT) full less n left over, turned back into volume with Z at the place. The ideal-gas answer
    would be a tenth too high at 200 bar.

    >>> round(cylinder_gas(Cylinder(0.010, 200e5), Air()), 2)
    1.81
    """
    amount = [
        pressure / (compressibility(pressure, cylinder.temperature) * cylinder.temperature)
        for pressure in (cylinder.pressure, cylinder.left_over)
    ]
    molar = compressibility(air.pressure, air.temperature) * air.temperature / air.pressure
    return cylinder.water_volume * (amount[0] - amount[1]) * molar


def cylinders_needed(gas: float, cylinder: Cylinder, air: Air, *, loss: float = 0.1) -> CylinderNeed:
    """Cylinders for an amount of gas [m³ at the place].

    loss: share of the gas let out that never gets into a balloon, for bursts and leaks at the nozzle, 0 to 0.9; the
    default is common practice, no source. CraftError for a cylinder that gives nothing.

    >>> cylinders_needed(4.0, Cylinder(0.010, 200e5), Air()).whole
    3
    """
    not_negative("gas", gas, "m³")
    between("loss", loss, 0.0, 0.9, "")
    per_cylinder = cylinder_gas(cylinder, air)
    positive("gas that a cylinder gives", per_cylinder, "m³")
    wanted = gas / (1 - loss)
    exact = wanted / per_cylinder
    return CylinderNeed(wanted, per_cylinder, exact, math.ceil(exact * (1 - 1e-12)))


def float_hours(diameter: float, air: Air) -> tuple[float, float]:
    """Hours that a helium-filled latex round floats, from and to: common practice with temperature and size.

    diameter: sized [m], 9 to 36 in; smaller ones do not float worth promising (CraftError). Below 11 in the
    hours of an 11 are given, which is the best that can be hoped for.
    Table `FLOAT_HOURS`, between its sizes in a straight line, times exp(E/R (1/T - 1/293.15 K)) for warmth
    (`LEAK_ACTIVATION_ENERGY`). Sun, draught and oxidised latex shorten it, treated latex lasts several times
    as long. A promise to a client is the lower figure.

    >>> float_hours(0.2794, Air())
    (12.0, 20.0)
    """
    sizes = np.array(sorted(FLOAT_HOURS), dtype=np.float64) * INCH_M
    between("diameter", diameter, 9 * INCH_M, float(sizes[-1]), "m")
    warmth = math.exp(LEAK_ACTIVATION_ENERGY / GAS_CONSTANT * (1 / air.temperature - 1 / 293.15))
    low, high = (
        float(np.interp(diameter, sizes, [FLOAT_HOURS[size][end] for size in sorted(FLOAT_HOURS)])) * warmth
        for end in (0, 1)
    )
    return low, high
