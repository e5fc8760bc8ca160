"""Colours: shares met to the balloon, spread over the graph of touching balloons."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from quoting.craft.garland import apportion

Array = NDArray[np.float64]
Index = NDArray[np.int64]

CANDIDATES = 14  # partners tried for one balloon with a neighbour of its own colour
SWEEPS = 12


def dealt(shares: Sequence[float], station: Array, group: Index) -> Index:
    """Colours dealt evenly along the route within each group (size); totals follow ``shares`` to the balloon."""
    order = np.lexsort((station, group))
    counts = apportion(list(shares), len(order))
    position = np.concatenate([(np.arange(n) + 0.5) / max(n, 1) for n in counts])
    kind = np.repeat(np.arange(len(counts)), counts)
    colour = np.empty(len(order), np.int64)
    colour[order] = kind[np.argsort(position, kind="stable")]
    return colour


def spread(
    colour: Index, i: Index, j: Index, station: Array, group: Index, *, sweeps: int = SWEEPS
) -> Index:
    """Fewer touching pairs of one colour, by swaps within a size and a short stretch of the route.

    ``i``, ``j``: touching pairs. Swaps keep every count by size and colour; because partners are near each other
    along the route, no stretch drifts from its shares. Min-conflicts search with sideways moves, deterministic.
    """
    n = len(colour)
    kinds = int(colour.max()) + 1 if n else 0
    linked: list[list[int]] = [[] for _ in range(n)]
    for a, b in zip(i.tolist(), j.tolist(), strict=True):
        linked[a].append(b)
        linked[b].append(a)
    near = [set(row) for row in linked]
    c = colour.tolist()
    count = [[0] * kinds for _ in range(n)]
    for a, row in enumerate(linked):
        for b in row:
            count[a][c[b]] += 1
    partners = _partners(station, group)
    for sweep in range(sweeps):
        clashing = [v for v in range(n) if count[v][c[v]]]
        if not clashing:
            break
        for u in clashing:
            cu = c[u]
            if not count[u][cu]:
                continue
            best, best_v = 0 if sweep % 3 else 1, -1
            row_u = count[u]
            for v in partners[u]:
                cv = c[v]
                if cv == cu:
                    continue
                row_v = count[v]
                change = row_u[cv] - row_u[cu] + row_v[cu] - row_v[cv]
                if v in near[u]:
                    change -= 2
                if change < best:
                    best, best_v = change, v
            if best_v < 0:
                continue
            cv = c[best_v]
            for w in linked[u]:
                count[w][cu] -= 1
                count[w][cv] += 1
            for w in linked[best_v]:
                count[w][cv] -= 1
                count[w][cu] += 1
            c[u], c[best_v] = cv, cu
    return np.array(c, dtype=np.int64)


def same_colour_contacts(colour: Index, i: Index, j: Index) -> int:
    """How many touching pairs have one colour."""
    return int(np.count_nonzero(colour[i] == colour[j]))


# Private


def _partners(station: Array, group: Index) -> list[list[int]]:
    """For each balloon those of its size that are nearest along the route."""
    order = np.lexsort((station, group)).tolist()
    sizes = group.tolist()
    partners: list[list[int]] = [[] for _ in order]
    half = CANDIDATES
    for k, u in enumerate(order):
        window = order[max(0, k - half) : k + half + 1]
        partners[u] = [v for v in window if v != u and sizes[v] == sizes[u]]
    return partners
