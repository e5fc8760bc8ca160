"""Which balloon of classic work has which colour: spirals, bands, ombre and scatter, exact to the balloon.

Colours are numbers from 0 in the order of the palette. A pattern comes back as an array (rings, per_ring)
that lines up with `ring` and `place` of a `packing.ClassicPiece`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from quoting.craft.errors import CraftError
from quoting.craft.ranges import IntArray, between, positive, whole

MOST_COLOURS = 40


def counts_by_share(total: int, shares: Sequence[float]) -> tuple[int, ...]:
    """How many of `total` balloons each colour gets: whole numbers that add up to it, each within one of
    exact.

    shares: any positive weights; they are taken relative to their sum, none or all zero is a CraftError.
    Largest remainders, ties to the earlier colour (Hamilton 1792; Balinski & Young 1982, Fair
    Representation).
    """
    whole("total", total, 0, 10_000_000)
    whole("count of colours", len(shares), 1, MOST_COLOURS)
    between("share", list(shares), 0.0, 1e9, "")
    sum_of_shares = math.fsum(shares)
    positive("sum of the shares", sum_of_shares, "")
    exact = [total * share / sum_of_shares for share in shares]
    counts = [math.floor(amount) for amount in exact]
    by_remainder = sorted(range(len(shares)), key=lambda colour: (counts[colour] - exact[colour], colour))
    for colour in by_remainder[: total - sum(counts)]:
        counts[colour] += 1
    return tuple(counts)


def spiral(rings: int, strands: Sequence[int]) -> IntArray:
    """Every place keeps its colour from ring to ring, so that the turn of the rings winds each strand round.

    strands: a colour for each balloon of a ring. One full turn takes twice as many rings as a ring has
    balloons.
    """
    _check_size(rings, len(strands))
    return np.tile(np.asarray(strands, dtype=np.intp), (rings, 1))


def zigzag(rings: int, strands: Sequence[int]) -> IntArray:
    """Upright zigzag lines: places step back by one every second ring and so undo the turn of the rings."""
    _check_size(rings, len(strands))
    return np.stack([np.roll(np.asarray(strands, dtype=np.intp), -(ring // 2)) for ring in range(rings)])


def banded(rings: int, per_ring: int, bands: Sequence[tuple[int, int]]) -> IntArray:
    """Whole rings of one colour: (colour, rings) after each other, begun anew until the piece is full."""
    _check_size(rings, per_ring)
    if not bands:
        raise CraftError("bands are empty; give at least one (colour, rings).")
    for _, deep in bands:
        whole("rings of a band", deep, 1, 10_000)
    order = np.concatenate([np.full(deep, colour, dtype=np.intp) for colour, deep in bands])
    return np.tile(np.resize(order, rings)[:, None], (1, per_ring))


def bands_by_share(rings: int, per_ring: int, shares: Sequence[float]) -> IntArray:
    """One band a colour, in the palette's order, as deep as its share of the rings."""
    _check_size(rings, per_ring)
    deep = counts_by_share(rings, shares)
    order = np.repeat(np.arange(len(shares)), deep)
    return np.tile(order[:, None], (1, per_ring))


def ombre(
    rings: int, per_ring: int, shares: Sequence[float], *, blend: float = 0.5, seed: int = 0
) -> IntArray:
    """Colours fade into each other along the piece, in the palette's order, each with its share to the
    balloon.

    blend: how far a balloon may be out of its band, in bands, 0 (sharp bands to the balloon) to 2; seed: of
    the scatter; the same seed gives the same piece.
    """
    _check_size(rings, per_ring)
    between("blend", blend, 0.0, 2.0, "")
    total = rings * per_ring
    counts = counts_by_share(total, shares)
    used = sum(1 for count in counts if count)
    scatter = np.random.default_rng(seed).uniform(-0.5, 0.5, total) * blend * total / used
    order = np.argsort(np.arange(total) + scatter, kind="stable")
    colours = np.empty(total, dtype=np.intp)
    colours[order] = np.repeat(np.arange(len(shares)), counts)
    return colours.reshape(rings, per_ring)


def scatter(rings: int, per_ring: int, shares: Sequence[float], *, seed: int = 0) -> IntArray:
    """Colours spread by share to the balloon: no stretch drifts, and neighbours of one colour are rare.

    Balloon by balloon along the string: of the colours still to be placed, the one with the fewest neighbours
    already of its colour (own ring, and the two balloons of the ring below that it rests on), then the one
    most in arrears of its share. A colour more than a ring in arrears goes first, whatever its neighbours.
    """
    _check_size(rings, per_ring)
    counts = counts_by_share(rings * per_ring, shares)
    total = rings * per_ring
    tie_break = np.random.default_rng(seed).permutation(len(shares)).tolist()
    left = list(counts)
    pattern = np.full((rings, per_ring), -1, dtype=np.intp)
    for done in range(total):
        ring, place = divmod(done, per_ring)
        touching = _placed_neighbours(pattern, ring, place)

        def wish(
            colour: int, done: int = done, touching: list[int] = touching
        ) -> tuple[bool, int, float, int]:
            arrears = counts[colour] * (done + 1) / total - (counts[colour] - left[colour])
            return (arrears <= per_ring, touching.count(colour), -arrears, tie_break[colour])

        chosen = min((colour for colour in range(len(shares)) if left[colour]), key=wish)
        pattern[ring, place] = chosen
        left[chosen] -= 1
    return pattern


def _placed_neighbours(pattern: IntArray, ring: int, place: int) -> list[int]:
    """Colours of the balloons already placed that touch one: beside it and, in turned rings, below it."""
    per_ring = pattern.shape[1]
    spots = {(ring, (place - 1) % per_ring), (ring, (place + 1) % per_ring)} - {(ring, place)}
    if ring:
        spots |= {(ring - 1, place), (ring - 1, (place + 1) % per_ring)}
    return [colour for spot in sorted(spots) if (colour := int(pattern[spot])) >= 0]


def _check_size(rings: int, per_ring: int) -> None:
    whole("count of rings", rings, 1, 50_000)
    whole("balloons in a ring", per_ring, 1, 12)
