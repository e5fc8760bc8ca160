"""What the wind meets of whole set pieces, against statics and areas worked out another way.

Nothing here replaces a structural engineer.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.records import Bouquet, Design, Site
from quoting.craft.site.prep import prep_of
from quoting.craft.takeoff.takeoff import take_off

NEWTONS_A_KILOGRAM = 9.80665  # CGPM 1901
SPHERE_DRAG = 0.5  # smooth sphere, Re 1e4 to 2e5: 0.40 to 0.52 (Clift, Grace & Weber 1978)
SLAB_ON_CONCRETE = 0.4  # The Concrete Society, Friction between elements, after BS 5975
WIND_FACTOR, HELPING_WEIGHT, HINDERING_WEIGHT = 1.5, 0.9, 1.1  # EN 1990 Table A1.2(A), set EQU


def bouquets_alone(count: int, size_in: int, sized_m: float, gust: float) -> Design:
    """One bouquet in the open, without anything else."""
    terrace = load_design(STARTERS / "terrace-frame-bouquets.json")
    bouquet = Bouquet(id="b", count=count, size_in=size_in, sized_m=sized_m)
    site = Site(outdoors=True, gust_m_s=gust)
    return replace(terrace, site=site, frames=(), garlands=(), bouquets=(bouquet,), sign=None)


def drag_of_spheres(count: int, diameter: float, gust: float) -> float:
    """Force [N]: pressure of EN 1991-1-4 eq. 4.10 over each disc, the disc summed up in thin strips."""
    pressure = 1.25 * gust * gust / 2
    heights = (np.arange(20_000) + 0.5) / 20_000 * diameter - diameter / 2
    disc = float((2 * np.sqrt((diameter / 2) ** 2 - heights**2)).sum() * diameter / 20_000)
    return count * SPHERE_DRAG * pressure * disc


@pytest.mark.parametrize(
    ("count", "size_in", "sized_m", "gust"), [(7, 11, 0.2667, 9.0), (7, 11, 0.2667, 12.0), (3, 36, 0.86, 8.0)]
)
def test_the_weight_of_a_bouquet_in_the_open_neither_slides_nor_lifts(
    count: int, size_in: int, sized_m: float, gust: float
) -> None:
    (check,) = prep_of(take_off(bouquets_alone(count, size_in, sized_m, gust))).bouquets
    drag, lift = drag_of_spheres(count, sized_m, gust), check.lift.net_lift * NEWTONS_A_KILOGRAM

    def grips(kilograms: float) -> bool:
        pressed = HELPING_WEIGHT * kilograms * NEWTONS_A_KILOGRAM - HINDERING_WEIGHT * lift
        return SLAB_ON_CONCRETE * pressed >= WIND_FACTOR * drag

    assert grips(check.lift.weight_needed)
    assert not grips(0.9 * check.lift.weight_needed), "and it asks for no more than a tenth too much"
    assert check.lift.weight_needed > 2, "kilograms, not grams"


def test_indoors_a_bouquet_needs_what_its_lift_asks_for() -> None:
    outdoors = bouquets_alone(7, 11, 0.2667, 9.0)
    (check,) = prep_of(take_off(replace(outdoors, site=Site()))).bouquets
    assert check.lift.weight_needed == pytest.approx(1.5 * check.lift.net_lift)
    assert math.isclose(check.lift.weight_needed, 0.07, abs_tol=0.03)
