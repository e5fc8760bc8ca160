"""Colours of balloons: laid in a pattern, exact to the balloon, then spread so that few of one colour touch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from quoting.craft.colour.shares import counts_by_share

Array = NDArray[np.float64]
Index = NDArray[np.int64]

# Settings of the search; the golden section is exact.
PARTNERS = 14  # balloons on either side along the route that one may change colours with
SWEEPS = 14
SMALL = 64  # up to so many balloons there is time for a longer search
TABU_STEPS = 1000
BARRED = 99.0
OMBRE_BLEND = 0.5  # how far a balloon may be out of its colour's stretch, in stretches
CLUSTER_TURNS = 0.6180339887498949  # golden section: patches go round the garland without lining up


@dataclass(frozen=True, slots=True)
class Place:
    """Where the balloons of one piece sit: ``station`` [m] along it, ``angle`` [rad] around it, ``seat`` in the ring of
    classic work (-1 elsewhere) and nominal ``size`` [in]; arrays of one entry each."""

    station: Array
    angle: Array
    seat: Index
    size: Index


def laid(pattern: str, shares: Sequence[float], place: Place, bands: int) -> Index:
    """Give every balloon a colour by pattern, exact to the balloon.

    scatter deals the colours evenly along the piece within each size; ombre lets them follow one another in
    the palette's order, fading; bands and clusters repeat them ``bands`` times along the piece, in rings or
    in patches; spiral keeps a colour to a seat, so that the turn of the rings winds it round (classic work),
    or winds the colours round ``bands`` times.

    >>> along = np.arange(8.0)
    >>> place = Place(along, np.zeros(8), np.full(8, -1), np.full(8, 11))
    >>> laid("bands", [0.5, 0.5], place, bands=2)
    array([0, 0, 1, 1, 0, 0, 1, 1])
    """
    n = len(place.station)
    counts = counts_by_share(n, shares)
    if pattern == "scatter":
        return _dealt(counts, np.lexsort((place.station, place.size)))
    length = max(float(np.ptp(place.station)), 1e-9)
    along = (place.station - place.station.min()) / length
    if pattern == "ombre":
        ruffle = np.random.default_rng(n).uniform(-0.5, 0.5, n) * OMBRE_BLEND / max(len(counts), 1)
        return _in_order(counts, along + ruffle)
    if pattern == "bands":
        return _in_order(counts, (along * (bands - 1e-9)) % 1.0)
    if pattern == "spiral":
        if (place.seat >= 0).all():
            return _in_order(counts, place.seat + 0.999 * along)
        return _in_order(counts, (along * bands + place.angle / (2 * math.pi)) % 1.0)
    return _in_patches(counts, along, place.angle, bands)


def spread(
    colour: Index, i: Index, j: Index, partners: Sequence[Sequence[int]], *, sweeps: int = SWEEPS
) -> Index:
    """Exchange colours between ``partners`` so that fewer touching pairs have one colour.

    ``i``, ``j``: touching pairs. Each balloon that touches one of its own colour tries its partners and takes
    the best exchange; sideways moves in between lead out of dead ends (min-conflicts search, Minton et al.
    1992). Few balloons get a tabu search instead, which finds the optimum nearly always. Deterministic; the
    best colouring seen is kept.

    >>> a_row = np.arange(3), np.arange(1, 4)
    >>> spread(np.array([0, 0, 1, 1]), *a_row, [[1, 2, 3], [0, 2, 3], [0, 1, 3], [0, 1, 2]])
    array([1, 0, 1, 0])
    """
    n = len(colour)
    if n == 0 or len(i) == 0:
        return colour.copy()
    if n <= SMALL:
        return _tabu(colour, i, j, partners)
    linked = _adjacency(n, i, j)
    return np.array(_min_conflicts(colour.tolist(), linked, partners, sweeps), dtype=np.int64)


def near_partners(station: Array, size: Index) -> list[list[int]]:
    """List for each balloon those of its size that are nearest along the route.

    Exchanging colours among them keeps every count by size and colour, and no stretch drifts from its shares.

    >>> near_partners(np.array([0.0, 1.0, 2.0]), np.array([11, 5, 11]))
    [[2], [], [0]]
    """
    order = np.lexsort((station, size))
    partners: list[list[int]] = [[] for _ in range(len(order))]
    bounds = np.flatnonzero(np.diff(size[order])) + 1
    for run in np.split(order, bounds):
        members = run.tolist()
        for k, u in enumerate(members):
            partners[u] = members[max(0, k - PARTNERS) : k] + members[k + 1 : k + PARTNERS + 1]
    return partners


def quad_partners(quad: Index, size: Index) -> list[list[int]]:
    """List for each balloon the others of its size in its own quad or filler.

    >>> quad_partners(np.array([0, 0, 0, 1]), np.array([11, 11, 5, 11]))
    [[1], [0], [], []]
    """
    members: dict[tuple[int, int], list[int]] = {}
    for k, key in enumerate(zip(quad.tolist(), size.tolist(), strict=True)):
        members.setdefault(key, []).append(k)
    partners: list[list[int]] = [[] for _ in range(len(quad))]
    for group in members.values():
        for u in group:
            partners[u] = [v for v in group if v != u]
    return partners


def same_colour_contacts(colour: Index, i: Index, j: Index) -> int:
    """Count the touching pairs of one colour. ``i``, ``j``: the two balloons of each pair.

    >>> same_colour_contacts(np.array([0, 0, 1]), np.array([0, 1]), np.array([1, 2]))
    1
    """
    return int(np.count_nonzero(colour[i] == colour[j]))


def expected_by_chance(shares: Sequence[float], contacts: int) -> float:
    """Count the touching pairs of one colour if colours fell at random: contacts times the sum of squared shares.

    >>> expected_by_chance([0.5, 0.5], 100)
    50.0
    """
    return contacts * sum(share * share for share in shares)


# Private


def _dealt(counts: Sequence[int], order: Index) -> Index:
    """Each colour as evenly as it goes along ``order``."""
    position = np.concatenate([(np.arange(n) + 0.5) / max(n, 1) for n in counts])
    kind = np.repeat(np.arange(len(counts)), counts)
    colour = np.empty(len(order), np.int64)
    colour[order] = kind[np.argsort(position, kind="stable")]
    return colour


def _in_order(counts: Sequence[int], phase: Array) -> Index:
    """Colours one after another in the order of ``phase``."""
    colour = np.empty(len(phase), np.int64)
    colour[np.argsort(phase, kind="stable")] = np.repeat(np.arange(len(counts)), counts)
    return colour


def _in_patches(counts: Sequence[int], along: Array, angle: Array, patches: int) -> Index:
    """Patches of one colour: balloons join the nearest of evenly set centres, which are dealt the colours."""
    k = max(len(counts), patches * len(counts))
    centre = (np.arange(k) + 0.5) / k
    turn = (np.arange(k) * CLUSTER_TURNS % 1.0) * 2 * math.pi
    apart = np.abs(along[:, None] - centre[None, :]) * k / 2
    around = np.abs((angle[:, None] - turn[None, :] + math.pi) % (2 * math.pi) - math.pi) / 2
    patch = np.argmin(apart**2 + around**2, axis=1)
    wanted = _dealt(counts_by_share(k, [float(c) for c in counts]), np.arange(k))
    rank = wanted[patch] + 1e-6 * np.arange(len(along)) / max(len(along), 1)
    return _in_order(counts, rank)


def _adjacency(n: int, i: Index, j: Index) -> list[list[int]]:
    rows, columns = np.concatenate([i, j]), np.concatenate([j, i])
    order = np.lexsort((columns, rows))
    columns = columns[order]
    starts = np.searchsorted(rows[order], np.arange(n + 1)).tolist()
    flat = columns.tolist()
    return [flat[a:b] for a, b in pairwise(starts)]


def _min_conflicts(
    c: list[int], linked: list[list[int]], partners: Sequence[Sequence[int]], sweeps: int
) -> list[int]:
    n = len(c)
    count = _neighbour_colours(c, linked)
    clashes = sum(count[v][c[v]] for v in range(n)) // 2
    best, least = c.copy(), clashes
    for sweep in range(sweeps):
        sideways = 1 if sweep % 3 != 2 else 0
        for u in range(n):
            if not count[u][c[u]]:
                continue
            change, v = _best_exchange(u, c, count, linked, partners, sideways)
            if v < 0:
                continue
            _exchange(u, v, c, count, linked)
            clashes += change
        if clashes < least:
            best, least = c.copy(), clashes
        if least == 0:
            break
    return best


def _neighbour_colours(c: list[int], linked: list[list[int]]) -> list[list[int]]:
    """How many neighbours of each colour every balloon has."""
    kinds = max(c) + 1
    count = [[0] * kinds for _ in c]
    for v, row in enumerate(linked):
        here = count[v]
        for w in row:
            here[c[w]] += 1
    return count


def _tabu(colour: Index, i: Index, j: Index, partners: Sequence[Sequence[int]]) -> Index:
    """Take the best exchange of every step, even a worsening one; what was undone stays barred for a while (Glover
    1989)."""
    n, kinds = len(colour), int(colour.max()) + 1
    rng = np.random.default_rng(n)
    touching = np.zeros((n, n), np.int64)
    touching[i, j] = touching[j, i] = 1
    cost = np.full((n, n), BARRED, dtype=float)
    for u, options in enumerate(partners):
        cost[u, list(options)] = -2 * touching[u, list(options)]
    c, index = colour.copy(), np.arange(n)
    count = touching @ np.eye(kinds, dtype=np.int64)[c]
    clashes = least = same_colour_contacts(colour, i, j)
    best, barred_until = colour.copy(), np.zeros((n, kinds), np.int64)
    ties = rng.uniform(0, 0.5, (61, n))
    tenure = (6 + rng.integers(0, 5, (TABU_STEPS, 2))).tolist()
    for step in range(TABU_STEPS):
        own = count[index, c]
        clashing = np.flatnonzero(own)
        if len(clashing) == 0:
            break
        mine = c[clashing]
        change = (
            count[clashing][:, c] + count[:, mine].T - own[clashing, None] - own[None, :] + cost[clashing]
        )
        change[mine[:, None] == c[None, :]] = BARRED
        barred = (barred_until[clashing][:, c] > step) | (step < barred_until[:, mine].T)
        rank = change + ties[step % 61] + np.where(barred & (change >= least - clashes), BARRED, 0.0)
        row, v = divmod(int(rank.argmin()), n)
        if rank[row, v] > BARRED / 2:
            continue
        u = int(clashing[row])
        cu, cv = int(c[u]), int(c[v])
        clashes += int(change[row, v])
        barred_until[u, cu], barred_until[v, cv] = step + tenure[step][0], step + tenure[step][1]
        moved = touching[v] - touching[u]
        count[:, cu] += moved
        count[:, cv] -= moved
        c[u], c[v] = cv, cu
        if clashes < least:
            best, least = c.copy(), clashes
    return best


def _best_exchange(
    u: int,
    c: list[int],
    count: list[list[int]],
    linked: list[list[int]],
    partners: Sequence[Sequence[int]],
    limit: int,
) -> tuple[int, int]:
    """The exchange of u's colour with a partner's that removes most clashes, below ``limit``."""
    cu, row_u, touching = c[u], count[u], linked[u]
    best, best_v = limit, -1
    base = row_u[cu]
    for v in partners[u]:
        cv = c[v]
        if cv == cu:
            continue
        row_v = count[v]
        change = row_u[cv] - base + row_v[cu] - row_v[cv]
        if change < best + 2 and v in touching:
            change -= 2
        if change < best:
            best, best_v = change, v
    return best, best_v


def _exchange(u: int, v: int, c: list[int], count: list[list[int]], linked: list[list[int]]) -> None:
    cu, cv = c[u], c[v]
    for w in linked[u]:
        row = count[w]
        row[cu] -= 1
        row[cv] += 1
    for w in linked[v]:
        row = count[w]
        row[cv] -= 1
        row[cu] += 1
    c[u], c[v] = cv, cu
