"""Fitting a set piece to the shelf: the same look from latex that is free on the day.

A colour that is short is replaced by the nearest one of which enough is free in every size; among those within
:data:`FARTHEST` what lies open already goes first. Nearness is CIEDE2000 between the colours as the shelf keeps them:
latex under a room's light may differ, so it is a proposal to look at.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from quoting.craft.design.records import Design
from quoting.craft.sheets.stored import StoredTakeoff
from quoting.models import SetPiece
from quoting.quotes import stock_view
from quoting.quotes.sheet import Sheet
from quoting.set_pieces import alter
from quoting.set_pieces.alter import Owned
from quoting.set_pieces.worked import worked
from quoting.suggestions import budget
from stock.catalogue import items as catalogue
from stock.holds.availability import Available
from studio.measures.times import Window
from studio.trade.colour_difference import nearest_colours
from studio.trade.latex import round_name

FARTHEST: Final = 10.0
"""CIEDE2000 difference up to which another colour passes for the same look. Common practice, no source."""
NOT_TOLD_APART, CLOSE = 2.0, 5.0


@dataclass(frozen=True, slots=True)
class Swap:
    """One colour in another's place. ``difference`` is CIEDE2000; ``opened``: open bags cover it."""

    old: str
    old_name: str
    old_hex: str
    new: str
    new_name: str
    new_hex: str
    difference: float
    opened: bool

    @property
    def words(self) -> str:
        """How much alike they look."""
        if self.difference <= NOT_TOLD_APART:
            alike = "nearly identical"
        elif self.difference <= CLOSE:
            alike = "close"
        else:
            alike = "slightly different"
        return f"{alike}, from opened bags" if self.opened else alike


@dataclass(frozen=True, slots=True)
class Proposal:
    """The piece in other colours. ``bags`` need not be bought, which saves ``saved`` (the owner's to see)."""

    swaps: tuple[Swap, ...]
    takeoff: StoredTakeoff
    picture: str
    total: Decimal
    bags: int
    saved: Decimal
    still_short: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What came out: a proposal, or why there is none."""

    proposal: Proposal | None
    short: tuple[str, ...]
    """Colours that are short, in words."""


def propose(read: Sheet, piece: SetPiece, window: Window, *, besides: Collection[int]) -> Answer:
    """The piece from what is free in ``window``, beside everything else in the quote. Two queries."""
    free = _free(read, piece, window, besides=besides)
    needed = _by_colour(piece)
    short = [code for code, sizes in needed.items() if _lacks(code, sizes, free)]
    names = {colour["colour"]: colour["name"] for colour in piece.design["palette"]}
    told = tuple(names[code] for code in short)
    swaps: list[Swap] = []
    for code in sorted(short, key=lambda each: -sum(needed[each].values())):
        swap = _nearest(code, piece, needed[code], free, read.owned, taken={each.new for each in swaps})
        swaps += [swap] if swap else []
    if not swaps:
        return Answer(None, told)
    return Answer(_worked_out(read, piece, swaps, free), told)


def swapped(piece: SetPiece, swaps: Sequence[tuple[str, str]], owned: Owned) -> Design:
    """The piece's design with each first colour code of ``swaps`` replaced by the second."""
    design = piece.read_design()
    return alter.altered(design, {f"swap.{old}": new for old, new in swaps}, owned)


# Private

Free = Mapping[str, Available]


def _by_colour(piece: SetPiece) -> dict[str, dict[int, int]]:
    """Balloons to bring by colour and size."""
    found: dict[str, dict[int, int]] = {}
    for count in piece.takeoff.counts:
        found.setdefault(count.colour, {})[count.size_in] = count.to_bring
    return found


def _free(read: Sheet, piece: SetPiece, window: Window, *, besides: Collection[int]) -> Free:
    """How every colour of the studio stands in every size of the piece; what the quote's other pieces need is gone."""
    sizes = {count.size_in for count in piece.takeoff.counts}
    colours = {*read.owned.colours, *(colour["colour"] for colour in piece.design["palette"])}
    codes = {catalogue.latex_code(size, colour) for size in sizes for colour in colours}
    items, _ = stock_view.read(codes)
    elsewhere = dict.fromkeys(codes, 0)
    for other in read.pieces:
        for line in other.takeoff.bill if other.pk != piece.pk else ():
            if line.code in elsewhere:
                elsewhere[line.code] += line.quantity
    return {each.code: each for each in stock_view.on_the_day(elsewhere, items, window, besides=besides)}


def _spare(code: str, free: Free) -> int:
    standing = free.get(code)
    return 0 if standing is None or standing.item is None else standing.free - standing.needed


def _lacks(colour: str, sizes: Mapping[int, int], free: Free) -> bool:
    return any(_spare(catalogue.latex_code(size, colour), free) < count for size, count in sizes.items())


def _is_open(colour: str, sizes: Mapping[int, int], free: Free) -> bool:
    """Whether the bags that are open already cover every size."""
    for size, count in sizes.items():
        code = catalogue.latex_code(size, colour)
        item = free[code].item
        if item is None or not item.bag_size or _spare(code, free) % item.bag_size < count:
            return False
    return True


def _nearest(
    code: str, piece: SetPiece, sizes: Mapping[int, int], free: Free, owned: Owned, *, taken: set[str]
) -> Swap | None:
    old = next(colour for colour in piece.design["palette"] if colour["colour"] == code)
    palette = {colour["colour"] for colour in piece.design["palette"]}
    there = [
        other for other in owned.colours if other not in palette | taken and not _lacks(other, sizes, free)
    ]
    if not there:
        return None
    near = nearest_colours(old["hex"], [owned.colours[other][1] for other in there], count=len(there))
    found = [
        Swap(
            code, old["name"], old["hex"], there[each.index], *owned.colours[there[each.index]],
            round(each.difference, 1), _is_open(there[each.index], sizes, free),
        )
        for each in near
        if each.difference <= FARTHEST
    ]  # fmt: skip
    return min(found, key=lambda swap: (not swap.opened, swap.difference), default=None)


def _worked_out(read: Sheet, piece: SetPiece, swaps: Sequence[Swap], free: Free) -> Proposal:
    """The real take-off in the new colours, what it costs, and what need not be bought."""
    result = worked(swapped(piece, [(swap.old, swap.new) for swap in swaps], read.owned))
    _, bags, price = _buying(piece.takeoff, free)
    still_short, bags_after, price_after = _buying(result.takeoff, free)
    return Proposal(
        tuple(swaps),
        result.takeoff,
        result.picture,
        budget.priced(read, piece, result.takeoff),
        bags - bags_after,
        price - price_after,
        tuple(still_short),
    )


def _buying(takeoff: StoredTakeoff, free: Free) -> tuple[list[str], int, Decimal]:
    """What a take-off lacks, in words; the bags to buy for it; their price."""
    lacking, bags, price = [], 0, Decimal(0)
    for count in takeoff.counts:
        code = catalogue.latex_code(count.size_in, count.colour)
        missing = count.to_bring - max(0, _spare(code, free))
        if missing <= 0:
            continue
        lacking.append(round_name(count.size_in, count.name))
        item = free[code].item if code in free else None
        if item is not None and item.bag_size:
            bags += -(-missing // item.bag_size)
            price += (item.bag_price or Decimal(0)) * -(-missing // item.bag_size)
    return lacking, bags, price
