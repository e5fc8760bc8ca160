"""What the wind meets of whole set pieces, against statics and areas worked out another way.

Nothing here replaces a structural engineer.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.records import Bouquet, Cover, Design, Frame, Sign, Site
from quoting.craft.site.prep import prep_of, wind_check
from quoting.craft.takeoff.takeoff import take_off

NEWTONS_A_KILOGRAM = 9.80665  # CGPM 1901
SPHERE_DRAG = 0.5  # smooth sphere, Re 1e4 to 2e5: 0.40 to 0.52 (Clift, Grace & Weber 1978)
SLAB_ON_CONCRETE = 0.4  # The Concrete Society, Friction between elements, after BS 5975
WIND_FACTOR, HELPING_WEIGHT, HINDERING_WEIGHT = 1.5, 0.9, 1.1  # EN 1990 Table A1.2(A), set EQU


def bare() -> Design:
    """A design with a palette and nothing else."""
    terrace = load_design(STARTERS / "terrace-frame-bouquets.json")
    return replace(terrace, frames=(), garlands=(), bouquets=(), florals=(), signs=())


def bouquets_alone(count: int, size_in: int, sized_m: float, gust: float) -> Design:
    """One bouquet in the open, without anything else."""
    bouquet = Bouquet(id="b", count=count, size_in=size_in, sized_m=sized_m)
    return replace(bare(), site=Site(outdoors=True, gust_m_s=gust), bouquets=(bouquet,))


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


def tipping_moment(design: Design) -> float:
    """What a piece without balloons takes at 10 m/s, about the floor [N m]."""
    outdoors = replace(
        design, site=Site(outdoors=True, gust_m_s=10.0), garlands=(), walls=(), bouquets=(), florals=()
    )
    check = wind_check(take_off(outdoors))
    assert check is not None
    return check.tipping_moment


PRESSURE = 62.5  # Pa at 10 m/s, EN 1991-1-4 § 4.5(1)
TUBE, BOARD = (
    1.2,
    1.8,
)  # long cylinder (Aeronautical Engineer's Data Book); signboard (EN 1991-1-4 § 7.4.3(2))


def test_an_open_rectangle_takes_the_moment_of_its_two_uprights_and_its_top_bar() -> None:
    frame = Frame(id="f", shape="rectangle", item="f", label="Frame", width_m=2.0, height_m=2.2, tube_m=0.03)
    uprights, bar = 2 * 2.2 * 0.03 * 1.1, 2.0 * 0.03 * 2.2
    found = tipping_moment(replace(bare(), frames=(frame,)))
    assert found == pytest.approx(PRESSURE * TUBE * (uprights + bar), rel=1e-3)


def test_an_open_arch_takes_the_moment_summed_up_along_its_tube() -> None:
    """Legs of 1.5 m and a half circle of 0.7 m above them, in 100,000 short pieces; the frame stands 0.1 m up."""
    frame = Frame(
        id="f", shape="arch-top", item="f", label="Arch", width_m=1.4, height_m=2.2, tube_m=0.025, base_m=0.1
    )
    turns = (np.arange(100_000) + 0.5) / 100_000 * math.pi
    bow = float((0.1 + 1.5 + 0.7 * np.sin(turns)).sum()) * math.pi / 100_000 * 0.7
    legs = 2 * 1.5 * (0.1 + 0.75)
    found = tipping_moment(replace(bare(), frames=(frame,)))
    assert found == pytest.approx(PRESSURE * TUBE * 0.025 * (bow + legs), rel=1e-3)


def arch_area(width: float, height: float, across: float) -> shapely.geometry.base.BaseGeometry:
    """An arch-top as one box and one half disc."""
    spring = height - width / 2
    disc = shapely.Point(across, spring).buffer(width / 2, 2048)
    box = shapely.box(across - width / 2, 0, across + width / 2, spring)
    return box.union(disc.intersection(shapely.box(across - width, spring, across + width, height + 1)))


@pytest.mark.parametrize("apart", [0.0, 0.3, 0.9, 3.0])
def test_of_covers_that_overlap_the_wind_meets_the_area_once(apart: float) -> None:
    cloth = Cover(item="c", label="Cover", colour="white", hex="#FFFFFF")
    tall = Frame(id="a", shape="arch-top", item="a", label="A", width_m=1.2, height_m=2.2, cover=cloth)
    low = replace(tall, id="b", width_m=1.0, height_m=1.7, x_m=apart, z_m=0.2)
    seen = arch_area(1.2, 2.2, 0.0).union(arch_area(1.0, 1.7, apart))
    found = tipping_moment(replace(bare(), frames=(tall, low)))
    assert found == pytest.approx(PRESSURE * BOARD * seen.area * seen.centroid.y, rel=1e-3)


def test_a_sign_before_a_cover_adds_only_what_stands_out_past_it() -> None:
    cloth = Cover(item="c", label="Cover", colour="white", hex="#FFFFFF")
    frame = Frame(id="a", shape="panel", item="a", label="A", width_m=1.0, height_m=2.0, cover=cloth)
    sign = Sign(item="s", label="Sign", text="Hi", width_m=0.6, height_m=0.4, x_m=0.5, y_m=1.5, frame="a")
    found = tipping_moment(replace(bare(), frames=(frame,), signs=(sign,)))
    assert found == pytest.approx(PRESSURE * BOARD * (2.0 * 1.0 + 0.3 * 0.4 * 1.5), rel=1e-3)


@pytest.mark.parametrize("name", ["terrace-frame-bouquets", "garland-nested-arches", "ring-half-moon"])
def test_a_garland_is_met_at_the_middle_of_what_it_shows(name: str) -> None:
    """The outline as a union of discs; what the frames take is taken off by a design without balloons."""
    design = replace(
        load_design(STARTERS / f"{name}.json"), site=Site(outdoors=True, gust_m_s=10.0), bouquets=()
    )
    whole, b = take_off(design), take_off(design).balloons
    discs = [shapely.Point(x, y).buffer(r, 64) for x, y, r in zip(b.x, b.y, b.radius, strict=True)]
    seen = shapely.unary_union(discs)
    check = wind_check(whole)
    assert check is not None
    garland = check.tipping_moment - tipping_moment(design)
    assert garland == pytest.approx(PRESSURE * 1.2 * seen.area * seen.centroid.y, rel=2e-3)
