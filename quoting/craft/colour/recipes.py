"""Few recipes: quads repeat a small set of patterns, so that a crew makes fourteen of one and nine of another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Index = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Recipe:
    """One kind of quad or filler: its balloons as sorted (size in inches, colour index), and how many to make.

    ``kind``: quad, triplet, pair or filler.
    """

    kind: str
    balloons: tuple[tuple[int, int], ...]
    count: int


def recipe_keys(quad: Index, size: Index, colour: Index) -> dict[int, tuple[tuple[int, int], ...]]:
    """Give the recipe of every quad: its balloons as sorted (size, colour).

    >>> quad, size, colour = np.array([0, 0, 1, 1]), np.array([11, 5, 11, 11]), np.array([0, 1, 0, 0])
    >>> recipe_keys(quad, size, colour)
    {0: ((5, 1), (11, 0)), 1: ((11, 0), (11, 0))}
    """
    members: dict[int, list[tuple[int, int]]] = {}
    for q, s, c in zip(quad.tolist(), size.tolist(), colour.tolist(), strict=True):
        members.setdefault(q, []).append((s, c))
    return {q: tuple(sorted(row)) for q, row in members.items()}


def count_recipes(quad: Index, size: Index, colour: Index, kind: str) -> tuple[Recipe, ...]:
    """Count the recipes, the most frequent first.

    >>> quad, size, colour = np.array([0, 0, 1, 1]), np.full(4, 11), np.array([0, 1, 1, 0])
    >>> count_recipes(quad, size, colour, "pair")
    (Recipe(kind='pair', balloons=((11, 0), (11, 1)), count=2),)
    """
    tally = Counter(recipe_keys(quad, size, colour).values())
    return tuple(
        Recipe(kind, key, n) for key, n in sorted(tally.items(), key=lambda item: (-item[1], item[0]))
    )


def with_few_recipes(quad: Index, size: Index, colour: Index) -> Index:
    """Deal colours anew, with the same totals by size, so that as few different quads as possible arise.

    Quads that hold the same sizes are laid out as a table, one row a quad, one column a seat; colours fill it
    column by column, each in one run. A row can only differ from the next where a run ends, so there are at
    most as many recipes for one set of sizes as there are ends of runs, which is at most the number of
    colours for each size. Then the recipes go to the quads whose present colours they change least
    (assignment problem, solved exactly), so that the evenness of the present colouring is kept as far as it
    can be.

    >>> quad, size = np.array([0, 0, 1, 1]), np.full(4, 11)
    >>> with_few_recipes(quad, size, np.array([0, 0, 1, 1]))
    array([0, 1, 1, 0])
    """
    members: dict[int, list[int]] = {}
    for k, q in enumerate(quad.tolist()):
        members.setdefault(q, []).append(k)
    sizes_of: list[int] = size.tolist()
    by_sizes: dict[tuple[int, ...], list[list[int]]] = {}
    for row in members.values():
        row.sort(key=lambda k: (sizes_of[k], k))
        by_sizes.setdefault(tuple(sizes_of[k] for k in row), []).append(row)
    dealt = _share_out(by_sizes, size, colour)
    result = colour.copy()
    for sizes, rows in by_sizes.items():
        result[np.array(rows)] = _matched(np.array(rows), sizes, colour, dealt[sizes])
    return result


# Private


def _share_out(
    by_sizes: dict[tuple[int, ...], list[list[int]]], size: Index, colour: Index
) -> dict[tuple[int, ...], NDArray[np.int64]]:
    """A table of colours (quads, seats) for every set of sizes; totals by size and colour stay as they are."""
    kinds = int(colour.max()) + 1
    used = np.concatenate([np.array(rows).ravel() for rows in by_sizes.values()])
    left = {
        int(s): np.bincount(colour[used[size[used] == s]], minlength=kinds) for s in np.unique(size[used])
    }
    tables = {sizes: np.zeros((len(rows), len(sizes)), np.int64) for sizes, rows in by_sizes.items()}
    order = sorted(by_sizes, key=lambda sizes: len(by_sizes[sizes]))
    for s, present in left.items():
        remaining = present.copy()
        holders = [sizes for sizes in order if s in sizes]
        for position, sizes in enumerate(holders):
            seats = [k for k, here in enumerate(sizes) if here == s]
            need = len(by_sizes[sizes]) * len(seats)
            share = remaining if position == len(holders) - 1 else _proportional(remaining, need)
            remaining = remaining - share
            runs = np.repeat(np.argsort(-share, kind="stable"), np.sort(share)[::-1])
            tables[sizes][:, seats] = runs.reshape(len(seats), len(by_sizes[sizes])).T
    return tables


def _proportional(stock: Index, need: int) -> Index:
    """Whole numbers that add up to ``need``, in proportion to ``stock`` and never above it."""
    exact = stock * need / max(int(stock.sum()), 1)
    share = np.floor(exact).astype(np.int64)
    for k in np.argsort(-(exact - share), kind="stable")[: need - int(share.sum())]:
        share[k] += 1
    return share


def _matched(
    rows: NDArray[np.int64], sizes: tuple[int, ...], colour: Index, table: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Rows of the table given to quads so that the fewest balloons change colour; seats are matched within a quad."""
    from scipy.optimize import linear_sum_assignment  # late: it would double the time that the import takes

    present = colour[rows]
    kinds = int(max(present.max(), table.max())) + 1
    groups = [[k for k, here in enumerate(sizes) if here == s] for s in sorted(set(sizes))]
    ours, theirs = (
        np.concatenate([(one[:, g, None] == np.arange(kinds)).sum(axis=1) for g in groups], axis=1)
        for one in (present, table)
    )
    change = np.zeros((len(ours), len(theirs)))
    # One at a time: all at once would take much memory.
    for mine, wanted in zip(ours.T, theirs.T, strict=True):
        change += np.abs(mine[:, None] - wanted[None, :])
    quads, recipes = linear_sum_assignment(change)
    now, dealt = present.tolist(), table.tolist()
    result = present.copy()
    for g in groups:
        result[np.ix_(quads, np.array(g))] = [
            _seated([now[q][k] for k in g], [dealt[r][k] for k in g])
            for q, r in zip(quads.tolist(), recipes.tolist(), strict=True)
        ]
    return result


def _seated(present: Sequence[int], wanted: Sequence[int]) -> list[int]:
    """``wanted`` in an order that leaves as many seats as possible as they are."""
    pool = list(wanted)
    seats: list[int | None] = []
    for c in present:
        if c in pool:
            pool.remove(c)
            seats.append(c)
        else:
            seats.append(None)
    return [c if c is not None else pool.pop() for c in seats]
