"""Substitutes for an item that is short: a similar colour, a frame of similar size."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from django.db.models import Q

from stock.holds.availability import Available, Shortage, check_items
from stock.models import Colour, Hold, Item, Kind
from studio.measures.times import Window
from studio.models.spelling import spelled
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.trade.colour_difference import difference

MOST: Final = 3
"""Largest number of substitutes for each item."""
FAR: Final = 25.0
"""CIEDE2000 above which two colours aren't similar. Our choice, no source."""
FITS_WITHIN: Final = 0.12
"""Share by which a frame may be wider or higher and still serve. Our choice, no source."""


@dataclass(frozen=True, slots=True)
class Substitute:
    """A substitute, how many are available, and how different it is (0 is the same)."""

    item: Item
    free: int
    difference: float
    words: str


def find_substitutes(
    short: Sequence[Available], window: Window, *, besides: int | None = None
) -> dict[str, tuple[Substitute, ...]]:
    """For each item that is short: the items available in the full quantity, the most similar first.

    ``besides`` is a hold that doesn't count. The number of queries doesn't grow with the items.
    """
    require(Right.SEE_SHELF)
    wanted = [(each, each.item) for each in short if each.item is not None]
    candidates = _candidates(wanted)
    ask = dict.fromkeys(candidates, 1)
    free = {each.code: each.free for each in check_items(candidates, ask, window, besides=besides)}
    answer = {}
    for each, item in wanted:
        near = [
            Substitute(other, free[code], *off)
            for code, other in candidates.items()
            if other.pk != item.pk
            and free[code] >= each.needed
            and (off := _compare(item, other)) is not None
        ]
        answer[each.code] = tuple(sorted(near, key=lambda one: (one.difference, one.item.code))[:MOST])
    return answer


def find_for_shortage(shortage: Shortage) -> tuple[Substitute, ...]:
    """What is available instead of all that a hold has of the item that it is short of. Five queries."""
    hold = Hold.objects.get(pk=shortage.hold_id)
    window = Window(hold.starts_at, hold.ends_at)
    short = Available(shortage.item.code, shortage.held, shortage.item)
    return find_substitutes([short], window, besides=hold.pk).get(shortage.item.code, ())


# --- Private ---

_READ: Final = (
    *("code", "name", "kind", "nature", "size_in", "turnaround_hours", "outline", "fits_frame_id"),
    *("colour__hex", "colour__lightness", "colour__a", "colour__b"),
)
"""Columns that comparing and naming a substitute take."""


def _candidates(wanted: Iterable[tuple[Available, Item]]) -> dict[str, Item]:
    """The items in use of the kinds wanted, balloons also of the size, of which there are enough for any of them."""
    alike = Q(pk__in=[])
    for each, item in wanted:
        size = {"size_in": item.size_in} if item.kind == Kind.LATEX else {}
        alike |= Q(kind=item.kind, balances__on_hand__gte=each.needed, **size)
    found = Item.objects.select_related("colour").filter(alike, retired_at=None).only(*_READ)
    return {item.code: item for item in found.order_by("code")}


def _compare(wanted: Item, other: Item) -> tuple[float, str] | None:
    """How different ``other`` is from ``wanted``, and in what; None if it is no substitute."""
    if wanted.kind != other.kind:
        return None
    if wanted.kind == Kind.FRAME:
        return _compare_frames(wanted, other)
    if wanted.kind == Kind.LATEX and wanted.size_in != other.size_in:
        return None
    if wanted.kind == Kind.COVER and wanted.fits_frame_id != other.fits_frame_id:
        return None
    if wanted.kind not in {Kind.LATEX, Kind.TWISTING, Kind.COVER} or not wanted.colour or not other.colour:
        return None
    if wanted.kind == Kind.COVER and wanted.fits_frame_id is None:
        return None
    apart = _colour_difference(wanted.colour, other.colour)
    return (apart, _likeness_words(apart)) if apart <= FAR else None


def _colour_difference(first: Colour, second: Colour) -> float:
    return difference((first.lightness, first.a, first.b), (second.lightness, second.a, second.b))


def _likeness_words(apart: float) -> str:
    """A difference in words. CIEDE2000 of about 1 is just seen side by side (CIE 142-2001); the steps above are
    our choice."""
    if apart < 2:
        return "almost identical"
    if apart < 6:
        return "very similar"
    return "similar" if apart < 12 else spelled("same color family, visibly different")


def _compare_frames(wanted: Item, other: Item) -> tuple[float, str] | None:
    mine, theirs = wanted.outline or {}, other.outline or {}
    if not mine or mine.get("shape") != theirs.get("shape"):
        return None
    try:
        off = max(abs(theirs[side] / mine[side] - 1) for side in ("width_m", "height_m"))
    except (KeyError, ZeroDivisionError):
        return None
    return (off, f"same shape, size within {off:.0%}") if off <= FITS_WITHIN else None
