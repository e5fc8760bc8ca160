"""The air around a set piece: pressure, temperature, moisture and density, and how they change with height.

Symbols follow the U.S. Standard Atmosphere 1976, which is the ICAO Standard Atmosphere (Doc 7488) below 32
km.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from studio.trade.ranges import Number, between

GAS_CONSTANT = 8.314462618
"""Molar gas constant [J/(mol K)], exact in the SI of 2019 to the digits given."""
MOLAR_MASS_AIR = 0.0289644
"""Molar mass of dry air [kg/mol]. Source: U.S. Standard Atmosphere 1976."""
MOLAR_MASS_WATER = 0.01801528
"""Molar mass of water [kg/mol]. Source: IUPAC atomic weights, 2 x 1.00797 + 15.99934; from memory."""
AIR_GAS_CONSTANT = 287.05287
"""Specific gas constant of dry air [J/(kg K)]. Source: ICAO Doc 7488."""
GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s²]. Source: CGPM 1901."""
EARTH_RADIUS = 6_356_766.0
"""Radius used to turn geometric into geopotential height [m]. Source: U.S. Standard Atmosphere 1976."""

# Source: ICAO Doc 7488, as the U.S. Standard Atmosphere 1976; K, Pa, K/m. 0 °C is exact.
SEA_LEVEL_TEMPERATURE = 288.15
SEA_LEVEL_PRESSURE = 101_325.0
LAPSE_RATE = 0.0065
ZERO_CELSIUS = 273.15

# Settings: what is taken as possible where people and balloons are.
LOWEST_HEIGHT = -500.0
HIGHEST_HEIGHT = 5_000.0
"""Heights [m] between which studios work: from the shore of the Dead Sea to above the highest towns.
The formula itself holds to 11 km."""
COLDEST, WARMEST = -40.0, 60.0
"""Air temperatures [°C] taken as possible where people and balloons are (settings)."""


@dataclass(frozen=True)
class Air:
    """The air at a place: temperature [K], pressure [Pa], relative humidity [0 to 1].

    Make one with `air_at`, which takes what people know: degrees Celsius and metres above the sea.
    """

    temperature: float = ZERO_CELSIUS + 20.0
    pressure: float = SEA_LEVEL_PRESSURE
    humidity: float = 0.0

    def __post_init__(self) -> None:
        between("temperature", self.temperature, ZERO_CELSIUS + COLDEST, ZERO_CELSIUS + WARMEST, "K")
        between("pressure", self.pressure, 50_000.0, 110_000.0, "Pa")
        between("relative humidity", self.humidity, 0.0, 1.0, "")

    @property
    def density(self) -> float:
        """Density of this air [kg/m³]; see `air_density`."""
        return float(air_density(self.temperature, self.pressure, self.humidity))


def air_at(*, celsius: float = 20.0, height: float = 0.0, humidity: float = 0.0) -> Air:
    """Air of a known temperature at a height above the sea.

    celsius: air temperature [°C], -40 to 60.
    height: geometric height above the sea [m], -500 to 5000.
    humidity: relative humidity, 0 to 1.

    The pressure is that of the standard atmosphere at the height; weather moves it by some 3 % either way,
    which moves a diameter by 1 %. Raises CraftError outside the ranges.

    >>> air = air_at(celsius=30.0, height=1600.0)
    >>> round(air.temperature, 2), round(air.pressure)
    (303.15, 83528)
    """
    between("temperature", celsius, COLDEST, WARMEST, "°C")
    return Air(celsius + ZERO_CELSIUS, standard_pressure(geopotential_height(height)), humidity)


def geopotential_height(geometric: Number) -> Number:
    """Geopotential height H [m] of a geometric height Z [m], scalar or array: H = rZ/(r+Z).

    Source: U.S. Standard Atmosphere 1976, eq. 18, r = 6356766 m. Below 3 km the two differ by under 0.05 %.

    >>> round(geopotential_height(3000.0), 1)
    2998.6
    """
    return EARTH_RADIUS * geometric / (EARTH_RADIUS + geometric)


def standard_temperature(height: Number) -> Number:
    """Temperature [K] at a geopotential height [m], scalar or array: T = 288.15 - 0.0065 H.

    Valid from -500 to 5000 m (CraftError outside). Source: ICAO Doc 7488 (1993).

    >>> standard_temperature(1000.0)
    281.65
    """
    between("height", height, LOWEST_HEIGHT, HIGHEST_HEIGHT, "m")
    return SEA_LEVEL_TEMPERATURE - LAPSE_RATE * height


def standard_pressure(height: Number) -> Number:
    """Pressure [Pa] at a geopotential height [m], scalar or array: p = p0 (T/T0)^(g/(R L)).

    Valid from -500 to 5000 m (CraftError outside). Source: ICAO Doc 7488 (1993).

    >>> round(standard_pressure(1000.0), 1)
    89874.6
    """
    exponent = GRAVITY / (AIR_GAS_CONSTANT * LAPSE_RATE)
    pressure: Number = SEA_LEVEL_PRESSURE * (standard_temperature(height) / SEA_LEVEL_TEMPERATURE) ** exponent
    return pressure


def air_density(temperature: Number, pressure: Number, humidity: float = 0.0) -> Number:
    """Density of air [kg/m³], an ideal mixture of dry air and water vapour.

    temperature [K] and pressure [Pa], scalars or arrays; humidity: relative, 0 to 1.

    rho = (p_dry M_air + p_vapour M_water) / (R T). Real air at 0 to 25 °C and one atmosphere is denser by
    0.07 % at most (Lemmon et al. 2000).

    >>> round(float(air_density(293.15, 101325.0, 0.5)), 4)
    1.1988
    """
    vapour = humidity * saturation_pressure(temperature)
    return (MOLAR_MASS_AIR * (pressure - vapour) + MOLAR_MASS_WATER * vapour) / (GAS_CONSTANT * temperature)


def saturation_pressure(temperature: Number) -> Number:
    """Vapour pressure [Pa] over water at a temperature [K], scalar or array.

    Magnus form 610.94 exp(17.625 t / (t + 243.04)), t in °C, within 0.4 % from -40 to 50 °C.
    Source: Alduchov & Eskridge 1996, doi:10.1175/1520-0450(1996)035<0601:IMFAOS>2.0.CO;2.

    >>> round(float(saturation_pressure(293.15)))
    2333
    """
    celsius = temperature - ZERO_CELSIUS
    pressure: Number = 610.94 * np.exp(17.625 * celsius / (celsius + 243.04))
    return pressure
