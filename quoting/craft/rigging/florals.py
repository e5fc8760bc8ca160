"""Florals: greenery woven along the route, picks at gaps, sprays few and evenly spread."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.records import Floral
from quoting.craft.design.routes import Route

Array = NDArray[np.float64]
OVERLAP = 1.12  # two pieces of greenery overlap, and their ends are tucked in (common practice, no source)
GOLDEN = 0.6180339887498949  # golden section, exact


@dataclass(frozen=True, slots=True)
class Leaf:
    """One leaf, pick or spray as seen: place [m], direction in the picture [rad], length [m].

    ``stem`` [m]: where the vine comes from, as an offset in the picture; (0, 0) where it comes from the
    inside.
    """

    x: float
    y: float
    z: float
    angle: float
    size_m: float
    floral: int
    kind: str
    station: float
    stem: tuple[float, float] = (0.0, 0.0)
    garland: int = 0


@dataclass(frozen=True, slots=True)
class FloralCount:
    """How much of one floral a design needs: pieces to bring, and metres for greenery."""

    item: str
    label: str
    kind: str
    pieces: int
    length_m: float


def count_florals(florals: tuple[Floral, ...], routes: list[Route]) -> tuple[FloralCount, ...]:
    """Count the pieces of every floral over all routes: lengths and spacings as the design gives them (common practice,
    no source), rounded up to whole pieces once.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.settle.build import routes_of
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [(one.item, one.pieces) for one in count_florals(design.florals, routes_of(design))]
    [('greenery-eucalyptus', 3), ('pick-fern', 9)]
    """
    run = sum(route.length_m for route in routes)
    counts = []
    for floral in florals:
        if floral.kind == "greenery":
            length = floral.share * run * OVERLAP
            counts.append(
                FloralCount(
                    floral.item, floral.label, floral.kind, math.ceil(length / floral.piece_m - 1e-9), length
                )
            )
        else:
            counts.append(
                FloralCount(floral.item, floral.label, floral.kind, round(run / floral.spacing_m), 0.0)
            )
    return tuple(counts)


def place_florals(
    florals: tuple[Floral, ...], route: Route, reach_m: float, rng: np.random.Generator, *, garland: int
) -> list[Leaf]:
    """Place leaves on the visible side of one garland; ``reach_m`` [m] is the distance from string to outside."""
    leaves: list[Leaf] = []
    for k, floral in enumerate(florals):
        if floral.kind == "greenery":
            for strand in range(math.ceil(floral.share - 1e-9)):
                share = min(floral.share - strand, 1.0)
                leaves.extend(
                    _woven(replace(floral, share=share), k, route, reach_m, rng, turn=strand * math.pi)
                )
        else:
            leaves.extend(_set(floral, k, route, reach_m, rng))
    return [replace(leaf, garland=garland) for leaf in leaves] if garland else leaves


# Private


def _woven(
    floral: Floral, k: int, route: Route, reach: float, rng: np.random.Generator, *, turn: float
) -> list[Leaf]:
    """A vine that winds in and out: shown where it comes to the outside, both ends hidden. ``turn`` [rad]: where a
    second vine winds beside the first."""
    visible = floral.share * route.length_m
    step = 0.62 * floral.size_m
    n = int(visible / step)
    if n < 2:
        return []
    s = (np.arange(n) + 0.5) * route.length_m / n
    wave = 2 * math.pi * s / (5.2 * reach) + turn
    depth = np.sin(wave)
    side = 0.85 * np.sin(0.61 * wave + 1.0)
    _, sideways, facing = route.triad(s)
    out = facing * np.cos(side)[:, None] + sideways * np.sin(side)[:, None]
    place = route.at(s) + out * (reach * (0.86 + 0.14 * depth))[:, None]
    end = np.minimum(s, route.length_m - s)
    shown = (depth > -0.2) & (end > 0.8 * reach) & (place[:, 1] > 0.3 * reach)
    heading = np.arctan2(*np.gradient(place[:, :2], axis=0).T[::-1])
    leaves = []
    for m in np.flatnonzero(shown).tolist():
        stem = _xy(place[m - 1] - place[m]) if m and shown[m - 1] else (0.0, 0.0)
        for lean in (0.85, -0.85):
            angle = heading[m] + lean + rng.uniform(-0.25, 0.25)
            size = floral.size_m * rng.uniform(0.72, 1.1)
            leaves.append(Leaf(*_xyz(place[m]), float(angle), float(size), k, floral.kind, float(s[m]), stem))
            stem = (0.0, 0.0)
    return leaves


def _set(floral: Floral, k: int, route: Route, reach: float, rng: np.random.Generator) -> list[Leaf]:
    n = round(route.length_m / floral.spacing_m)
    if n < 1:
        return []
    s = (np.arange(n) + 0.5) * route.length_m / n
    turn = (np.arange(n) * GOLDEN % 1.0 - 0.5) * 2.0
    _, sideways, facing = route.triad(s)
    out = facing * np.cos(turn)[:, None] + sideways * np.sin(turn)[:, None]
    place = route.at(s) + out * (0.98 * reach)
    place[:, 1] = np.maximum(place[:, 1], 0.4 * reach)
    angle = np.arctan2(out[:, 1], out[:, 0]) + rng.uniform(-0.4, 0.4, n)
    low = place[:, 1] < 0.6 * floral.size_m + 0.4 * reach  # near the floor a piece can only point up
    angle = np.where(low & (np.sin(angle) < 0.2), math.pi / 2 - np.sign(np.cos(angle)) * 0.9, angle)
    return [
        Leaf(*_xyz(place[m]), float(angle[m]), floral.size_m, k, floral.kind, float(s[m])) for m in range(n)
    ]


def _xyz(point: Array) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])


def _xy(offset: Array) -> tuple[float, float]:
    return float(offset[0]), float(offset[1])
