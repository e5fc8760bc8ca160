"""Spare balloons by risk: so many that, with the chance that a studio asks for, a whole piece can be completed.

``loss`` is the share of what is brought that is lost, each balloon by itself. MODEL.md describes the method.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

import numpy as np

from quoting.craft.air.helium import latex_kg
from quoting.craft.design.records import ROLES, Design
from quoting.craft.takeoff.balloons import Balloons
from quoting.craft.takeoff.doubles import every_colour
from studio.trade.packing import INCH_M
from studio.trade.ranges import between

LEAST_FULL: Final = 0.5
"""A round sized to less of its nominal diameter stays dark and long in the neck. Common practice, no source."""
USUAL_BAGS: Final = {12: 100, 18: 50, 36: 10}
"""Pieces in a bag of rounds up to a nominal size [in]. Common practice, no source."""
CERTAIN: Final = 1e-12
"""Chances nearer than this count as equal (setting)."""

Key: TypeAlias = tuple[int, str]
"""Nominal size [in] and colour code."""


@dataclass(frozen=True, slots=True)
class Batch:
    """Balloons of one nominal size [in] that replace each other: ``placed`` by colour, ``least_m`` the smallest sized
    diameter, ``bag`` the pieces in a bag.

    Of one colour where it stands in a recipe; of every colour where the balloons are tied on one by one.
    """

    size_in: int
    placed: tuple[tuple[str, int], ...]
    least_m: float
    bag: int

    @property
    def count(self) -> int:
        return sum(count for _, count in self.placed)


@dataclass(frozen=True, slots=True)
class Served:
    """Batches that stand in for each other, the biggest first: spares by batch, and their chance to be complete."""

    batches: tuple[Batch, ...]
    spares: tuple[int, ...]
    chance: float


@dataclass(frozen=True, slots=True)
class Allowance:
    """The spares of a piece: by group of batches, by size and colour, and the chance that the piece is complete."""

    groups: tuple[Served, ...] = ()

    @property
    def chance(self) -> float:
        return math.prod(group.chance for group in self.groups)

    @property
    def spares(self) -> dict[Key, int]:
        """Spares by size and colour."""
        found: Counter[Key] = Counter()
        for group in self.groups:
            for batch, count in zip(group.batches, group.spares, strict=True):
                for colour, spares in _dealt(batch, count).items():
                    found[batch.size_in, colour] += spares
        return dict(found)

    def recoloured(self, colours: Mapping[Key, str]) -> Allowance:
        """The same spares where balloons of a size and colour come in another colour: none more, none fewer."""
        return Allowance(
            tuple(
                replace(group, batches=tuple(_recoloured(batch, colours) for batch in group.batches))
                for group in self.groups
            )
        )

    def group_of(self, key: Key) -> Served:
        """Find the group that a size and colour belongs to. KeyError where the piece has no such balloons."""
        for group in self.groups:
            if any(key in _keys(batch) for batch in group.batches):
                return group
        raise KeyError(key)


def allowance(batches: Iterable[Batch], *, loss: float, service: float) -> Allowance:
    """Choose the spares of a piece whose chance to be complete is to be ``service`` (0.5 to 0.999).

    A batch is complete where at most its spares are lost; a bigger round stands in for the next smaller size of its
    colour. Every group starts with the least that it must have by itself; then a spare goes wherever the chance gains
    most for its latex, one that opens another bag counting as the whole bag.

    >>> eleven = Batch(11, (("oat", 100),), 0.2, 100)
    >>> allowance([eleven], loss=0.07, service=0.9).spares
    {(11, 'oat'): 11}
    """
    between("loss", loss, 0.0, 0.5, "")
    between("service", service, 0.5, 0.999, "")
    groups = [_least(group, loss, service) for group in _groups(batches)]
    steps = [_best_step(group, loss) for group in groups]
    asked = math.log(service) - CERTAIN
    while math.fsum(math.log(group.chance) for group in groups) < asked:
        best = max(range(len(groups)), key=lambda k: steps[k][0])
        groups[best] = steps[best][1]
        steps[best] = _best_step(groups[best], loss)
    return Allowance(tuple(_without_excess(groups, loss, asked)))


def stated_allowance(placed: Mapping[Key, int], to_bring: Mapping[Key, int], *, loss: float) -> Allowance:
    """The spares of a bill that stands, each size and colour by itself, and the chance that they suffice.

    >>> stated_allowance({(11, "oat"): 100}, {(11, "oat"): 107}, loss=0.07).spares
    {(11, 'oat'): 7}
    """
    between("loss", loss, 0.0, 0.5, "")
    return Allowance(
        tuple(
            _served(
                [Batch(size, ((colour, count),), 0.0, usual_bag(size))],
                [max(0, to_bring.get((size, colour), count) - count)],
                loss,
            )
            for (size, colour), count in placed.items()
        )
    )


def batches_of(design: Design, balloons: Balloons) -> list[Batch]:
    """List the batches of a design: by size and colour, of a size that is only tied on one by one over all colours.

    ``balloons``: with those within others.
    """
    colours = every_colour(design)
    bags = {bag.size_in: bag.pieces for bag in design.bags}
    found = []
    for size in np.unique(balloons.size_in).tolist():
        mine = balloons.size_in == size
        least_m = float(2 * balloons.radius[mine].min())
        counts = np.bincount(balloons.colour[mine], minlength=len(colours)).tolist()
        placed = [(one.colour, count) for one, count in zip(colours, counts, strict=True) if count]
        tied_on = bool((balloons.role[mine] == ROLES.index("accent")).all())
        together = [tuple(placed)] if tied_on else [(one,) for one in placed]
        found += [Batch(size, colours, least_m, bags.get(size) or usual_bag(size)) for colours in together]
    return found


def complete_chance(placed: Sequence[int], spares: Sequence[int], loss: float) -> float:
    """The chance that batches that stand in for each other, the biggest first, are all complete.

    >>> round(complete_chance([7], [1], 0.07), 4)
    0.8965
    """
    surplus = [1.0]
    for count, extra in zip(placed, spares, strict=True):
        lost = _losses(count + extra, len(surplus) - 1 + extra, loss)
        surplus = _left_over(surplus, lost)
    return min(math.fsum(surplus), 1.0)


def usual_bag(size_in: int) -> int:
    """Pieces in a bag where the studio's own bags aren't known.

    >>> usual_bag(11), usual_bag(24)
    (100, 10)
    """
    return next(pieces for largest, pieces in USUAL_BAGS.items() if size_in <= largest)


# Private


def _keys(batch: Batch) -> list[Key]:
    return [(batch.size_in, colour) for colour, _ in batch.placed]


def _recoloured(batch: Batch, colours: Mapping[Key, str]) -> Batch:
    placed: Counter[str] = Counter()
    for colour, count in batch.placed:
        placed[colours.get((batch.size_in, colour), colour)] += count
    return replace(batch, placed=tuple(placed.items()))


def _groups(batches: Iterable[Batch]) -> Iterator[tuple[Batch, ...]]:
    """Batches of the same colours, the biggest first, parted where one doesn't stand in for the next."""
    by_colours: dict[tuple[str, ...], list[Batch]] = {}
    for batch in sorted(batches, key=lambda one: -one.size_in):
        mine = by_colours.setdefault(tuple(colour for colour, _ in batch.placed), [])
        if mine and mine[-1].size_in * INCH_M * LEAST_FULL > batch.least_m:
            yield tuple(mine)
            mine.clear()
        mine.append(batch)
    yield from (tuple(mine) for mine in by_colours.values())


def _losses(brought: int, most: int, loss: float) -> list[float]:
    """The chances that 0 to ``most`` of those brought are lost: binomial, each from the one before."""
    if loss == 0:
        return [1.0] + [0.0] * most
    odds = math.log(loss) - math.log1p(-loss)
    log_chance = brought * math.log1p(-loss)
    chances = [math.exp(log_chance)]
    for lost in range(1, min(most, brought) + 1):
        log_chance += math.log((brought - lost + 1) / lost) + odds
        chances.append(math.exp(log_chance))
    return chances + [0.0] * (most - brought)


def _left_over(surplus: Sequence[float], lost: Sequence[float]) -> list[float]:
    """The chances that 0, 1, 2 ... are left over, where those of a bigger size stand in for what is lost."""
    if len(surplus) == 1:
        return [surplus[0] * chance for chance in reversed(lost)]
    found: list[float] = np.convolve(surplus, lost[::-1])[len(surplus) - 1 :].tolist()
    return found


def _least(group: Sequence[Batch], loss: float, service: float) -> Served:
    """The least spares of a group: each size with the bigger ones must reach the chance asked for the whole piece."""
    spares: list[int] = []
    placed = 0
    for batch in group:
        placed += batch.count
        spares.append(max(_quantile(placed, loss, service) - sum(spares), 0))
    return _served(group, spares, loss)


def _quantile(placed: int, loss: float, service: float) -> int:
    """The fewest spares with which ``placed`` are left with the chance ``service``."""
    low, high = 0, 1
    while complete_chance([placed], [high], loss) < service:
        low, high = high, 2 * high
    while low < high:
        middle = (low + high) // 2
        enough = complete_chance([placed], [middle], loss) >= service
        low, high = (low, middle) if enough else (middle + 1, high)
    return low


def _served(batches: Sequence[Batch], spares: Sequence[int], loss: float) -> Served:
    placed = [batch.count for batch in batches]
    return Served(tuple(batches), tuple(spares), complete_chance(placed, spares, loss))


def _best_step(group: Served, loss: float) -> tuple[float, Served]:
    """The next spare of a group that gains most for its cost, and that gain."""
    steps = [_step(group, k, loss) for k in range(len(group.batches))]
    return max(steps, key=lambda step: step[0])


def _step(group: Served, place: int, loss: float) -> tuple[float, Served]:
    more = [count + (k == place) for k, count in enumerate(group.spares)]
    after = _served(group.batches, more, loss)
    gain = math.log(after.chance) - math.log(group.chance)
    return gain / _cost_of_next(group.batches[place], group.spares[place]), after


def _cost_of_next(batch: Batch, spares: int) -> float:
    """Latex [kg] that the next spare takes: a whole bag where it opens another one."""
    before, after = _bags(batch, spares), _bags(batch, spares + 1)
    return float(latex_kg(batch.size_in)) * (batch.bag if after > before else 1)


def _bags(batch: Batch, spares: int) -> int:
    dealt = _dealt(batch, spares)
    return sum(-(-(count + dealt[colour]) // batch.bag) for colour, count in batch.placed)


def _dealt(batch: Batch, spares: int) -> dict[str, int]:
    """Spares by colour: first what opens no other bag, and of those the colour with most balloons to a spare."""
    if len(batch.placed) == 1:
        return {batch.placed[0][0]: spares}
    dealt = dict.fromkeys((colour for colour, _ in batch.placed), 0)
    for _ in range(spares):
        colour, _count = max(
            batch.placed,
            key=lambda one: ((one[1] + dealt[one[0]]) % batch.bag > 0, one[1] / (dealt[one[0]] + 1)),
        )
        dealt[colour] += 1
    return dealt


def _without_excess(groups: Sequence[Served], loss: float, asked: float) -> list[Served]:
    """Take back spares that the chance asked for does without, the dearest first."""
    kept = list(groups)
    places = [(k, place) for k, group in enumerate(kept) for place in range(len(group.batches))]
    dear_first = sorted(places, key=lambda at: -kept[at[0]].batches[at[1]].size_in)
    for k, place in dear_first:
        while kept[k].spares[place]:
            fewer = [count - (j == place) for j, count in enumerate(kept[k].spares)]
            after = _served(kept[k].batches, fewer, loss)
            others = math.fsum(math.log(group.chance) for j, group in enumerate(kept) if j != k)
            if after.chance <= 0 or others + math.log(after.chance) < asked:
                break
            kept[k] = after
    return kept
