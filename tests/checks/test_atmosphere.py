"""The standard atmosphere against its published constants, tables and two independent programs.

CoolProp is imported where it is asked, as in ``test_gas``.
"""

from __future__ import annotations

import fluids.atmosphere
import numpy as np
import pytest

from quoting.craft.air import atmosphere

# ICAO Standard Atmosphere, Doc 7488, and U.S. Standard Atmosphere 1976; geopotential height.
ROWS = [  # m, K, Pa, kg/m³
    (0, 288.150, 101325.0, 1.22500),
    (500, 284.900, 95460.8, 1.16727),
    (1000, 281.650, 89874.6, 1.11164),
    (1609.344, 277.689, 83427.6, 1.04662),
    (2000, 275.150, 79495.2, 1.00649),
    (3000, 268.650, 70108.5, 0.90912),
    (5000, 255.650, 54019.9, 0.73612),
]


def standard_air(height: float) -> atmosphere.Air:
    """Dry air of the standard atmosphere at a geopotential height [m].

    Its density follows today's molar gas constant; the tables of 1976 have one lower by 2e-5.
    """
    return atmosphere.Air(atmosphere.standard_temperature(height), atmosphere.standard_pressure(height))


@pytest.mark.parametrize(("height", "temperature", "pressure", "density"), ROWS)
def test_standard_air_is_as_published(
    height: float, temperature: float, pressure: float, density: float
) -> None:
    found = standard_air(height)
    assert found.temperature == pytest.approx(temperature, abs=6e-4)
    assert found.pressure == pytest.approx(pressure, abs=0.06)
    assert found.density == pytest.approx(density, rel=3e-5)


@pytest.mark.parametrize("geometric", [-400.0, 0.0, 250.0, 1000.0, 1500.0, 2500.0, 4900.0])
def test_standard_air_agrees_with_the_fluids_library_at_geometric_heights(geometric: float) -> None:
    reference = fluids.atmosphere.ATMOSPHERE_1976(geometric)
    found = standard_air(atmosphere.geopotential_height(geometric))
    assert found.temperature == pytest.approx(reference.T, rel=1e-6)
    assert found.pressure == pytest.approx(reference.P, rel=1e-6)
    assert found.density == pytest.approx(reference.rho, rel=3e-5)


def test_a_kilometre_by_the_map_reads_as_in_the_printed_table() -> None:
    """U.S. Standard Atmosphere 1976, geometric 1000 m: 8.9876e4 Pa, 1.1117 kg/m³ (table value from
    memory)."""
    found = standard_air(atmosphere.geopotential_height(1000.0))
    assert found.pressure == pytest.approx(8.9876e4, abs=0.5)
    assert found.density == pytest.approx(
        1.1117, abs=5e-5 + 2e-5 * 1.1117
    )  # the last digit, and the newer constant


@pytest.mark.parametrize(("feet", "psi"), [(0, 14.696), (1000, 14.175), (5000, 12.230), (10_000, 10.108)])
def test_pressure_reads_as_in_a_table_in_feet_and_psi(feet: float, psi: float) -> None:
    """Table of standard atmospheric data after ASHRAE, engineersedge.com, page 15729."""
    pressure = atmosphere.standard_pressure(feet * 0.3048)
    assert pressure / 6894.757 == pytest.approx(psi, abs=3e-3)


def test_vapour_pressure_agrees_with_coolprop_as_closely_as_promised() -> None:
    from CoolProp.CoolProp import PropsSI

    celsius = np.linspace(1, 50, 25)
    reference = PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")
    assert np.abs(atmosphere.saturation_pressure(celsius + 273.15) / reference - 1).max() < 4e-3


def test_geometric_and_geopotential_height_hardly_differ_where_people_live() -> None:
    """Under 0.05 % below 3 km, U.S. Standard Atmosphere 1976."""
    assert atmosphere.geopotential_height(3000.0) == pytest.approx(3000.0, rel=5e-4)
    assert atmosphere.geopotential_height(3000.0) < 3000.0
