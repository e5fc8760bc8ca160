"""Rings of balloons against the literature on columnar packings of equal spheres.

Mughal, Chan, Weaire & Hutzler 2012, doi:10.1103/PhysRevE.85.051305; Pickett, Gross & Okuyama 2000,
doi:10.1103/PhysRevLett.85.3652.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial.distance import cdist, pdist

from quoting.craft.geometry import packing
from studio.trade import packing as van

TURNED = [  # balloons a ring, D/d, rise/d, spheres a length of d, density
    (2, 2.000000, 0.707107, 2.828427, 0.471405),
    (4, 2.414214, 0.840896, 4.756828, 0.544095),
    (5, 2.701302, 0.850651, 5.877853, 0.537009),
]
STRAIGHT = [(4, 2.414214, 1.0, 4.0, 0.457528), (5, 2.701302, 1.0, 5.0, 0.456807)]

KEPLER = math.pi / math.sqrt(18)
"""Densest packing of equal spheres: Kepler; Hales 2005."""


def column(height: float, rings: packing.Stack) -> packing.ClassicPiece:
    """A wall as wide as one column."""
    return packing.wall(rings.outer_diameter, height, rings)


@pytest.mark.parametrize(("per_ring", "tube", "rise", "per_length", "density"), TURNED)
def test_turned_rings_are_the_published_packings(
    per_ring: int, tube: float, rise: float, per_length: float, density: float
) -> None:
    rings = packing.stack(per_ring, 1.0)
    assert rings.outer_diameter == pytest.approx(tube, abs=1e-6)
    assert rings.rise == pytest.approx(rise, abs=1e-6)
    assert rings.per_metre == pytest.approx(per_length, abs=1e-6)
    assert rings.density == pytest.approx(density, abs=1e-6)


@pytest.mark.parametrize(("per_ring", "tube", "rise", "per_length", "density"), STRAIGHT)
def test_rings_straight_above_each_other_are_looser(
    per_ring: int, tube: float, rise: float, per_length: float, density: float
) -> None:
    rings = packing.stack(per_ring, 1.0, turned=False)
    assert rings.outer_diameter == pytest.approx(tube, abs=1e-6)
    assert rings.rise == pytest.approx(rise)
    assert rings.per_metre == pytest.approx(per_length)
    assert rings.density == pytest.approx(density, abs=1e-6)
    assert rings.density < packing.stack(per_ring, 1.0).density


def test_single_balloons_stand_straight_and_fill_two_thirds_of_their_tube() -> None:
    """D/d = 1: rise d, density 2/3."""
    assert packing.stack(1, 1.0).density == pytest.approx(2 / 3)


@pytest.mark.parametrize("per_ring", range(1, 7))
def test_no_balloon_of_a_column_overlaps_another(per_ring: int) -> None:
    """Checked point by point, every pair."""
    piece = column(6.0, packing.stack(per_ring, 1.0))
    assert pdist(piece.centres).min() == pytest.approx(1.0, abs=1e-9)


def test_a_balloon_inside_a_column_of_quads_touches_six_others() -> None:
    """2^(-1/4) packing: two in its own ring, two above, two below."""
    piece = column(8.0, packing.stack(4, 1.0))
    touching = (cdist(piece.centres, piece.centres) < 1.0 + 1e-9).sum(axis=1) - 1
    inside = (piece.ring > 0) & (piece.ring < piece.ring.max())
    assert set(touching[inside].tolist()) == {6}


@pytest.mark.parametrize("per_ring", range(1, 7))
@pytest.mark.parametrize("turned", [True, False])
def test_no_column_is_denser_than_spheres_can_be(per_ring: int, turned: bool) -> None:
    assert packing.stack(per_ring, 0.23, turned=turned).density < KEPLER


@pytest.mark.parametrize("per_ring", [2, 3, 4, 5])
def test_a_wall_overlaps_nowhere_and_its_columns_touch(per_ring: int) -> None:
    """Checked point by point; no wall is denser than spheres can be (Hales 2005)."""
    rings = packing.stack(per_ring, 1.0)
    wall = packing.wall(9.0, 9.0, rings)
    assert pdist(wall.centres).min() >= 1.0 - 1e-9
    first, second = wall.centres[wall.column == 0], wall.centres[wall.column == 1]
    assert cdist(first, second).min() == pytest.approx(1.0, abs=1e-9)
    reach = wall.centres.max(axis=0) - wall.centres.min(axis=0) + 1.0
    assert wall.count * math.pi / 6 / float(np.prod(reach)) < KEPLER


def test_a_column_of_elevens_at_nine_inches_takes_what_the_trade_counts() -> None:
    """Common practice, no source: a classic column or arch of 11s at 9 in takes six to eight balloons a foot.

    Snug quads give a little where they touch; without any give they come to 6.3.
    """
    per_foot = packing.stack(4, 9 * 0.0254).per_metre * 0.3048
    squeezed = packing.stack(4, 9 * 0.0254, squeeze=0.1).per_metre * 0.3048
    assert 6.0 <= per_foot <= squeezed <= 8.0


def test_packed_balloons_are_never_denser_than_balls_shaken_down() -> None:
    """Random close packing 0.64 ± 0.02: Berryman, Phys. Rev. A 27, 1053 (1983)."""
    assert van.LOOSE_PACKING <= 0.64
    balls = 100 * math.pi / 6 * (11 * 0.0254 * van.SIZED_SHARE) ** 3
    assert van.packed_rounds(11, 100).volume_m3 >= balls / 0.64
