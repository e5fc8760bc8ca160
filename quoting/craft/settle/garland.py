"""Organic garlands: quads of mixed sizes strung along a route, and big rounds tied on."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.records import Garland
from quoting.craft.design.routes import Route

Array = NDArray[np.float64]
Index = NDArray[np.int64]

CLUSTER = {"quad": 4, "triplet": 3, "pair": 2}  # exact: what the words mean
GOLDEN = 0.6180339887498949  # golden section, exact
# Where the middle of a big round comes to lie beyond its own radius, in mean diameters: measured on settled garlands.
TIED_BEYOND = 1.05
SIZING_STEPS = (
    3  # sized diameters per size: a crew sets three rings of the sizing box (common practice, no source)
)


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
    """Give the mean sized diameter of the quads' balloons by their shares [m].

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> round(mean_diameter_m(design.garlands[0]), 4)
    0.1994
    """
    return sum(
        entry.share * (entry.sized_low_m + entry.sized_high_m) / 2
        for entry in garland.mix
        if entry.role in ("body", "round")
    )


def body_diameter_m(garland: Garland) -> float:
    """Give the mean sized diameter of the balloons with role body [m].

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> round(body_diameter_m(design.garlands[0]), 4)
    0.1834
    """
    bodies = [entry for entry in garland.mix if entry.role == "body"]
    total = sum(entry.share for entry in bodies) or 1.0
    return sum(entry.share * (entry.sized_low_m + entry.sized_high_m) / 2 for entry in bodies) / total


def string_quads(garland: Garland, route: Route, rng: np.random.Generator) -> Strung:
    """String quads snug on the route, each layer turned by half a seat, then tie on the big rounds."""
    seats = CLUSTER[garland.cluster]
    stations = _stations(garland, route)
    entry = _sizes_by_seat(garland, route, stations, seats)
    # row by row, so that a longer garland begins like a shorter one
    chance = rng.uniform(0, 1, (len(entry), 3))
    radii = _sized_radii(garland, route.thickness_at(np.repeat(stations, seats)), entry, chance[:, 0])
    tangent, sideways, facing = route.triad(stations)
    turn = (np.arange(len(stations)) % 2) * math.pi / seats
    angle = (turn[:, None] + 2 * math.pi * np.arange(seats) / seats).ravel() + 0.24 * (chance[:, 1] - 0.5)
    out = np.repeat(facing, seats, 0) * np.cos(angle)[:, None]
    out += np.repeat(sideways, seats, 0) * np.sin(angle)[:, None]
    slip = np.repeat(tangent, seats, 0) * (0.3 * (chance[:, 2] - 0.5) * radii)[:, None]
    knot = np.repeat(route.at(stations), seats, 0)
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
    accents = [(k, mix) for k, mix in enumerate(garland.mix) if mix.role == "accent"]
    density, body = sum(1.0 / mix.spacing_m for _, mix in accents), body_diameter_m(garland)
    cells = max(2, math.ceil(route.length_m / (0.1 * body)))
    grid = (np.arange(cells) + 0.5) * route.length_m / cells
    weight = np.maximum(route.thickness_at(grid) - 0.4, 0.05) ** 2
    place = _marks(weight, cells / (route.length_m * density)) if accents else np.zeros(0)
    station, count = np.interp(place, np.arange(cells), grid), len(place)
    entry = _in_turn([k for k, _ in accents], [1.0 / mix.spacing_m for _, mix in accents], count)
    _, sideways, facing = route.triad(station)
    rank = np.arange(count)
    angle = np.where(rank % 2 == 0, 0.4, -0.4) + 0.4 * (rank * GOLDEN % 1.0 - 0.5)
    low = np.array([mix.sized_low_m for mix in garland.mix])[entry]
    high = np.array([mix.sized_high_m for mix in garland.mix])[entry]
    radii = (low + (high - low) * (rank % SIZING_STEPS) / (SIZING_STEPS - 1)) / 2
    out = facing * np.cos(angle)[:, None] + sideways * np.sin(angle)[:, None]
    knots = route.at(station)
    return Strung(
        knots + out * (radii + TIED_BEYOND * body)[:, None],
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
    layers = max(1, math.floor(float(count[-1]) + 0.5))
    return np.asarray(np.interp(np.minimum(np.arange(layers) + 0.5, count[-1]), count, route.along))


def _sizes_by_seat(garland: Garland, route: Route, stations: Array, seats: int) -> Index:
    """Which entry of the mix sits in each seat. Rounds are spread evenly, more where the profile is fuller.

    Counted from the start of the route, so that a longer garland begins like a shorter one.
    """
    layers = len(stations)
    seat = np.full((layers, seats), -1)
    rounds = [k for k, entry in enumerate(garland.mix) if entry.role == "round" and entry.share > 0]
    load = np.zeros(layers)
    weight = np.maximum(route.thickness_at(stations), 0.3) ** 2
    for k in sorted(rounds, key=lambda k: -garland.mix[k].size_in):
        for place in _marks(weight, 1.0 / (garland.mix[k].share * seats)):
            crowd = load + 0.2 * np.abs(np.arange(layers) - place) + 99.0 * (seat >= 0).all(axis=1)
            layer = int(np.argmin(crowd))
            free = np.flatnonzero(seat[layer] < 0)
            seat[layer, free[(layer * 2 + int(load[layer])) % len(free)]] = k
            load[layer] += 1.0
    bodies = [k for k, entry in enumerate(garland.mix) if entry.role == "body"]
    open_seats = int((seat < 0).sum())
    seat[seat < 0] = _in_turn(bodies, [garland.mix[k].share for k in bodies], open_seats)
    return seat.ravel()


def _marks(weight: Array, every: float) -> Array:
    """Positions 0 to len(weight) - 1 with ``every`` entries' worth of weight from one to the next, half of it before
    the first."""
    cumulative = np.concatenate([[0.0], np.cumsum(weight)]) / weight.mean()
    count = math.floor(len(weight) / every + 0.5)
    marks = np.minimum((np.arange(count) + 0.5) * every, cumulative[-1])
    place = np.interp(marks, cumulative, np.arange(len(cumulative))) - 0.5
    return np.asarray(np.clip(place, 0, len(weight) - 1))


def _in_turn(kinds: list[int], shares: list[float], count: int) -> Index:
    """``count`` kinds in turn by their shares: each comes when it is most in arrears."""
    live = [(kind, share) for kind, share in zip(kinds, shares, strict=True) if share > 0]
    if len(live) <= 1:
        return np.full(count, live[0][0] if live else kinds[0] if kinds else 0)
    total = sum(share for _, share in live)
    due = [(np.arange(math.ceil(count * share / total) + 1) + 0.5) * total / share for _, share in live]
    order = np.argsort(np.concatenate(due), kind="stable")[:count]
    return np.asarray(np.repeat([kind for kind, _ in live], [len(one) for one in due])[order])


def _sized_radii(garland: Garland, thickness: Array, entry: Index, chance: Array) -> Array:
    """Radii [m]: one of a few ring sizes per nominal size, larger where the profile is fuller."""
    low = np.array([mix.sized_low_m for mix in garland.mix])[entry]
    high = np.array([mix.sized_high_m for mix in garland.mix])[entry]
    lean = np.interp(thickness, [0.5, 1.0, 1.8], [-1.0, 0.0, 1.0])
    mark = np.clip(chance + 0.6 * lean, 0, 0.999)
    step = np.floor(mark * SIZING_STEPS) / (SIZING_STEPS - 1)
    return np.asarray((low + step * (high - low)) / 2)


def _with_accents(garland: Garland, route: Route, body: Strung) -> Strung:
    if not any(mix.role == "accent" for mix in garland.mix):
        return body
    tied = tied_on(garland, route)
    if not len(tied.radii):
        return body
    return Strung(*(np.concatenate([getattr(body, name), getattr(tied, name)]) for name in Strung.__slots__))
