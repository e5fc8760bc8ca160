"""Spares by risk: against scipy's binomial, every possible choice, and jobs played with a seed."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, nbinom

from quoting.craft.change.colour_swap import ColourSwap, with_colours_swapped
from quoting.craft.design.records import Bag, PaletteColour
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.spares import Batch, Served, allowance, complete_chance, usual_bag
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import NAMES, starter, worked

JOBS = 4000
ENDLESS = 10**6
"""A bag that nothing opens a second of."""


def eleven(count: int, colour: str = "oat", bag: int = ENDLESS) -> Batch:
    return Batch(11, ((colour, count),), 0.2, bag)


def complete(takeoff: TakeOff, loss: float, seed: int) -> float:
    """The share of played jobs in which nothing lacks: each size and colour, and big rounds whatever their colour."""
    rng = np.random.default_rng(seed)
    whole = np.ones(JOBS, bool)
    tied_on = {24, 36}
    together: dict[int, np.ndarray] = {}
    for (size, _colour), placed in takeoff.counts.items():
        brought = takeoff.to_bring[size, _colour]
        left = (rng.random((JOBS, brought)) >= loss).sum(axis=1)
        if size in tied_on:
            together[size] = together.get(size, np.zeros(JOBS, int)) + left - placed
        else:
            whole &= left >= placed
    for surplus in together.values():
        whole &= surplus >= 0
    return float(whole.mean())


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("loss", [0.07, 0.2])
def test_nine_jobs_in_ten_lack_nothing(name: str, loss: float) -> None:
    """4,000 jobs, every balloon by itself; 0.015 is three standard errors."""
    takeoff = worked(name) if loss == 0.07 else take_off(replace(starter(name), loss=loss))
    played = complete(takeoff, loss, seed=11)
    assert played >= 0.9 - 0.015
    assert played == pytest.approx(takeoff.allowance.chance, abs=0.015)


@pytest.mark.parametrize("name", NAMES)
def test_loss_is_the_share_of_what_is_brought(name: str) -> None:
    """What is brought less its loss is enough on average, which the share of what is placed would not be."""
    takeoff = take_off(replace(starter(name), loss=0.25))
    assert sum(takeoff.to_bring.values()) * 0.75 >= len(takeoff.balloons)


@given(st.integers(1, 300), st.integers(0, 60), st.floats(0.005, 0.5))
def test_a_batch_has_the_chance_of_the_binomial_and_of_the_negative_binomial(
    placed: int, spares: int, loss: float
) -> None:
    found = complete_chance([placed], [spares], loss)
    assert found == pytest.approx(binom.cdf(spares, placed + spares, loss), abs=1e-9)
    assert found == pytest.approx(nbinom.cdf(spares, placed, 1 - loss), abs=1e-9)


@pytest.mark.parametrize("placed", [1, 7, 41, 240])
@pytest.mark.parametrize("service", [0.5, 0.8, 0.9, 0.99, 0.999])
def test_one_batch_gets_the_quantile_and_no_more(placed: int, service: float) -> None:
    found = allowance([eleven(placed)], loss=0.07, service=service).spares[11, "oat"]
    assert found == int(nbinom.ppf(service, placed, 0.93))


@settings(max_examples=25)
@given(
    st.lists(st.integers(1, 12), min_size=2, max_size=3), st.sampled_from([0.05, 0.2]), st.floats(0.6, 0.95)
)
def test_batches_share_the_chance_with_the_fewest_spares(
    placed: list[int], loss: float, service: float
) -> None:
    """Every choice of up to eleven spares a batch, whose exact chances are sums of fractions."""
    exact = [[float(_exactly(count, spares, Fraction(loss))) for spares in range(12)] for count in placed]
    fewest = min(
        sum(choice)
        for choice in itertools.product(range(12), repeat=len(placed))
        if math.prod(exact[k][spares] for k, spares in enumerate(choice)) >= service
    )
    found = allowance([eleven(n, f"c{k}") for k, n in enumerate(placed)], loss=loss, service=service)
    assert sum(found.spares.values()) == fewest
    assert found.chance >= service


def _exactly(placed: int, spares: int, loss: Fraction) -> Fraction:
    brought = placed + spares
    return sum(
        (math.comb(brought, k) * loss**k * (1 - loss) ** (brought - k) for k in range(spares + 1)),
        Fraction(0),
    )


@settings(max_examples=25)
@given(st.integers(1, 4), st.integers(1, 6), st.integers(0, 2), st.integers(0, 3))
def test_a_bigger_round_stands_in_for_a_smaller_one(big: int, small: int, more_big: int, more: int) -> None:
    """Every outcome: the big ones must suffice, and both together."""
    loss, chance = 0.15, 0.0
    for lost_big, lost in itertools.product(range(big + more_big + 1), range(small + more + 1)):
        if lost_big <= more_big and lost_big + lost <= more_big + more:
            chance += binom.pmf(lost_big, big + more_big, loss) * binom.pmf(lost, small + more, loss)
    assert complete_chance([big, small], [more_big, more], loss) == pytest.approx(chance, abs=1e-12)


def test_a_round_stands_in_only_where_it_is_blown_up_far_enough() -> None:
    """A 24 in at 13 in is more than half full, at 9 in it is not; another colour never stands in a recipe."""
    big = Batch(24, (("oat", 3),), 0.5, 10)
    seventeen = Batch(17, (("oat", 6),), 0.33, 50)
    assert _groups(big, seventeen) == [[24, 17]]
    assert _groups(big, eleven(40)) == [[24], [11]]
    assert _groups(big, replace(seventeen, placed=(("sage", 6),))) == [[24], [17]]


def _groups(*batches: Batch) -> list[list[int]]:
    groups: tuple[Served, ...] = allowance(batches, loss=0.1, service=0.9).groups
    return [[batch.size_in for batch in group.batches] for group in groups]


def test_seven_big_rounds_in_seven_colours_are_not_brought_twice() -> None:
    colours = tuple((f"c{k}", 1) for k in range(7))
    big = allowance([Batch(24, colours, 0.5, 10)], loss=0.07, service=0.9)
    assert sum(big.spares.values()) == nbinom.ppf(0.9, 7, 0.93) == 2
    assert set(big.spares.values()) == {0, 1}
    piece = [Batch(24, colours, 0.5, 10), *(eleven(12, colour) for colour, _ in colours)]
    found = allowance(piece, loss=0.07, service=0.9)
    assert sum(found.spares[24, colour] for colour, _ in colours) <= 3
    assert found.chance >= 0.9


def test_a_spare_that_opens_another_bag_is_the_last_choice() -> None:
    """Of 92 and 60 in bags of a hundred the first stops at its bag; bigger bags share the spares evenly."""
    tight = [eleven(92, "oat", 100), eleven(60, "sage", 100)]
    found = allowance(tight, loss=0.07, service=0.7).spares
    loose = allowance([replace(one, bag=ENDLESS) for one in tight], loss=0.07, service=0.7).spares
    assert 92 + loose[11, "oat"] > 100
    assert 92 + found[11, "oat"] == 100
    assert found[11, "sage"] > loose[11, "sage"]


@pytest.mark.parametrize("into", ["navy", "ink"])
def test_a_swapped_colour_keeps_the_spares_of_the_one_it_replaces(into: str) -> None:
    """As the load-out list keeps them; into a colour of the palette they are added to its own."""
    takeoff = worked("garland-nested-arches")
    new = PaletteColour(colour=into, name=into, hex="#2A3D4E", share=0)
    swapped = with_colours_swapped(takeoff, [ColourSwap(11, "oat", new)]).to_bring
    before = takeoff.to_bring
    assert (11, "oat") not in swapped
    assert swapped[11, into] == before[11, "oat"] + before.get((11, into), 0)
    assert sum(swapped.values()) == sum(before.values())


def test_the_studios_own_bags_are_used() -> None:
    design = replace(starter("classic-arch"), bags=(Bag(size_in=11, pieces=48),))
    bags = {batch.bag for group in take_off(design).allowance.groups for batch in group.batches}
    assert bags == {48}
    assert usual_bag(11) == 100


def test_nothing_lost_means_nothing_spare() -> None:
    takeoff = take_off(replace(starter("classic-arch"), loss=0.0))
    assert takeoff.to_bring == takeoff.counts
    assert "0 spare (none is lost)" in explain(takeoff, "latex-11-ink")


@pytest.mark.parametrize("name", ["classic-arch", "garland-nested-arches"])
def test_a_higher_level_never_takes_fewer_in_all(name: str) -> None:
    levels = [0.5, 0.7, 0.9, 0.95, 0.99, 0.999]
    brought = [sum(take_off(replace(starter(name), service=level)).to_bring.values()) for level in levels]
    assert brought == sorted(brought)
    assert brought[0] < brought[-1]


def test_the_explanation_says_for_how_many_jobs_the_spares_are_enough() -> None:
    takeoff = worked("garland-nested-arches")
    alone, together = explain(takeoff, "latex-11-oat"), explain(takeoff, "latex-24-oat")
    chance = binom.cdf(
        takeoff.to_bring[11, "oat"] - takeoff.counts[11, "oat"], takeoff.to_bring[11, "oat"], 0.07
    )
    assert f"spare (enough in {chance * 100:.1f} % of jobs where 7 % of what is brought is lost" in alone
    tied_on = sum(count for (size, _), count in takeoff.counts.items() if size == 24)
    assert f" for all {tied_on} of 24 in, enough in " in together
    assert f"for the whole piece in {takeoff.allowance.chance * 100:.1f} %)" in together
