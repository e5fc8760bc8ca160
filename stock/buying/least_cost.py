"""Which bags to buy from whom at least cost: a small integer programme, solved by HiGHS through SciPy.

Pure: it knows needs and offers, no database. Prices are in the studio's currency. Whole bags only; a price break
holds for all bags of a line; a supplier that is used is paid the delivery once, and given at least its smallest
order.
"""

from __future__ import annotations

import math
import time
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from scipy.optimize import OptimizeResult

SECONDS: Final = 1.9
"""How long the solver may look; then the best that it has is taken and its gap told."""
TINY: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Need:
    """``pieces`` of an item in all, out of the offers named by ``in_time`` (places in the list of offers)."""

    item: int
    pieces: int
    in_time: frozenset[int]


@dataclass(frozen=True, slots=True)
class Offer:
    """A supplier's bag of an item at a price, from so many bags on."""

    supplier: int
    item: int
    bag_size: int
    price: float
    from_bags: int = 1


@dataclass(frozen=True, slots=True)
class Terms:
    """What an order costs beside its bags, and how big it must be."""

    delivery: float = 0.0
    minimum: float = 0.0


@dataclass(frozen=True, slots=True)
class Plan:
    """Bags by place in the list of offers; what they cost with delivery; how far from the least it may be."""

    bags: dict[int, int]
    cost: float
    gap: float
    """0 where the cost is proven least, else the share by which a better plan might be cheaper."""
    seconds: float

    @property
    def is_proven(self) -> bool:
        """Whether nothing cheaper exists."""
        return self.gap <= TINY


class NoPlan(ValueError):
    """There is no plan: a need that no offer can meet, or the solver found nothing in its time."""


def least_cost(
    needs: Sequence[Need], offers: Sequence[Offer], terms: Mapping[int, Terms], *, seconds: float = SECONDS
) -> Plan:
    """The cheapest whole bags that meet every need. Raises :class:`NoPlan`."""
    began = time.perf_counter()
    if not needs:
        return Plan({}, 0.0, 0.0, 0.0)
    for need in needs:
        if not need.in_time:
            raise NoPlan(f"Nobody offers item {need.item} in time.")
    programme = _Programme(needs, offers, terms)
    answer = programme.solve(seconds)
    if answer.x is None:
        raise NoPlan("No plan was found in the time that there is.")
    bags = {place: round(float(answer.x[place])) for place in range(len(offers))}
    bags = {place: number for place, number in bags.items() if number}
    gap = float(answer.mip_gap) if answer.mip_gap is not None else 0.0
    cost = cost_of(bags, offers, terms)
    return Plan(bags, cost, max(0.0, gap), time.perf_counter() - began)


def cost_of(bags: Mapping[int, int], offers: Sequence[Offer], terms: Mapping[int, Terms]) -> float:
    """What so many bags cost, delivery included."""
    used = {offers[place].supplier for place, number in bags.items() if number}
    return sum(offers[place].price * number for place, number in bags.items()) + sum(
        terms[supplier].delivery for supplier in sorted(used) if supplier in terms
    )


class _Programme:
    """Columns: bags by offer; then whether a price-break offer is taken; then whether a supplier is used."""

    def __init__(self, needs: Sequence[Need], offers: Sequence[Offer], terms: Mapping[int, Terms]) -> None:
        self.needs, self.offers, self.terms = needs, offers, terms
        self.most = _most_bags(needs, offers, terms)
        self.tiers = _tiers(offers)
        broken = [place for places in self.tiers.values() if _has_break(places, offers) for place in places]
        self.taken = {place: len(offers) + number for number, place in enumerate(broken)}
        with_terms = [s for s in sorted({offer.supplier for offer in offers}) if _has_terms(terms.get(s))]
        start = len(offers) + len(broken)
        self.used = {supplier: start + number for number, supplier in enumerate(with_terms)}
        self.columns = start + len(with_terms)
        self.rows: list[dict[int, float]] = []
        self.lowest: list[float] = []
        self.highest: list[float] = []

    def solve(self, seconds: float) -> OptimizeResult:
        # Imported here: the solver takes a moment to load, and few pages buy.
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_matrix

        self._write_rows()
        data, columns, starts = [], [], [0]
        for row in self.rows:
            columns += list(row)
            data += list(row.values())
            starts.append(len(columns))
        matrix = csr_matrix((data, columns, starts), shape=(len(self.rows), self.columns))
        return milp(
            self._costs(),
            integrality=np.ones(self.columns, dtype=np.int64),
            bounds=Bounds(np.zeros(self.columns), self._upper()),
            constraints=LinearConstraint(matrix, self.lowest, self.highest),
            options={"time_limit": seconds, "mip_rel_gap": TINY / 2},
        )

    def _costs(self) -> npt.NDArray[np.float64]:
        costs = np.zeros(self.columns)
        costs[: len(self.offers)] = [offer.price for offer in self.offers]
        for supplier, column in self.used.items():
            costs[column] = self.terms[supplier].delivery
        return costs

    def _upper(self) -> npt.NDArray[np.float64]:
        upper = np.ones(self.columns)
        upper[: len(self.offers)] = self.most
        return upper

    def _write_rows(self) -> None:
        for need in self.needs:
            row = {place: float(self.offers[place].bag_size) for place in sorted(need.in_time)}
            self._row(row, need.pieces, math.inf)
        for places in self.tiers.values():
            chosen = [place for place in places if place in self.taken]
            for place in chosen:
                self._row({place: 1.0, self.taken[place]: -self.most[place]}, -math.inf, 0)
                self._row({place: 1.0, self.taken[place]: -self.offers[place].from_bags}, 0, math.inf)
            if len(chosen) > 1:
                self._row({self.taken[place]: 1.0 for place in chosen}, -math.inf, 1)
        for supplier, column in self.used.items():
            mine = [place for place, offer in enumerate(self.offers) if offer.supplier == supplier]
            for place in mine:
                self._row({place: 1.0, column: -self.most[place]}, -math.inf, 0)
            if minimum := self.terms[supplier].minimum:
                row = {place: self.offers[place].price for place in mine}
                self._row({**row, column: -minimum}, 0, math.inf)

    def _row(self, row: dict[int, float], lowest: float, highest: float) -> None:
        self.rows.append(row)
        self.lowest.append(lowest)
        self.highest.append(highest)


def _has_terms(terms: Terms | None) -> bool:
    return terms is not None and bool(terms.delivery or terms.minimum)


def _tiers(offers: Sequence[Offer]) -> dict[tuple[int, int, int], list[int]]:
    """The places of the offers of one bag of one supplier: its price breaks."""
    tiers: dict[tuple[int, int, int], list[int]] = defaultdict(list)
    for place, offer in enumerate(offers):
        tiers[offer.supplier, offer.item, offer.bag_size].append(place)
    return tiers


def _has_break(places: Sequence[int], offers: Sequence[Offer]) -> bool:
    return len(places) > 1 or offers[places[0]].from_bags > 1


def _most_bags(needs: Sequence[Need], offers: Sequence[Offer], terms: Mapping[int, Terms]) -> list[float]:
    """More bags of an offer than this are never worth it: enough for the whole need, for the break, and to
    fill up the smallest order."""
    wanted: dict[int, int] = defaultdict(int)
    for need in needs:
        wanted[need.item] = max(wanted[need.item], need.pieces)
    most = []
    for offer in offers:
        enough = -(-wanted[offer.item] // offer.bag_size)
        fill = 0
        rules = terms.get(offer.supplier)
        if rules and rules.minimum and offer.price > 0:
            fill = math.ceil(rules.minimum / offer.price)
        most.append(float(max(enough, offer.from_bags, fill)))
    return most
