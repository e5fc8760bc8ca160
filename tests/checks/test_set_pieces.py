"""Set pieces against handbooks, reference libraries and the trade's rules of thumb."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Polygon, contains_xy

from quoting.craft.design.frames import (
    face,
    is_inside,
    outline,
    outline_length_m,
)
from quoting.craft.design.records import Design, Frame, Leg, MixEntry
from quoting.craft.design.routes import route_of
from quoting.craft.geometry.packing import stack
from quoting.craft.geometry.silhouette import silhouette_of_faces
from quoting.craft.settle.laying import routes_of
from quoting.craft.settle.relax import COMPRESSION
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import starter, straight_garland, worked

SHAPES = ("arch-top", "rectangle", "ring", "part-ring", "half-arch", "panel", "free")


def frame(shape: str, width_m: float = 1.4, height_m: float = 2.2) -> Frame:
    points = ((-0.7, 0.0), (-0.5, 1.4), (0.1, 2.2), (0.7, 1.0), (0.6, 0.0))
    return Frame(
        id="one",
        shape=shape,
        item="frame",
        label="Frame",
        width_m=width_m,
        height_m=height_m,
        x_m=0.3,
        points=points,
    )


@pytest.mark.parametrize("shape", SHAPES)
def test_outline_lengths_agree_with_shapely(shape: str) -> None:
    line = LineString(outline(frame(shape)).points)
    assert outline_length_m(frame(shape)) == pytest.approx(line.length, rel=2e-4)


@pytest.mark.parametrize("shape", SHAPES)
def test_areas_and_middles_of_faces_agree_with_shapely(shape: str) -> None:
    polygon = Polygon(face(frame(shape)))
    found = silhouette_of_faces([face(frame(shape))])
    assert found.area == pytest.approx(polygon.area, rel=1e-3)
    assert found.middle == pytest.approx(polygon.centroid.y, rel=1e-3)


@pytest.mark.parametrize("shape", SHAPES)
def test_what_lies_inside_agrees_with_shapely(shape: str) -> None:
    polygon = face(frame(shape))
    points = np.random.default_rng(1).uniform([-0.8, -0.3], [1.4, 2.6], (3000, 2))
    assert np.array_equal(is_inside(points, polygon), contains_xy(Polygon(polygon), points))


def test_legs_plus_semicircle() -> None:
    """Width 2.4, height 2.4: 2(h - w/2) + pi w/2 = 6.169911 m, elementary geometry."""
    assert outline_length_m(frame("arch-top", 2.4, 2.4)) == pytest.approx(6.169911, abs=1e-6)


def test_perimeter_of_an_ellipse() -> None:
    """a = 10, b = 5 cm scaled: P = 4aE(e2) = 48.442241; S. Ramanujan 1914 gives the same to six digits."""
    assert outline_length_m(frame("ring", 2.0, 1.0)) == pytest.approx(48.442241 / 10, abs=1e-6)


def test_a_hanging_leg_is_as_long_as_the_catenary_of_the_textbook() -> None:
    """Through (-10, 6) and (10, 6), lowest point 0: length 2a sinh(10/a) = 24.18824 with a = 9.1889.

    Exercise of a MATLAB course, recomputed in closed form. Rounding the line for the balloons shortens it a little.
    """
    base = straight_garland(3.0).garlands[0]
    garland = replace(base, route=(Leg(kind="hang", points=((-10.0, 16.0), (10.0, 16.0)), sag_m=6.0),))
    assert route_of(garland, (), ball_m=0.23).length_m == pytest.approx(24.18824, rel=1e-3)


def test_layers_of_four_rise_by_the_published_height() -> None:
    """2^(-1/4) d: Mughal, Chan, Weaire, Hutzler, Phys. Rev. E 85, 051305 (2012), recomputed from contacts."""
    rise = stack(4, 1.0).rise
    assert rise == pytest.approx(math.sqrt(1 - (2 * math.sqrt(0.5) * math.sin(math.radians(22.5))) ** 2))
    assert rise == pytest.approx(0.840896, abs=1e-6)


def test_a_settled_garland_is_never_denser_than_the_densest_packing() -> None:
    """Hard cores (radii times the compression limit) cannot fill more than pi/sqrt(18) of space (Hales 2005).

    Counted in boxes well inside the garland by points at random.
    """
    b = take_off(straight_garland(6.0)).balloons
    rng = np.random.default_rng(2)
    points = rng.uniform([1.0, 1.42, -0.02], [5.0, 1.58, 0.20], (20_000, 3))
    gap = np.linalg.norm(points[:, None] - b.centres[None], axis=2)
    filled = (gap < COMPRESSION * b.radius[None]).any(axis=1).mean()
    assert 0.35 < filled < math.pi / math.sqrt(18)


def per_foot(design: Design) -> float:
    return take_off(design).dimensions.balloons_per_foot


ORGANIC = [
    "ceiling-swags", "column-wound", "garland-nested-arches", "half-arch-doorway", "ring-and-panel", "ring-half-moon",
    "stage-three-frames", "table-garland", "terrace-frame-bouquets",
]  # fmt: skip


@pytest.mark.parametrize("name", ORGANIC)
def test_an_organic_garland_takes_what_the_trade_expects(name: str) -> None:
    """12 to 16 balloons a foot, fillers included: common practice, no source.

    The depth to which a gap counts as covered was chosen on these designs, so that this holds what was set; whether the
    trade's figure comes out elsewhere is asked of the garlands below, which nothing was chosen on.
    """
    assert 12 <= worked(name).dimensions.balloons_per_foot <= 16


def test_a_straight_garland_takes_what_the_trade_expects_whatever_its_seed() -> None:
    """12 to 16 balloons a foot, fillers included: common practice, no source."""
    lengths = [per_foot(replace(straight_garland(4.0), seed=seed)) for seed in range(4)]
    assert 12 <= float(np.mean(lengths)) <= 16


@pytest.mark.parametrize("seed", range(6))
def test_a_garland_that_nothing_was_chosen_on_takes_what_the_trade_expects(seed: int) -> None:
    """11s sized 8 to 10 in, mixed, a 17 in some of the quads: 12 to 16 a foot; common practice, no source.

    These six are the first of a long row in which one in fifteen lies outside: python -m tests.faults.shapes.
    """
    assert 12 <= per_foot(random_garland(np.random.default_rng([seed, 12]))) <= 16


def random_garland(rng: np.random.Generator) -> Design:
    """Other sizes, shares and ways than those of the starters, within the trade's rules of thumb."""
    share = rng.uniform(0.06, 0.15)
    low, high = rng.uniform(8.0, 8.6) * 0.0254, rng.uniform(9.2, 10.0) * 0.0254
    mix = (
        MixEntry(size_in=11, role="body", sized_low_m=low, sized_high_m=high, share=1 - share),
        MixEntry(size_in=17, role="round", sized_low_m=0.33, sized_high_m=0.38, share=share),
        MixEntry(size_in=5, role="filler", sized_low_m=0.1143, sized_high_m=0.1143),
    )
    wide = float(rng.uniform(2.4, 4.0))
    ways = (
        Leg(kind="through", points=((0.0, 1.5), (wide, 1.5))),
        Leg(kind="through", points=((0.0, 0.6), (0.3, 1.8), (1.4, 2.3), (wide, 2.2))),
        Leg(kind="hang", points=((0.0, 2.4), (wide, 2.4)), sag_m=float(rng.uniform(0.3, 0.7))),
    )
    base = straight_garland(3.0)
    garland = replace(base.garlands[0], mix=mix, route=(ways[int(rng.integers(3))],))
    return replace(base, seed=int(rng.integers(1_000_000)), garlands=(garland,))


@pytest.mark.parametrize("name", ["classic-columns", "classic-arch"])
def test_classic_work_takes_what_the_trade_expects(name: str) -> None:
    """Columns and arches of 11s at 9 in: six to eight balloons a foot: common practice, no source."""
    assert 6 <= worked(name).dimensions.balloons_per_foot <= 8


def test_a_garland_over_two_nested_arches_takes_four_clips_along_them() -> None:
    """Four ties on the arches themselves, more where the garland crosses and turns: common practice, no source."""
    (route,) = routes_of(starter("garland-nested-arches"))
    ties = worked("garland-nested-arches").rigging.ties
    legs = [int(route.legs[np.searchsorted(route.along, tie.station_m)]) for tie in ties]
    assert [leg >= 0 for leg in legs].count(True) == 4
    assert all(tie.frame for tie in ties), "nothing is tied to the air"


def test_fillers_are_made_of_eight() -> None:
    """Two quads of 5s joined by half a 260: common practice, no source."""
    takeoff = worked("garland-nested-arches")
    fives = sum(n for (size, _), n in takeoff.counts.items() if size == 5)
    assert fives % 8 == 0
    assert fives > 0
    assert starter("garland-nested-arches").loss == pytest.approx(0.07)  # 5 to 10 %
