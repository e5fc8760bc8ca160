"""Which balloon gets which colour: pattern, spreading, few recipes, over all garlands of a design."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.craft import colouring
from quoting.craft.colour_patterns import counts_by_share
from quoting.craft.design import ROLES, Design, Garland
from quoting.craft.recipes import count_recipes, with_few_recipes

Array = NDArray[np.float64]
Index = NDArray[np.int64]
ACCENT, FILLER = ROLES.index("accent"), ROLES.index("filler")
FREE_PATTERNS = ("scatter",)  # patterns whose colours may be exchanged for the sake of evenness


@dataclass(frozen=True, slots=True)
class Evenness:
    """How even the colours are, and what the wish for few recipes costs.

    ``contacts``: touching pairs; ``same_colour``: those of one colour; ``same_colour_free``: the same if every
    quad were free to differ; ``by_chance``: what random placing would give; ``recipes``, ``recipes_free``:
    different quads and fillers in the one case and in the other.
    """

    contacts: int
    same_colour: int
    same_colour_free: int
    by_chance: float
    recipes: int
    recipes_free: int


def colour_balloons(design: Design, balloons: Mapping[str, Array], i: Index, j: Index) -> tuple[Index, Evenness]:
    """Colours of all balloons; shares hold to the balloon over the whole design. ``i``, ``j``: touching pairs."""
    shares = [colour.share for colour in design.palette]
    garland, size, station = balloons["garland"], balloons["size_in"], balloons["station"]
    colour = np.zeros(len(size), np.int64)
    for index, counts in _counts_by_garland(garland, shares).items():
        mine = np.flatnonzero(garland == index)
        one = design.garlands[index]
        colour[mine] = colouring.laid(
            one.pattern, [float(n) for n in counts], station[mine], balloons["angle"][mine], size[mine], one.bands
        )
    loose = np.isin(garland, [k for k, one in enumerate(design.garlands) if one.pattern in FREE_PATTERNS])
    place = garland * 1000.0 + station
    partners = _only(loose, colouring.near_partners(place, np.where(loose, size, -1)))
    free = colouring.spread(colour, i, j, partners) if loose.any() else colour
    kept = _recipes_kept(design, balloons, free, i, j)
    same = colouring.same_colour_contacts(kept, i, j)
    return kept, Evenness(
        len(i), same, colouring.same_colour_contacts(free, i, j), colouring.expected_by_chance(shares, len(i)),
        recipe_total(design, balloons, kept), recipe_total(design, balloons, free),
    )


def units(garland: Garland, role: Index, quad: Index, quad_total: int) -> list[tuple[str, Index, Index]]:
    """What a crew makes by recipe: (kind, members, unit number): quads on the string, and fillers of eight."""
    strung = np.flatnonzero((role != ACCENT) & (role != FILLER))
    filler = np.flatnonzero(role == FILLER)
    return [
        (garland.cluster, strung, quad[strung]),
        ("filler", filler, (quad[filler] - quad_total) // 2),
    ]


def recipe_total(design: Design, balloons: Mapping[str, Array], colour: Index) -> int:
    """Different quads and fillers over the whole design; equal ones of two garlands count once each."""
    total = 0
    for index, one in enumerate(design.garlands):
        mine = np.flatnonzero(balloons["garland"] == index)
        for kind, members, unit in _units_of(one, balloons, mine):
            total += len(count_recipes(unit, balloons["size_in"][members], colour[members], kind))
    return total


# Private


def _counts_by_garland(garland: Index, shares: list[float]) -> dict[int, list[int]]:
    """Balloons by colour for each garland, such that the whole design meets the shares to the balloon."""
    total = counts_by_share(len(garland), shares)
    left = list(total)
    indices = np.unique(garland).tolist()
    counts: dict[int, list[int]] = {}
    for index in indices[:-1]:
        here = counts_by_share(int(np.count_nonzero(garland == index)), [float(n) for n in left])
        counts[index] = list(here)
        left = [a - b for a, b in zip(left, here, strict=True)]
    counts[indices[-1]] = left
    return counts


def _only(loose: NDArray[np.bool_], partners: list[list[int]]) -> list[list[int]]:
    return [row if free else [] for row, free in zip(partners, loose.tolist(), strict=True)]


def _units_of(garland: Garland, balloons: Mapping[str, Array], mine: Index) -> list[tuple[str, Index, Index]]:
    role, quad = balloons["role"][mine], balloons["quad"][mine]
    strung = quad[(role != ACCENT) & (role != FILLER)]
    quad_total = int(strung.max()) + 1 if len(strung) else 0
    return [(kind, mine[m], unit) for kind, m, unit in units(garland, role, quad, quad_total) if len(m)]


def _recipes_kept(design: Design, balloons: Mapping[str, Array], colour: Index, i: Index, j: Index) -> Index:
    """Colours after few recipes where a garland wishes for them, spread again within each quad and filler."""
    result = colour.copy()
    size = balloons["size_in"]
    bound = np.full(len(size), -1, np.int64)
    numbered = 0
    for index, one in enumerate(design.garlands):
        mine = np.flatnonzero(balloons["garland"] == index)
        made = _units_of(one, balloons, mine)
        free = sum(len(count_recipes(unit, size[m], colour[m], kind)) for kind, m, unit in made)
        if one.recipes == 0 or free <= one.recipes or one.pattern not in FREE_PATTERNS:
            continue
        for _, members, unit in made:
            result[members] = with_few_recipes(unit, size[members], result[members])
            bound[members] = numbered + unit
            numbered += int(unit.max()) + 1
    if numbered == 0:
        return colour
    partners = colouring.quad_partners(np.where(bound >= 0, bound, -1 - np.arange(len(bound))), size)
    return colouring.spread(result, i, j, partners)
