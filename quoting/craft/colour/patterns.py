"""Which balloon of classic work has which colour: spirals, bands, ombre and scatter, exact to the balloon.

Colours are numbers from 0 in the order of the palette. A pattern comes back as an array (rings, per_ring)
that lines up with `ring` and `place` of a `packing.ClassicPiece`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from studio.trade.errors import CraftError
from studio.trade.ranges import IntArray, between, positive, whole

MOST_COLOURS = 40
TRIES_PER_BALLOON = 60
WARMEST_EXCHANGE = 0.4
"""Annealing of `scatter`: exchanges tried, and contacts lost at the start with chance 1/e. More tries
take longer and save little: tried on 300 balloons, pairs to fives."""


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
    """Colours spread by share to the balloon: no stretch drifts, and touching balloons of one colour are
    rare.

    First balloon by balloon along the string, the colour most in arrears of its share that no neighbour has;
    then balloons up to two rings apart change places by annealing (Kirkpatrick, Gelatt & Vecchi 1983,
    doi:10.1126/science.220.4598.671) until few touching pairs share a colour. The same seed gives the same
    piece. For turned rings, of which every three touching balloons touch each other: 40 % of one colour
    cannot do without such pairs however they are placed.
    """
    _check_size(rings, per_ring)
    counts = counts_by_share(rings * per_ring, shares)
    touching = _contacts(rings, per_ring)
    random = np.random.default_rng(seed)
    colours = _in_arrears_first(counts, touching, per_ring, random.permutation(len(shares)).tolist())
    return np.array(_annealed(colours, touching, 2 * per_ring, random), dtype=np.intp).reshape(
        rings, per_ring
    )


def _contacts(rings: int, per_ring: int) -> list[list[int]]:
    """Which balloons, numbered along the string, touch each: beside it, and two in each turned ring next to
    it."""
    touching: list[list[int]] = []
    for ring in range(rings):
        for place in range(per_ring):
            before, after = (place - 1) % per_ring, (place + 1) % per_ring
            spots = {(ring, before), (ring, after), (ring - 1, place), (ring - 1, after)}
            spots |= {(ring + 1, place), (ring + 1, before)}
            spots -= {(ring, place)}
            touching.append(sorted(r * per_ring + p for r, p in spots if 0 <= r < rings))
    return touching


def _in_arrears_first(
    counts: Sequence[int], touching: list[list[int]], per_ring: int, tie_break: list[int]
) -> list[int]:
    """Colours along the string: fewest same-coloured neighbours so far, then most in arrears of its share.

    A colour more than a ring in arrears goes first, whatever its neighbours.
    """
    total, left = sum(counts), list(counts)
    colours: list[int] = []
    for done in range(total):
        beside = [colours[other] for other in touching[done] if other < done]
        choices = []
        for colour in range(len(counts)):
            if left[colour]:
                arrears = counts[colour] * (done + 1) / total - (counts[colour] - left[colour])
                wish = (arrears <= per_ring, beside.count(colour), -arrears, tie_break[colour])
                choices.append((wish, colour))
        chosen = min(choices)[1]
        colours.append(chosen)
        left[chosen] -= 1
    return colours


def _annealed(
    colours: list[int], touching: list[list[int]], reach: int, random: np.random.Generator
) -> list[int]:
    """Exchange colours of balloons at most `reach` apart on the string, while it saves same-coloured
    contacts."""
    total = len(colours)
    tries = TRIES_PER_BALLOON * total
    first = random.integers(0, total, tries)
    second = first + random.integers(1, reach + 1, tries)
    chance = random.random(tries)
    heat = WARMEST_EXCHANGE * (1 - np.arange(tries) / tries)
    bearable = -heat * np.log(np.maximum(chance, 1e-300))  # contacts that this try may cost
    for one, other, limit in zip(first.tolist(), second.tolist(), bearable.tolist(), strict=True):
        if other >= total or colours[one] == colours[other]:
            continue
        here, there = colours[one], colours[other]
        cost = sum(
            (colours[near] == there) - (colours[near] == here) for near in touching[one] if near != other
        )
        cost += sum(
            (colours[near] == here) - (colours[near] == there) for near in touching[other] if near != one
        )
        if cost <= limit:
            colours[one], colours[other] = there, here
    return colours


def _check_size(rings: int, per_ring: int) -> None:
    whole("count of rings", rings, 1, 50_000)
    whole("balloons in a ring", per_ring, 1, 12)
