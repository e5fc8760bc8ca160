"""The cheapest bags, against trying everything and against a second solver."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Mapping, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from stock.buying.least_cost import Need, NoPlan, Offer, Plan, Terms, cost_of, least_cost


def need(item: int, pieces: int, offers: Sequence[Offer]) -> Need:
    return Need(item, pieces, frozenset(at for at, offer in enumerate(offers) if offer.item == item))


def is_allowed(
    bags: Mapping[int, int], needs: Sequence[Need], offers: Sequence[Offer], terms: Mapping[int, Terms]
) -> bool:
    """Whether so many bags meet every need and every supplier's terms, said without the programme."""
    for each in needs:
        if sum(offers[at].bag_size * bags.get(at, 0) for at in each.in_time) < each.pieces:
            return False
    if any(0 < bags.get(at, 0) < offer.from_bags for at, offer in enumerate(offers)):
        return False
    taken = [(offers[at].supplier, offers[at].item, offers[at].bag_size) for at, n in bags.items() if n]
    if len(taken) != len(set(taken)):
        return False
    for supplier in {offers[at].supplier for at, number in bags.items() if number}:
        worth = sum(offers[at].price * n for at, n in bags.items() if offers[at].supplier == supplier)
        if worth < terms.get(supplier, Terms()).minimum - 1e-9:
            return False
    return True


def tried(needs: Sequence[Need], offers: Sequence[Offer], terms: Mapping[int, Terms], most: int) -> float:
    """The least cost of all numbers of bags up to ``most`` of each offer."""
    best = math.inf
    for numbers in itertools.product(range(most + 1), repeat=len(offers)):
        bags = {at: number for at, number in enumerate(numbers) if number}
        if is_allowed(bags, needs, offers, terms):
            best = min(best, cost_of(bags, offers, terms))
    return best


PRICES = st.integers(50, 900).map(lambda cents: cents / 100)
OFFERS = st.lists(
    st.builds(
        Offer,
        supplier=st.integers(0, 1),
        item=st.integers(0, 1),
        bag_size=st.sampled_from([10, 25, 50]),
        price=PRICES,
        from_bags=st.sampled_from([1, 1, 2]),
    ),
    min_size=1,
    max_size=4,
    unique_by=lambda offer: (offer.supplier, offer.item, offer.bag_size, offer.from_bags),
)
TERMS = st.fixed_dictionaries(
    {}, optional={key: st.builds(Terms, delivery=PRICES, minimum=PRICES) for key in (0, 1)}
)


@settings(max_examples=60, deadline=None)
@given(OFFERS, TERMS, st.integers(1, 60), st.integers(1, 60))
def test_nothing_that_can_be_tried_is_cheaper(
    offers: list[Offer], terms: dict[int, Terms], first: int, second: int
) -> None:
    needs = [
        need(item, pieces, offers)
        for item, pieces in ((0, first), (1, second))
        if any(offer.item == item for offer in offers)
    ]
    plan = least_cost(needs, offers, terms)
    assert plan.is_proven
    assert is_allowed(plan.bags, needs, offers, terms)
    best = tried(needs, offers, terms, most=7)
    # What was tried has a ceiling of its own; it can only be dearer.
    assert plan.cost <= best + 1e-6
    if all(number <= 7 for number in plan.bags.values()):
        assert plan.cost == pytest.approx(best)


def test_without_terms_the_relaxation_of_another_solver_is_a_floor_and_near() -> None:
    # The second solver is the interior-point method of HiGHS on the relaxed problem (scipy.optimize.linprog).
    chance = random.Random(5)  # noqa: S311 -- a repeatable test
    offers = [
        Offer(supplier, item, chance.choice([50, 100]), round(chance.uniform(5, 20), 2))
        for item in range(20)
        for supplier in range(4)
    ]
    needs = [need(item, chance.randint(1500, 4000), offers) for item in range(20)]
    plan = least_cost(needs, offers, {})
    floor = linprog(
        [offer.price for offer in offers],
        A_ub=[
            [-offer.bag_size if at in each.in_time else 0 for at, offer in enumerate(offers)]
            for each in needs
        ],
        b_ub=[-each.pieces for each in needs],
        method="highs-ipm",
    ).fun
    assert floor is not None
    assert floor <= plan.cost <= floor * 1.05


def test_a_price_break_is_worth_a_bag_too_many() -> None:
    # By hand: four bags at 10 are 40; five bags at 7 are 35.
    offers = [Offer(1, 1, 100, 10.0), Offer(1, 1, 100, 7.0, from_bags=5)]
    plan = least_cost([need(1, 400, offers)], offers, {})
    assert plan.bags == {1: 5}
    assert plan.cost == pytest.approx(35)


def test_one_delivery_beats_two_cheaper_shops() -> None:
    # By hand: each item from its cheaper shop is 10 + 10 and two deliveries of 8; both from one 10 + 13 and 8.
    offers = [Offer(1, 1, 10, 10.0), Offer(2, 1, 10, 13.0), Offer(1, 2, 10, 13.0), Offer(2, 2, 10, 10.0)]
    terms = {1: Terms(delivery=8), 2: Terms(delivery=8)}
    plan = least_cost([need(1, 10, offers), need(2, 10, offers)], offers, terms)
    assert plan.cost == pytest.approx(31)
    assert len({offers[at].supplier for at in plan.bags}) == 1


def test_the_smallest_order_is_filled_up_or_avoided() -> None:
    offers = [Offer(1, 1, 10, 5.0), Offer(2, 1, 10, 9.0)]
    one = [need(1, 10, offers)]
    assert least_cost(one, offers, {1: Terms(minimum=20)}).bags == {1: 1}
    only = offers[:1]
    filled = least_cost([need(1, 10, only)], only, {1: Terms(minimum=20)})
    assert filled.bags == {0: 4}


def test_what_must_come_sooner_is_bought_from_whoever_is_quick() -> None:
    offers = [Offer(1, 1, 10, 5.0), Offer(2, 1, 10, 9.0)]
    needs = [Need(1, 10, frozenset({1})), Need(1, 50, frozenset({0, 1}))]
    plan = least_cost(needs, offers, {})
    assert plan.bags == {0: 4, 1: 1}


def test_a_need_that_nobody_can_meet_is_said() -> None:
    with pytest.raises(NoPlan, match="Nobody offers item 3"):
        least_cost([Need(3, 1, frozenset())], [Offer(1, 1, 10, 5.0)], {})
    assert least_cost([], [], {}) == Plan({}, 0.0, 0.0, 0.0)
