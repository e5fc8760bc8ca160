"""Substitutes: colours at hand that may stand in for those of a palette."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from quoting.craft.design.records import PaletteColour
from studio.trade.colour import lab_from_srgb, srgb_from_hex
from studio.trade.colour_difference import ciede2000
from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray, not_negative

LIMIT = 10.0
"""CIEDE2000 difference up to which a colour is proposed. Common practice, no source: side by side one sees 1 to 2, ten
is the same family of colours. The formula was made for differences up to some 5."""
# Settings of the search.
MOST_OTHERS = 3
UNFIT = 1e6


@dataclass(frozen=True, slots=True)
class ColourAtHand:
    """A colour that may be taken: its code, name and sRGB code, and its L*a*b* (D65) where somebody measured it."""

    colour: str
    name: str
    hex: str
    lab: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """A colour at hand and its CIEDE2000 difference from the wanted one."""

    colour: ColourAtHand
    difference: float


@dataclass(frozen=True, slots=True)
class Substitute:
    """What to take for one colour of a palette.

    ``proposal`` is None where nothing at hand lies within the limit; its difference is 0 where the colour itself is at
    hand. ``others``: the next nearest within the limit, nearest first. ``nearest``: the nearest of all, limit or not;
    None only where nothing is at hand.
    """

    wanted: PaletteColour
    proposal: Proposal | None
    others: tuple[Proposal, ...]
    nearest: Proposal | None


def substitutes(
    palette: Sequence[PaletteColour], at_hand: Sequence[ColourAtHand], *, limit: float = LIMIT
) -> tuple[Substitute, ...]:
    """Propose for each colour of a palette one of the colours at hand, in the palette's order.

    A colour that is at hand stays itself. Two colours of a palette never become one: the proposals differ from each
    other and are together as near as they can be, as many colours as possible being met within ``limit`` (assignment
    problem). Differences are CIEDE2000. CraftError for a limit below 0, a code that is no colour, or a colour at hand
    listed twice.

    >>> wanted = [PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=1.0)]
    >>> (found,) = substitutes(wanted, [ColourAtHand("pearl", "Pearl", "#F4EFE6")])
    >>> round(found.proposal.difference, 1)
    3.5
    """
    not_negative("limit", limit, "")
    codes = [one.colour for one in at_hand]
    if len(set(codes)) != len(codes):
        raise CraftError("colours at hand hold one twice; list each once.")
    if not at_hand or not palette:
        return tuple(Substitute(wanted, None, (), None) for wanted in palette)
    difference = _differences(palette, at_hand)
    taken = _assigned(difference, limit)
    found = []
    for k, wanted in enumerate(palette):
        near = [
            Proposal(at_hand[c], float(difference[k, c])) for c in np.argsort(difference[k], kind="stable")
        ]
        mine = None if (c := taken[k]) is None else Proposal(at_hand[c], float(difference[k, c]))
        others = [
            one for one in near if one.difference <= limit and (mine is None or one.colour != mine.colour)
        ]
        found.append(Substitute(wanted, mine, tuple(others[:MOST_OTHERS]), near[0]))
    return tuple(found)


# Private


def _differences(palette: Sequence[PaletteColour], at_hand: Sequence[ColourAtHand]) -> FloatArray:
    """Differences (palette, at hand); 0 for a colour to itself, however either was measured."""
    wanted = np.stack([lab_from_srgb(srgb_from_hex(one.hex)) for one in palette])
    given = np.stack(
        [np.array(one.lab) if one.lab else lab_from_srgb(srgb_from_hex(one.hex)) for one in at_hand]
    )
    table = ciede2000(wanted[:, None, :], given[None, :, :])
    same = np.array([[a.colour == b.colour for b in at_hand] for a in palette])
    return np.where(same, 0.0, table)


def _assigned(difference: FloatArray, limit: float) -> list[int | None]:
    """Column taken for each row; None where nothing within the limit is left."""
    from scipy.optimize import linear_sum_assignment  # late: slow to import

    rows, columns = linear_sum_assignment(np.where(difference <= limit, difference, UNFIT))
    taken: list[int | None] = [None] * len(difference)
    for row, column in zip(rows.tolist(), columns.tolist(), strict=True):
        if difference[row, column] <= limit:
            taken[row] = column
    return taken
