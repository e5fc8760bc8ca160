"""Laws of classic work: counts and contacts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.distance import pdist

from quoting.craft.geometry import catenary, packing, polyline
from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray

rings_of = st.integers(1, 6)
diameters = st.floats(0.1, 0.4)


def column(height: float, rings: packing.Stack) -> packing.ClassicPiece:
    """A wall as wide as one column."""
    return packing.wall(rings.outer_diameter, height, rings)


def arch(width: float, height: float, steps: int) -> FloatArray:
    """A half ellipse [m] in even steps of its angle, (steps, 2)."""
    angle = np.linspace(math.pi, 0.0, steps)
    return np.column_stack([width / 2 * np.cos(angle), height * np.sin(angle)])


def arch_on_legs() -> FloatArray:
    """Legs of 1.5 m with a half circle of 1.5 m on top, (2000, 2)."""
    half_circle = np.add(arch(3.0, 1.5, 1900), [0.0, 1.5])
    legs = np.linspace([-1.5, 0.0], [-1.5, 1.5], 50, endpoint=False)
    return np.concatenate([legs, half_circle, legs[::-1] * [-1, 1]])


def bend_squeeze(rings: packing.Stack, bend_radius: float) -> float:
    """Share of the diameter by which balloons overlap at the inside of a bend [m], the worst over all ways to face."""
    closest = rings.contact
    for face in np.linspace(0.0, 2 * math.pi / rings.per_ring, 24, endpoint=False).tolist():
        here, *following = (bent(rings, step, face, bend_radius) for step in range(3))
        for there in following:
            closest = min(closest, float(np.linalg.norm(here[:, None] - there[None], axis=2).min()))
    return 1 - closest / rings.diameter


def bent(rings: packing.Stack, step: int, face: float, bend_radius: float) -> FloatArray:
    """Middles of one ring on an axis bent to a circle, (per_ring, 3)."""
    angle = face + 2 * math.pi * np.arange(rings.per_ring) / rings.per_ring + rings.turn * step
    swing = step * rings.rise / bend_radius
    out = bend_radius + rings.ring_radius * np.cos(angle)
    return np.column_stack([out * math.cos(swing), rings.ring_radius * np.sin(angle), out * math.sin(swing)])


@given(rings_of, diameters, st.floats(0.5, 8), st.floats(0, 8))
def test_a_taller_column_never_needs_fewer_balloons(
    per_ring: int, diameter: float, height: float, taller: float
) -> None:
    rings = packing.stack(per_ring, diameter)
    assert column(height + taller, rings).count >= column(height, rings).count


@given(rings_of, diameters, st.floats(0.5, 5))
def test_a_column_reaches_its_height_with_no_ring_to_spare_and_stands_on_the_floor(
    per_ring: int, diameter: float, height: float
) -> None:
    rings = packing.stack(per_ring, diameter)
    up = column(height, rings).centres[:, 2]
    assert up.min() == pytest.approx(diameter / 2)
    assert up.max() + diameter / 2 >= min(height, 1e9) - 1e-6
    assert up.max() + diameter / 2 - rings.rise < max(height, diameter)


@given(rings_of, diameters, st.floats(0.5, 5), st.floats(0.1, 10))
def test_scaling_every_length_scales_no_count(
    per_ring: int, diameter: float, height: float, scale: float
) -> None:
    small = column(height, packing.stack(per_ring, diameter))
    large = column(height * scale, packing.stack(per_ring, diameter * scale))
    assert large.count == small.count
    assert large.centres == pytest.approx(small.centres * scale)


@given(st.integers(2, 6), diameters, st.floats(0, 0.25), st.floats(0, 0.05))
def test_neighbours_give_way_by_the_squeeze_and_no_more(
    per_ring: int, diameter: float, squeeze: float, core: float
) -> None:
    rings = packing.stack(per_ring, diameter, squeeze=squeeze, core=core * diameter)
    closest = pdist(column(10 * diameter, rings).centres).min()
    assert closest == pytest.approx(diameter * (1 - squeeze))


def test_round_a_thick_pole_the_ring_after_next_is_not_run_into() -> None:
    rings = packing.stack(4, 0.2, core=0.28)
    piece = column(3.0, rings)
    assert pdist(piece.centres).min() == pytest.approx(0.2)
    across = piece.centres[:, 0] - rings.outer_diameter / 2
    assert np.hypot(across, piece.centres[:, 1]) == pytest.approx(0.14 + 0.1)


@given(st.integers(2, 6), diameters, st.floats(0.5, 3), st.floats(0.5, 3), st.floats(0, 2))
def test_a_wider_or_higher_wall_never_needs_fewer(
    per_ring: int, diameter: float, width: float, height: float, more: float
) -> None:
    rings = packing.stack(per_ring, diameter)
    count = packing.wall(width, height, rings).count
    assert packing.wall(width + more, height, rings).count >= count
    assert packing.wall(width, height + more, rings).count >= count


@given(st.integers(2, 5), st.floats(0.15, 0.3), st.floats(2, 5), st.floats(0.1, 3))
def test_a_longer_arch_never_needs_fewer(per_ring: int, diameter: float, width: float, taller: float) -> None:
    rings = packing.stack(per_ring, diameter)
    low = packing.along_line(arch(width, 2.0, 200), rings)
    high = packing.along_line(arch(width, 2.0 + taller, 200), rings)
    assert high.count >= low.count


@given(st.integers(2, 5), st.floats(0.15, 0.3))
def test_an_arch_overlaps_by_no_more_than_its_bend_says(per_ring: int, diameter: float) -> None:
    rings = packing.stack(per_ring, diameter)
    line = arch_on_legs()
    piece = packing.along_line(line, rings)
    length = 3.0 + 1.5 * math.pi
    spacing = length / (piece.ring.max())
    stretched = spacing / rings.rise - 1
    closest = pdist(piece.centres).min() / diameter
    assert 1 - closest <= bend_squeeze(rings, 1.5) + max(0.0, -stretched) + 2e-3


@given(st.integers(2, 5), st.floats(0.15, 0.3), st.floats(0.6, 6.0))
def test_rings_on_a_pole_are_over_the_whole_at_most_half_a_rise_off_touching(
    per_ring: int, diameter: float, length: float
) -> None:
    """The first and the last stand on its ends, so that those between are spread or pressed a little."""
    rings = packing.stack(per_ring, diameter)
    piece = packing.along_line(np.array([(0.0, 0.0), (0.0, length)]), rings)
    steps = int(piece.ring.max())
    heights = piece.centres[:, 2]
    assert heights.min() == pytest.approx(0.0, abs=1e-9)
    assert heights.max() == pytest.approx(length)
    assert abs(length - steps * rings.rise) <= 0.5 * rings.rise + 1e-9


def test_rings_of_a_swag_stand_square_to_the_line_at_their_radius() -> None:
    rings = packing.stack(4, 0.23)
    line = catenary.catenary_of_sag(4.0, 1.0).points(800)
    piece = packing.along_line(line, rings)
    distances = np.linspace(0.0, polyline.polyline_length(line), int(piece.ring.max()) + 1)
    at = polyline.points_along(line, distances)
    for ring, middle in enumerate(at):
        spokes = piece.centres[piece.ring == ring] - [middle[0], 0.0, middle[1]]
        assert np.linalg.norm(spokes, axis=1) == pytest.approx(rings.ring_radius)
        assert np.linalg.norm(spokes.sum(axis=0)) == pytest.approx(0.0, abs=1e-12)


def test_a_closed_ring_has_no_balloons_twice_and_an_even_count_of_rings() -> None:
    rings = packing.stack(4, 0.23)
    angle = np.linspace(-math.pi / 2, 1.5 * math.pi, 2000)
    circle = np.column_stack([np.cos(angle), np.sin(angle)])
    piece = packing.along_line(circle, rings)
    assert (int(piece.ring.max()) + 1) % 2 == 0
    assert pdist(piece.centres).min() > 0.23 * (1 - bend_squeeze(rings, 1.0) - 0.05)


@pytest.mark.parametrize(
    ("fault", "message"),
    [
        (lambda: packing.stack(0, 0.2), "balloons in a ring is 0; it must be a whole number from 1 to 12"),
        (lambda: packing.stack(4, 0.2, core=0.6), "take more balloons a ring or a thinner pole"),
        (lambda: packing.stack(4, 0.2, squeeze=0.5), "squeeze is 0.5; it must be from 0 to 0.3"),
        (lambda: column(1e5, packing.stack(4, 0.2)), "count of balloons is .* from 1 to 50000"),
        (lambda: packing.wall(1e3, 1e3, packing.stack(4, 0.2)), "count of balloons is .* from 1 to 50000"),
    ],
)
def test_what_cannot_be_is_refused_in_words(fault: object, message: str) -> None:
    assert callable(fault)
    with pytest.raises(CraftError, match=message):
        fault()
