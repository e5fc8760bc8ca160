"""Organic garlands: quads of mixed sizes strung along a route, and big rounds tied on."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design import Garland
from quoting.craft.routes import Route

Array = NDArray[np.float64]
Index = NDArray[np.int64]

QUAD_RISE = 2 ** (-1 / 4)
"""Rise of rings of four touching equal spheres, each turned by 45 degrees, in diameters.

Mughal, Chan, Weaire, Hutzler, Phys. Rev. E 85, 051305 (2012); Pickett, Gross, Okuyama, Phys. Rev. Lett. 85,
3652 (2000).
"""
CLUSTER = {"quad": 4, "triplet": 3, "pair": 2}
GOLDEN = 0.6180339887498949
SIZING_STEPS = 3  # sized diameters per size: a crew sets three rings of the sizing box, not a hundred


@dataclass(frozen=True, slots=True)
class Strung:
    """Balloons of one garland before they settle; arrays of one entry per balloon.

    ``centres`` [m] (n, 3), ``radii`` [m], ``knots`` [m] (n, 3), ``station`` [m] along the route, ``quad``:
    number of the cluster (-1 for big rounds tied on), ``entry``: index into the garland's mix, ``tail`` [m]:
    how much farther than its own neck a balloon may be led (big rounds are tied on with tails).
    """

    centres: Array
    radii: Array
    knots: Array
    station: Array
    quad: Index
    entry: Index
    tail: Array


def mean_diameter_m(garland: Garland) -> float:
    """Mean sized diameter of the quads' balloons by their shares [m]."""
    return sum(
        entry.share * (entry.sized_low_m + entry.sized_high_m) / 2
        for entry in garland.mix
        if entry.role in ("body", "round")
    )


def body_diameter_m(garland: Garland) -> float:
    """Mean sized diameter of the balloons with role body [m]."""
    bodies = [entry for entry in garland.mix if entry.role == "body"]
    total = sum(entry.share for entry in bodies) or 1.0
    return sum(entry.share * (entry.sized_low_m + entry.sized_high_m) / 2 for entry in bodies) / total


def string_quads(garland: Garland, route: Route, rng: np.random.Generator) -> Strung:
    """Quads snug on the string, each layer turned by half a seat, then big rounds tied on."""
    seats = CLUSTER[garland.cluster]
    stations = _stations(garland, route)
    entry = _sizes_by_seat(garland, route, stations, seats)
    radii = _sized_radii(garland, route.thickness_at(np.repeat(stations, seats)), entry, rng)
    tangent, sideways, facing = route.triad(stations)
    knots = route.at(stations)
    turn = (np.arange(len(stations)) % 2) * math.pi / seats
    angle = (turn[:, None] + 2 * math.pi * np.arange(seats) / seats).ravel()
    angle += rng.uniform(-0.12, 0.12, len(angle))
    out = (
        np.repeat(facing, seats, 0) * np.cos(angle)[:, None]
        + np.repeat(sideways, seats, 0) * np.sin(angle)[:, None]
    )
    slip = np.repeat(tangent, seats, 0) * rng.uniform(-0.15, 0.15, len(angle))[:, None] * radii[:, None]
    knot = np.repeat(knots, seats, 0)
    quad = np.repeat(np.arange(len(stations)), seats)
    body = Strung(
        knot + out * (1.05 * radii)[:, None] + slip,
        radii,
        knot,
        np.repeat(stations, seats),
        quad,
        entry,
        np.zeros(len(radii)),
    )
    return _with_accents(garland, route, body)


def tied_on(garland: Garland, route: Route) -> Strung:
    """The big rounds of a garland where they are first held, at even weights of thickness along the route.

    By turns to either side of the viewer's line of sight, one after another whatever their size, so that no
    two come to lie side by side.
    """
    kinds = [
        (k, max(1, round(route.length_m / e.spacing_m)))
        for k, e in enumerate(garland.mix)
        if e.role == "accent"
    ]
    entry = _interleaved([k for k, _ in kinds], [n for _, n in kinds]) if kinds else np.zeros(0, np.int64)
    count, body = len(entry), body_diameter_m(garland)
    grid = np.linspace(0, route.length_m, 400)
    weight = np.maximum(route.thickness_at(grid) - 0.4, 0.05) ** 2
    station = np.interp(_spread(count, weight), np.arange(400), grid)
    _, sideways, facing = route.triad(station)
    rank = np.arange(count)
    angle = np.where(rank % 2 == 0, 0.6, -0.6) + 0.5 * (rank * GOLDEN % 1.0 - 0.5)
    low = np.array([mix.sized_low_m for mix in garland.mix])[entry]
    high = np.array([mix.sized_high_m for mix in garland.mix])[entry]
    radii = (low + (high - low) * (rank % SIZING_STEPS) / (SIZING_STEPS - 1)) / 2
    out = facing * np.cos(angle)[:, None] + sideways * np.sin(angle)[:, None]
    knots = route.at(station)
    return Strung(
        knots + out * (radii + 0.6 * body)[:, None],
        radii,
        knots,
        station,
        np.full(count, -1),
        entry,
        np.full(count, 0.75 * body),
    )


# Private


def _stations(garland: Garland, route: Route) -> Array:
    """Arc lengths of the layers [m]. Where the profile is fuller the layers are pulled closer together."""
    pitch = garland.pitch * mean_diameter_m(garland)
    closeness = np.interp(route.thickness, [0.5, 1.0, 1.8], [0.9, 1.0, 1.2]) / pitch
    count = np.concatenate([[0.0], np.cumsum(np.diff(route.along) * (closeness[1:] + closeness[:-1]) / 2)])
    layers = max(1, round(float(count[-1])))
    return np.interp((np.arange(layers) + 0.5) * count[-1] / layers, count, route.along)


def _sizes_by_seat(garland: Garland, route: Route, stations: Array, seats: int) -> Index:
    """Which entry of the mix sits in each seat. Rounds are spread evenly, more where the profile is
    fuller.
    """
    total = len(stations) * seats
    entries = [k for k, entry in enumerate(garland.mix) if entry.role in ("body", "round")]
    wanted = apportion([garland.mix[k].share for k in entries], total)
    seat = np.full((len(stations), seats), -1)
    rounds = sorted(
        (k for k in entries if garland.mix[k].role == "round"), key=lambda k: -garland.mix[k].size_in
    )
    load = np.zeros(len(stations))
    weight = np.maximum(route.thickness_at(stations), 0.3) ** 2
    for k in rounds:
        for place in _spread(wanted[entries.index(k)], weight):
            layer = int(np.argmin(load + 0.2 * np.abs(np.arange(len(stations)) - place)))
            free = np.flatnonzero(seat[layer] < 0)
            if len(free) == 0:
                layer = int(np.argmax((seat < 0).sum(axis=1)))
                free = np.flatnonzero(seat[layer] < 0)
            seat[layer, free[(layer * 2 + int(load[layer])) % len(free)]] = k
            load[layer] += 1.0
    bodies = [k for k in entries if garland.mix[k].role == "body"]
    body_total = int((seat < 0).sum())
    counts = apportion([garland.mix[k].share for k in bodies], body_total)
    order = _interleaved(bodies, counts)
    seat[seat < 0] = order
    return seat.ravel()


def _spread(count: int, weight: Array) -> Array:
    """Positions 0 to len(weight) - 1 that carry equal weight between them."""
    cumulative = np.concatenate([[0.0], np.cumsum(weight)])
    marks = (np.arange(count) + 0.5) * cumulative[-1] / max(count, 1)
    return np.clip(np.interp(marks, cumulative, np.arange(len(cumulative))) - 0.5, 0, len(weight) - 1)


def _interleaved(kinds: list[int], counts: list[int]) -> Index:
    """Each kind as evenly as it goes among the others."""
    if len(kinds) == 1:
        return np.full(counts[0], kinds[0])
    position = np.concatenate([(np.arange(n) + 0.5) / max(n, 1) for n in counts])
    kind = np.repeat(kinds, counts)
    return np.asarray(kind[np.argsort(position, kind="stable")])


def apportion(shares: list[float], total: int) -> list[int]:
    """Whole numbers that add up to ``total`` and follow ``shares``: largest remainder (Hamilton's method)."""
    whole_share = sum(shares)
    if whole_share <= 0:
        return [0] * len(shares)
    exact = [share / whole_share * total for share in shares]
    counts = [math.floor(x + 1e-9) for x in exact]
    order = sorted(range(len(shares)), key=lambda k: (counts[k] - exact[k], k))
    for k in order[: total - sum(counts)]:
        counts[k] += 1
    return counts


def _sized_radii(garland: Garland, thickness: Array, entry: Index, rng: np.random.Generator) -> Array:
    """Radii [m]: one of a few ring sizes per nominal size, larger where the profile is fuller."""
    low = np.array([mix.sized_low_m for mix in garland.mix])[entry]
    high = np.array([mix.sized_high_m for mix in garland.mix])[entry]
    lean = np.interp(thickness, [0.5, 1.0, 1.8], [-1.0, 0.0, 1.0])
    mark = np.clip(rng.uniform(0, 1, len(entry)) + 0.6 * lean, 0, 0.999)
    step = np.floor(mark * SIZING_STEPS) / (SIZING_STEPS - 1)
    return np.asarray((low + step * (high - low)) / 2)


def _with_accents(garland: Garland, route: Route, body: Strung) -> Strung:
    tied = tied_on(garland, route)
    if not len(tied.radii):
        return body
    return Strung(*(np.concatenate([getattr(body, name), getattr(tied, name)]) for name in Strung.__slots__))
