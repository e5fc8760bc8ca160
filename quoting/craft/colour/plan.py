"""Colours of a whole design: pattern, spreading and few recipes, over all its pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from quoting.craft.colour import colouring
from quoting.craft.colour.grids import grid_colours
from quoting.craft.colour.recipes import count_recipes, with_few_recipes
from quoting.craft.colour.shares import counts_by_share
from quoting.craft.colour.zones import zone_colours
from quoting.craft.design.records import DRAWN, ROLES, ZONED, PaletteColour
from quoting.craft.settle.build import Built, Column, Piece
from quoting.craft.settle.relax import neighbours

Index = NDArray[np.int64]
ACCENT, FILLER = ROLES.index("accent"), ROLES.index("filler")
KEPT = 8  # designs whose contacts are kept, for another change of their colours (setting)
CONTACT_SLACK = 0.03  # pairs this share of their radii apart still read as touching (setting)


@dataclass(frozen=True, slots=True)
class Evenness:
    """How even the colours are, and what the wish for few recipes costs.

    ``contacts``: touching pairs; ``same_colour``: those of one colour; ``same_colour_free``: the same if
    every quad were free to differ; ``by_chance``: what random placing would give; ``recipes``,
    ``recipes_free``: different quads and fillers in the one case and in the other.
    """

    contacts: int
    same_colour: int
    same_colour_free: int
    by_chance: float
    recipes: int
    recipes_free: int


def colour_balloons(palette: Sequence[PaletteColour], made: Built) -> tuple[Index, Evenness]:
    """Colours of all balloons; shares hold to the balloon over the whole design but for walls that are drawn and
    garlands in zones."""
    balloons, pieces = made.columns, made.pieces
    if not balloons:
        return np.zeros(0, np.int64), Evenness(0, 0, 0, 0.0, 0, 0)
    shares = [colour.share for colour in palette]
    i, j = _touching(balloons["centres"].tobytes(), balloons["radius"].tobytes())
    piece, size, station = balloons["piece"], balloons["size_in"], balloons["station"]
    colour = np.zeros(len(size), np.int64)
    drawn = [k for k, one in enumerate(pieces) if one.pattern == DRAWN]
    for k in drawn:
        at = balloons["centres"][piece == k]
        colour[piece == k] = grid_colours(pieces[k].grid, at[:, 0], at[:, 1])
    codes = [one.colour for one in palette]
    zoned = [k for k, one in enumerate(pieces) if one.pattern == ZONED]
    for k in zoned:
        mine = np.flatnonzero(piece == k)
        along = np.clip(station[mine] / made.garlands[k].laid.length_m, 0.0, 1.0)
        units = _unit_numbers(pieces[k], balloons["role"][mine], balloons["quad"][mine])
        colour[mine] = zone_colours(pieces[k].zones, codes, along, units)
    for index, counts in _counts_by_piece(piece[~np.isin(piece, drawn + zoned)], shares).items():
        mine = np.flatnonzero(piece == index)
        place = colouring.Place(station[mine], balloons["angle"][mine], balloons["seat"][mine], size[mine])
        colour[mine] = colouring.laid(pieces[index].pattern, counts, place, pieces[index].bands)
    loose = np.isin(piece, [k for k, one in enumerate(pieces) if one.pattern == "scatter"])
    free = colour
    if loose.any():
        alike = np.where(loose, size + 100 * piece, -1)
        partners = _partners((piece * 1000.0 + station).tobytes(), alike.astype(np.int64).tobytes())
        free = colouring.spread(colour, i, j, partners)
    kept = _with_recipes_kept(pieces, balloons, free, i, j)
    return kept, Evenness(
        len(i),
        colouring.same_colour_contacts(kept, i, j),
        colouring.same_colour_contacts(free, i, j),
        colouring.expected_by_chance(shares, len(i)),
        _recipe_total(pieces, balloons, kept),
        _recipe_total(pieces, balloons, free),
    )


def units_of(piece: Piece, role: Index, quad: Index) -> list[tuple[str, Index, Index]]:
    """List what a crew makes by recipe, as (kind, members, unit number): quads on the string, and fillers of eight."""
    if piece.kind == "bouquet":
        return []
    strung = np.flatnonzero((role != ACCENT) & (role != FILLER))
    filler = np.flatnonzero(role == FILLER)
    quads = int(quad[strung].max()) + 1 if len(strung) else 0
    made = [(piece.cluster, strung, quad[strung]), ("filler", filler, (quad[filler] - quads) // 2)]
    return [unit for unit in made if len(unit[1])]


def forget() -> None:
    """Drop what is kept, so that a measurement of the work measures the work."""
    _touching.cache_clear()
    _partners.cache_clear()


# Private


@lru_cache(maxsize=KEPT)
def _touching(centres: bytes, radius: bytes) -> tuple[Index, Index]:
    """The touching pairs of balloons, which other shares of the colours leave as they are."""
    pairs = neighbours(np.frombuffer(centres).reshape(-1, 3), np.frombuffer(radius), CONTACT_SLACK)
    for ends in pairs:
        ends.setflags(write=False)
    return pairs


@lru_cache(maxsize=KEPT)
def _partners(station: bytes, alike: bytes) -> tuple[tuple[int, ...], ...]:
    """For each balloon those that it may change colours with: near ones with the same number, none below zero."""
    numbers = np.frombuffer(alike, np.int64)
    found = colouring.near_partners(np.frombuffer(station), numbers)
    return tuple(
        tuple(row) if number >= 0 else () for row, number in zip(found, numbers.tolist(), strict=True)
    )


def _counts_by_piece(piece: Index, shares: list[float]) -> dict[int, list[float]]:
    """Balloons by colour for each piece, such that all of them together meet the shares to the balloon."""
    left = list(counts_by_share(len(piece), shares))
    indices = np.unique(piece).tolist()
    counts: dict[int, list[float]] = {}
    if not indices:
        return counts
    for index in indices[:-1]:
        here = counts_by_share(int(np.count_nonzero(piece == index)), [float(n) for n in left])
        counts[index] = [float(n) for n in here]
        left = [a - b for a, b in zip(left, here, strict=True)]
    counts[indices[-1]] = [float(n) for n in left]
    return counts


def _units(pieces: Sequence[Piece], balloons: Mapping[str, Column]) -> list[tuple[int, str, Index, Index]]:
    found = []
    for index, piece in enumerate(pieces):
        mine = np.flatnonzero(balloons["piece"] == index)
        for kind, members, unit in units_of(piece, balloons["role"][mine], balloons["quad"][mine]):
            found.append((index, kind, mine[members], unit))
    return found


def _unit_numbers(piece: Piece, role: Index, quad: Index) -> Index:
    """The number of the quad or filler that each balloon of a piece is made up in; -1 for those tied on alone."""
    numbers = np.full(len(role), -1, np.int64)
    first = 0
    for _, members, unit in units_of(piece, role, quad):
        numbers[members] = first + unit
        first += int(unit.max()) + 1
    return numbers


def _recipe_total(pieces: Sequence[Piece], balloons: Mapping[str, Column], colour: Index) -> int:
    """Different quads and fillers over the whole design; those of two pieces count once for each."""
    size = balloons["size_in"]
    return sum(
        len(count_recipes(unit, size[m], colour[m], kind)) for _, kind, m, unit in _units(pieces, balloons)
    )


def _with_recipes_kept(
    pieces: Sequence[Piece], balloons: Mapping[str, Column], colour: Index, i: Index, j: Index
) -> Index:
    """Colours after few recipes where a piece wishes for them, spread again within each quad and filler."""
    result = colour.copy()
    size = balloons["size_in"]
    bound = -1 - np.arange(len(size))
    numbered = 0
    made = _units(pieces, balloons)
    for index, piece in enumerate(pieces):
        mine = [(kind, m, unit) for k, kind, m, unit in made if k == index]
        free = sum(len(count_recipes(unit, size[m], colour[m], kind)) for kind, m, unit in mine)
        if piece.recipes == 0 or free <= piece.recipes or piece.pattern != "scatter":
            continue
        for _, members, unit in mine:
            result[members] = with_few_recipes(unit, size[members], result[members])
            bound[members] = numbered + unit
            numbered += int(unit.max()) + 1
    if numbered == 0:
        return colour
    return colouring.spread(result, i, j, colouring.quad_partners(bound, size))
