"""Wind pressure, drag, tipping and ballast against standards and worked examples.

Nothing here replaces a structural engineer.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from quoting.craft.air import wind
from quoting.craft.air.atmosphere import GRAVITY
from quoting.craft.geometry import silhouette

POUND = 0.45359237
POUND_FORCE = POUND * GRAVITY
FOOT = 0.3048

# EN 1991-1-4 § 4.5(1); the first row in Steel Buildings in Europe, Single-storey part 3, Appendix B.
PRESSURES = [(26, 422.5), (8, 40.0), (10, 62.5), (15, 140.625), (20, 250.0)]  # m/s, Pa


@pytest.mark.parametrize(("speed", "pressure"), PRESSURES)
def test_velocity_pressure_is_the_eurocodes(speed: float, pressure: float) -> None:
    assert wind.velocity_pressure(speed) == pytest.approx(pressure)


def test_velocity_pressure_agrees_with_the_american_constant() -> None:
    """ASCE 7: 0.613 V² in N/m² and m/s, 0.00256 V² in lb/ft² and mph (0.613 from memory); 70 mph give 12.544
    psf."""
    assert wind.velocity_pressure(1.0, 1.2256) == pytest.approx(0.613, rel=1e-3)
    mph = 1609.344 / 3600
    psf = wind.velocity_pressure(70 * mph, 1.2256) * FOOT**2 / POUND_FORCE
    assert psf == pytest.approx(12.544, rel=1e-3)


def test_the_force_on_a_signboard_is_that_of_the_worked_example() -> None:
    """Eurocode signboard design example (scribd 179494512): board 5 m x 7 m, gap 1.5 m; qp 1.6107 kN/m² at the middle,
    force 101.48 kN with cf 1.80 (EN 1991-1-4 § 7.4.3(2))."""
    board = wind.WindPart(35.0, 5.0, wind.FORCE_COEFFICIENT[wind.Shape.SIGN])
    stand = wind.Stand(mass=1e5, arm=2.0, ballast_arm=2.0, friction=0.4)
    gust = math.sqrt(2 * 1610.7 / wind.AIR_DENSITY)
    assert wind.stand_in_wind([board], stand, gust).force == pytest.approx(101.48e3, rel=3e-4)


def test_a_sign_in_the_wind_tips_and_needs_the_weight_of_the_statics_exercise() -> None:
    """Published exercise, moments about the base edge: 40 lb on an 18-in square base, 13.2 lb of wind at 6
    ft; it tips, and 65.6 lb on the base hold it."""
    force = 13.2 * POUND_FORCE
    part = wind.WindPart(area=force / wind.velocity_pressure(10.0), height=6 * FOOT, coefficient=1.0)
    stand = wind.Stand(mass=40 * POUND, arm=0.75 * FOOT, ballast_arm=0.75 * FOOT, friction=1.0)
    check = wind.stand_in_wind([part], stand, 10.0, safety_factor=1.0)
    assert check.tipping_factor < 1
    assert check.tipping_speed < 10.0
    assert check.ballast / POUND == pytest.approx(65.6, abs=0.05)


def test_a_board_on_two_poles_takes_the_drag_of_the_fluid_mechanics_exercise() -> None:
    """scribd 812707338, with White's table 7.3: board 5 m x 1 m, top 5 m up, Cd 1.2; two poles 4 m by 0.40 m,
    Cd 0.82; 10 km/h, 1.2 kg/m³. Drag 27.78 N and 6.08 N each, moment at the foot 149.3 N m with the board at
    4.5 m."""
    board = wind.WindPart(5.0, 4.5, 1.2)
    pole = wind.WindPart(4.0 * 0.4, 2.0, 0.82)
    stand = wind.Stand(mass=100.0, arm=0.5, ballast_arm=0.5, friction=0.4)
    alone = wind.stand_in_wind([board], stand, 10 / 3.6, density=1.2)
    whole = wind.stand_in_wind([board, pole, pole], stand, 10 / 3.6, density=1.2)
    assert alone.force == pytest.approx(27.78, abs=0.005)
    assert (whole.force - alone.force) / 2 == pytest.approx(6.08, abs=0.01)
    assert whole.tipping_moment == pytest.approx(149.3, abs=0.1)


def test_a_covered_frame_is_not_taken_lighter_than_a_flat_plate() -> None:
    """NASA Glenn Research Center, Shape Effects on Drag: flat plate 1.28; EN 1991-1-4 § 7.4.3(2): 1.80."""
    assert wind.FORCE_COEFFICIENT[wind.Shape.PANEL] == 1.80 > 1.28


@pytest.mark.parametrize("wide", [1.01, 1.5, 2.0, 3.0])
def test_a_covered_frame_wider_than_high_is_not_taken_lighter_than_a_boundary_wall(wide: float) -> None:
    """EN 1991-1-4 Table 7.9, from memory: no return corners, solid, 2.3 over 0.3 h from the end, 1.4 to 2 h, 1.2."""
    zones = ((0.0, 0.3, 2.3), (0.3, 2.0, 1.4), (2.0, 4.0, 1.2))
    mean = sum(max(0.0, min(wide, end) - start) * factor for start, end, factor in zones) / wide
    assert 1.2 < mean < wind.FORCE_COEFFICIENT[wind.Shape.PANEL]


def test_the_default_safety_factor_is_the_eurocodes_for_losing_balance() -> None:
    """EN 1990 Table A1.2(A): 1.50 on wind over 0.90 on helping dead weight."""
    assert pytest.approx(1.50 / 0.90) == wind.SAFETY_FACTOR


LEAST_FRICTION = [  # sole, ground, the lowest published value, source
    ("concrete", "concrete", 0.4, "Pallett, Gorst, Clark & Thomas, Concrete 36(6), 2002, lowest measured"),
    ("concrete", "concrete", 0.5, "EN 12812:2004 Annex A, minimum; after research in Germany"),
    ("steel", "concrete", 0.1, "Pallett et al. 2002, plain unrusted steel on cast concrete, lowest measured"),
    ("steel", "concrete", 0.3, "EN 12812:2004 Annex A, minimum"),
    ("timber", "concrete", 0.7, "Pallett et al. 2002, timber across the grain, lowest measured"),
    ("timber", "concrete", 0.8, "EN 12812:2004 Annex A, minimum"),
    ("timber", "timber", 0.4, "EN 13814 friction table, from memory"),
    ("timber", "steel", 0.4, "EN 13814 friction table, from memory"),
    ("steel", "timber", 0.4, "EN 13814 friction table, from memory"),
    ("steel", "steel", 0.1, "EN 13814 friction table, from memory"),
]


@pytest.mark.parametrize(("sole", "ground", "least", "source"), LEAST_FRICTION)
def test_friction_is_never_taken_above_the_lowest_published(
    sole: str, ground: str, least: float, source: str
) -> None:
    """The values of 2002 and of EN 12812 as The Concrete Society quotes them, Friction between elements,
    concrete.org.uk, document 833."""
    assert 0 < wind.FRICTION[sole, ground] <= least, source


def test_every_pair_of_sole_and_ground_has_a_published_value() -> None:
    assert set(wind.FRICTION) == {(sole, ground) for sole, ground, _, _ in LEAST_FRICTION}


@pytest.mark.parametrize("gust", [6.0, 9.0, 14.0])
def test_a_ballasted_board_is_held_by_the_sum_of_moments_of_the_eurocode(gust: float) -> None:
    """EN 1990 Table A1.2(A), set EQU, term by term: 0.90 on each weight that helps, 1.50 on the wind."""
    board = wind.WindPart(1.2, 1.4, 1.8)
    stand = wind.Stand(mass=9.0, arm=0.3, ballast_arm=0.25, friction=0.4)
    kilograms = wind.stand_in_wind([board], stand, gust).ballast_for_tipping
    helps = 0.90 * GRAVITY * (9.0 * 0.3 + kilograms * 0.25)
    tips = 1.50 * (1.25 / 2 * gust**2) * 1.8 * 1.2 * 1.4
    assert kilograms > 0
    assert helps == pytest.approx(tips)


@pytest.mark.parametrize("seed", range(5))
def test_the_silhouette_of_a_heap_is_the_union_that_shapely_finds(seed: int) -> None:
    random = np.random.default_rng(seed)
    centres = random.uniform(0, 1.5, (60, 2))
    radii = random.choice([0.06, 0.12, 0.2], 60)
    discs = [
        shapely.Point(*centre).buffer(radius, 256) for centre, radius in zip(centres, radii, strict=True)
    ]
    union = shapely.unary_union(discs)
    found = silhouette.silhouette_of_balloons(centres, radii)
    assert found.area == pytest.approx(union.area, rel=3e-5)
    assert found.middle == pytest.approx(union.centroid.y, rel=3e-5)
