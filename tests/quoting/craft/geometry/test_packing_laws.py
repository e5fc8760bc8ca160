"""Laws of classic work: counts, contacts, colours."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.distance import pdist

from quoting.craft.colour import patterns
from quoting.craft.geometry import catenary, curves, packing
from studio.trade.errors import CraftError

rings_of = st.integers(1, 6)
diameters = st.floats(0.1, 0.4)
shares = st.lists(st.floats(0.01, 100), min_size=1, max_size=6)


@given(rings_of, diameters, st.floats(0.5, 8), st.floats(0, 8))
def test_a_taller_column_never_needs_fewer_balloons(
    per_ring: int, diameter: float, height: float, taller: float
) -> None:
    rings = packing.stack(per_ring, diameter)
    assert packing.column(height + taller, rings).count >= packing.column(height, rings).count


@given(rings_of, diameters, st.floats(0.5, 5))
def test_a_column_reaches_its_height_with_no_ring_to_spare_and_stands_on_the_floor(
    per_ring: int, diameter: float, height: float
) -> None:
    rings = packing.stack(per_ring, diameter)
    up = packing.column(height, rings).centres[:, 2]
    assert up.min() == pytest.approx(diameter / 2)
    assert up.max() + diameter / 2 >= min(height, 1e9) - 1e-6
    assert up.max() + diameter / 2 - rings.rise < max(height, diameter)


@given(rings_of, diameters, st.floats(0.5, 5), st.floats(0.1, 10))
def test_scaling_every_length_scales_no_count(
    per_ring: int, diameter: float, height: float, scale: float
) -> None:
    small = packing.column(height, packing.stack(per_ring, diameter))
    large = packing.column(height * scale, packing.stack(per_ring, diameter * scale))
    assert large.count == small.count
    assert large.centres == pytest.approx(small.centres * scale)


@given(st.integers(2, 6), diameters, st.floats(0, 0.25), st.floats(0, 0.05))
def test_neighbours_give_way_by_the_squeeze_and_no_more(
    per_ring: int, diameter: float, squeeze: float, core: float
) -> None:
    rings = packing.stack(per_ring, diameter, squeeze=squeeze, core=core * diameter)
    closest = pdist(packing.column(10 * diameter, rings).centres).min()
    assert closest == pytest.approx(diameter * (1 - squeeze))


def test_round_a_thick_pole_the_ring_after_next_is_not_run_into() -> None:
    rings = packing.stack(4, 0.2, core=0.28)
    piece = packing.column(3.0, rings)
    assert pdist(piece.centres).min() == pytest.approx(0.2)
    assert np.hypot(piece.centres[:, 0], piece.centres[:, 1]) == pytest.approx(0.14 + 0.1)


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
    low = packing.along_line(curves.ellipse_arch_points(width, 2.0, 200), rings)
    high = packing.along_line(curves.ellipse_arch_points(width, 2.0 + taller, 200), rings)
    assert high.count >= low.count


@given(st.integers(2, 5), st.floats(0.15, 0.3))
def test_an_arch_overlaps_by_no_more_than_its_bend_says(per_ring: int, diameter: float) -> None:
    rings = packing.stack(per_ring, diameter)
    line = curves.legs_arch_points(3.0, 3.0, 2000)
    piece = packing.along_line(line, rings)
    length = curves.legs_arch_length(3.0, 3.0)
    spacing = length / (piece.ring.max())
    stretched = spacing / rings.rise - 1
    closest = pdist(piece.centres).min() / diameter
    assert 1 - closest <= packing.bend_squeeze(rings, 1.5) + max(0.0, -stretched) + 2e-3


def test_rings_of_a_swag_stand_square_to_the_line_at_their_radius() -> None:
    rings = packing.stack(4, 0.23)
    line = catenary.catenary_of_sag(4.0, 1.0).points(800)
    piece = packing.along_line(line, rings)
    at = curves.resampled(line, int(piece.ring.max()) + 1)
    for ring, middle in enumerate(at):
        spokes = piece.centres[piece.ring == ring] - [middle[0], 0.0, middle[1]]
        assert np.linalg.norm(spokes, axis=1) == pytest.approx(rings.ring_radius)
        assert np.linalg.norm(spokes.sum(axis=0)) == pytest.approx(0.0, abs=1e-12)


def test_a_closed_ring_has_no_balloons_twice_and_an_even_count_of_rings() -> None:
    rings = packing.stack(4, 0.23)
    piece = packing.along_line(curves.ring_points(2.0, 2000), rings)
    assert (int(piece.ring.max()) + 1) % 2 == 0
    assert pdist(piece.centres).min() > 0.23 * (1 - packing.bend_squeeze(rings, 1.0) - 0.05)


@given(st.integers(2, 6), diameters)
def test_a_wide_bend_squeezes_less_than_a_tight_one(per_ring: int, diameter: float) -> None:
    rings = packing.stack(per_ring, diameter)
    assert packing.bend_squeeze(rings, 1e4) == pytest.approx(0.0, abs=1e-4)
    assert packing.bend_squeeze(rings, 1.5) > packing.bend_squeeze(rings, 3.0) > 0


@pytest.mark.parametrize(
    ("fault", "message"),
    [
        (lambda: packing.stack(0, 0.2), "balloons in a ring is 0; it must be a whole number from 1 to 12"),
        (lambda: packing.stack(4, 0.2, core=0.6), "take more balloons a ring or a thinner pole"),
        (lambda: packing.stack(4, 0.2, squeeze=0.5), "squeeze is 0.5; it must be from 0 to 0.3"),
        (lambda: packing.column(1e5, packing.stack(4, 0.2)), "count of balloons is .* from 1 to 50000"),
        (lambda: packing.wall(1e3, 1e3, packing.stack(4, 0.2)), "count of balloons is .* from 1 to 50000"),
        (lambda: packing.bend_squeeze(packing.stack(4, 0.2), 0.1), "this stack needs more than"),
        (lambda: packing.zigzag_rise(0.2, 0.5), "channel is 0.5; it must be from 0.2 to"),
        (lambda: patterns.counts_by_share(10, [0.0, 0.0]), "sum of the shares is 0.0"),
        (lambda: patterns.counts_by_share(10, [-1.0, 2.0]), "share is an array with a value outside"),
        (lambda: patterns.banded(5, 4, []), "bands are empty"),
    ],
)
def test_what_cannot_be_is_refused_in_words(fault: object, message: str) -> None:
    assert callable(fault)
    with pytest.raises(CraftError, match=message):
        fault()


@given(st.integers(0, 5000), shares)
def test_counts_by_share_add_up_and_are_each_within_one(total: int, weights: list[float]) -> None:
    counts = patterns.counts_by_share(total, weights)
    assert sum(counts) == total
    for count, weight in zip(counts, weights, strict=True):
        assert abs(count - total * weight / sum(weights)) < 1 + 1e-9


@given(st.integers(1, 40), st.integers(1, 6), shares, st.integers(0, 9), st.floats(0, 2))
def test_ombre_and_scatter_meet_their_shares_to_the_balloon(
    rings: int, per_ring: int, weights: list[float], seed: int, blend: float
) -> None:
    wanted = list(patterns.counts_by_share(rings * per_ring, weights))
    for pattern in (
        patterns.ombre(rings, per_ring, weights, blend=blend, seed=seed),
        patterns.scatter(rings, per_ring, weights, seed=seed),
    ):
        assert pattern.shape == (rings, per_ring)
        assert np.bincount(pattern.ravel(), minlength=len(weights)).tolist() == wanted


@given(st.integers(1, 40), st.integers(2, 6), shares, st.integers(0, 9))
def test_the_same_seed_gives_the_same_piece(
    rings: int, per_ring: int, weights: list[float], seed: int
) -> None:
    for pattern_of in (patterns.ombre, patterns.scatter):
        first = pattern_of(rings, per_ring, weights, seed=seed)
        assert first.tobytes() == pattern_of(rings, per_ring, weights, seed=seed).tobytes()


def same_colour_share(piece: packing.ClassicPiece, colours: np.ndarray, diameter: float) -> float:
    """Share of touching pairs that have one colour, found from the balloons' places in space."""
    far = np.linalg.norm(piece.centres[:, None] - piece.centres[None], axis=2)
    one, other = np.nonzero(np.triu(far < diameter * 1.001, 1))
    return float((colours[one] == colours[other]).mean())


@pytest.mark.parametrize("per_ring", [2, 4])
def test_scatter_keeps_touching_balloons_apart_in_colour(per_ring: int) -> None:
    """Against random placing, on contacts found in space, for a palette of 40/30/20/10.

    In columns of quads every two touching balloons lie in two triangles of touching balloons but at the ends,
    and
    each balloon in six triangles: 40 % of one colour leave at least 0.067 of all contacts within it, 0.23 of
    what random placing gives. Closer than a third is near that floor.
    """
    piece = packing.column(8.0, packing.stack(per_ring, 0.23))
    weights = [40, 30, 20, 10]
    pattern = patterns.scatter(int(piece.ring.max()) + 1, per_ring, weights)
    ours = same_colour_share(piece, pattern[piece.ring, piece.place], 0.23)
    random = np.mean(
        [
            same_colour_share(piece, np.random.default_rng(seed).permutation(pattern.ravel()), 0.23)
            for seed in range(20)
        ]
    )
    assert ours <= 0.34 * random


@pytest.mark.parametrize("weights", [[40, 30, 20, 10], [1, 1], [5, 1], [1, 1, 1, 1, 1]])
def test_no_stretch_of_a_scattered_column_drifts_from_its_shares(weights: list[float]) -> None:
    pattern = patterns.scatter(60, 4, weights).ravel()
    for colour, weight in enumerate(weights):
        share = weight / sum(weights)
        arrears = np.cumsum(pattern == colour) - share * np.arange(1, len(pattern) + 1)
        assert np.abs(arrears).max() <= 4 + 2


def test_a_spiral_winds_each_colour_once_round_in_twice_as_many_rings_as_a_ring_has_balloons() -> None:
    rings = packing.stack(4, 0.23)
    piece = packing.column(4.0, rings)
    pattern = patterns.spiral(int(piece.ring.max()) + 1, [0, 1, 2, 3])
    strand = piece.centres[pattern[piece.ring, piece.place] == 0]
    angle = np.unwrap(np.arctan2(strand[:, 1], strand[:, 0]))
    assert np.diff(angle) == pytest.approx(math.pi / 4)
    assert angle[8] - angle[0] == pytest.approx(2 * math.pi)


def test_a_zigzag_stays_on_its_side_of_the_column() -> None:
    rings = packing.stack(4, 0.23)
    piece = packing.column(4.0, rings)
    pattern = patterns.zigzag(int(piece.ring.max()) + 1, [0, 1, 2, 3])
    strand = piece.centres[pattern[piece.ring, piece.place] == 0]
    angle = np.arctan2(strand[:, 1], strand[:, 0])
    assert np.ptp(angle) == pytest.approx(math.pi / 4)


def test_bands_repeat_until_the_piece_is_full_and_by_share_come_once() -> None:
    assert patterns.banded(7, 2, [(0, 2), (1, 1)])[:, 0].tolist() == [0, 0, 1, 0, 0, 1, 0]
    assert patterns.bands_by_share(10, 4, [50, 30, 20])[:, 3].tolist() == [0] * 5 + [1] * 3 + [2] * 2


def test_an_ombre_without_blend_is_bands_and_with_it_runs_from_first_to_last() -> None:
    sharp = patterns.ombre(12, 4, [1, 1, 1], blend=0.0).ravel()
    assert sharp.tolist() == sorted(sharp.tolist())
    soft = patterns.ombre(60, 4, [1, 1, 1], blend=0.5, seed=3).ravel()
    assert soft.tolist() != sorted(soft.tolist())
    middles = [np.flatnonzero(soft == colour).mean() for colour in range(3)]
    assert middles == sorted(middles)
    assert set(soft[:20].tolist()) == {0}
    assert set(soft[-20:].tolist()) == {2}
