"""Whereabouts: how many pieces of an item are away from their place now, and for what.

The ledger has a consumable until the returns of its event are counted, but the consumable leaves its place with the
van. What people have seen leave and come back (:data:`sightings`) is better than the plan of the hold.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from stock.models import HoldLine, HoldState, Purpose
from studio.registry import Registry


@dataclass(frozen=True, slots=True)
class Away:
    """Pieces of one item that are away from their place for one hold."""

    item_id: int
    hold_id: int
    label: str
    quantity: int
    planned: int = 0
    """How many of them nobody saw leave: they did by the plan of the hold."""
    is_uncounted: bool = False
    """Whether they were due back before now and nobody has counted the returns: some may lie in their place."""


@dataclass(frozen=True, slots=True)
class Sighting:
    """How many pieces of a hold left the house by what people ticked, and how many of them came back whole."""

    hold_id: int
    code: str
    left: int
    back: int = 0
    assumed: int = 0
    """How many of those that left nobody ticked: the van was closed, and they are taken to have gone with the rest."""
    is_accounted_for: bool = False
    """Whether it is known of each of them what became of it."""


sightings: Final = Registry[Callable[[Collection[int]], Iterable[Sighting]]]()
"""What rooms above know of the pieces of these holds; they leave out what nobody looked at."""


def find_away(item_ids: Iterable[int], *, now: datetime) -> dict[int, list[Away]]:
    """What is away of each item at this moment, out on an event, in cleaning or in repair. One query, and those of the
    rooms above."""
    lines = (
        HoldLine.objects.filter(hold__state=HoldState.HELD, standing=True, item_id__in=list(item_ids))
        .select_related("hold", "item")
        .only(
            "quantity", "busy_from", "busy_until", "handed_on_id", "hold__label", "hold__purpose", "hold__ends_at",
            "item__code", "item__nature",
        )
        .order_by("busy_from", "pk")
    )  # fmt: skip
    by_stay: dict[tuple[int, int], list[HoldLine]] = defaultdict(list)
    for line in lines:
        by_stay[line.hold_id, line.item_id].append(line)
    seen = _find_sightings({hold_id for hold_id, _ in by_stay})
    found: dict[int, list[Away]] = defaultdict(list)
    for stay in by_stay.values():
        away = _away(stay, seen, now)
        if away.quantity:
            found[away.item_id].append(away)
    return dict(found)


# --- Private ---


def _find_sightings(hold_ids: Collection[int]) -> dict[tuple[int, str], Sighting]:
    if not hold_ids:
        return {}
    return {(seen.hold_id, seen.code): seen for provider in sightings for seen in provider(hold_ids)}


def _away(stay: Sequence[HoldLine], seen: dict[tuple[int, str], Sighting], now: datetime) -> Away:
    """What is away of one item for one hold; ``stay`` are its lines."""
    hold, item = stay[0].hold, stay[0].item
    is_overdue = hold.purpose == Purpose.JOB and hold.ends_at <= now
    # What is transferred leaves one event for another, past any list of what was loaded here.
    sighting = None if any(line.handed_on_id for line in stay) else seen.get((hold.pk, item.code))
    if sighting:
        left = max(0, sighting.left - sighting.back)
        is_uncounted = is_overdue and not sighting.is_accounted_for
        return Away(
            item.pk, hold.pk, hold.label, left, min(left, sighting.assumed), is_uncounted=is_uncounted
        )
    if is_overdue:
        whole = sum(line.quantity for line in stay)
        return Away(item.pk, hold.pk, hold.label, whole, whole, is_uncounted=True)
    begun = [line for line in stay if line.busy_from <= now]
    out = begun if not item.is_reusable else [line for line in begun if now < line.busy_until]
    whole = sum(line.quantity for line in out)
    return Away(item.pk, hold.pk, hold.label, whole, whole)
