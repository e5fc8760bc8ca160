"""How old the latex on the shelf is: the oldest leaves first, so what is left came in last.

The age of what lies there follows from the ledger alone (first in, first out): the newest arrivals that together make
up what is on hand. Nobody needs to say from which bag a balloon was taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from stock.catalogue.shelf_rules import rules
from stock.ledger.movements import balances
from stock.models import Item, Kind, Movement, MovementKind
from studio.tenancy.access import require
from studio.tenancy.rights import Right

ARRIVALS = (MovementKind.OPENING, MovementKind.RECEIVED)
MOST_ARRIVALS = 200
"""Arrivals of one item that are looked at; what lies there is never older than that many."""
PERISHING = (Kind.LATEX, Kind.TWISTING)


@dataclass(frozen=True, slots=True)
class Arrival:
    """Pieces that came in at a moment, and the maker's mark on their bags."""

    at: datetime
    pieces: int
    batch: str = ""


@dataclass(frozen=True, slots=True)
class Layer:
    """What is left of an arrival."""

    at: datetime
    left: int
    batch: str = ""

    def best_until(self, life_days: int) -> date:
        """The last day of its best time."""
        return (self.at + timedelta(days=life_days)).date()


@dataclass(frozen=True, slots=True)
class Old:
    """An item of which some is past its best time, or soon will be."""

    item: Item
    pieces: int
    best_until: date


def layers(on_hand: int, newest_first: Iterable[Arrival]) -> list[Layer]:
    """What is left of each arrival, the oldest first. What no arrival explains (it was found while counting)
    counts as part of the oldest."""
    left = on_hand
    found: list[Layer] = []
    for arrival in newest_first:
        if left <= 0:
            break
        here = min(left, arrival.pieces)
        found.append(Layer(arrival.at, here, arrival.batch))
        left -= here
    if found and left > 0:
        oldest = found[-1]
        found[-1] = Layer(oldest.at, oldest.left + left, oldest.batch)
    return found[::-1]


def arrivals_of(item: Item) -> QuerySet[Any]:
    """When, how many and with which mark pieces of an item came in, the newest first."""
    rows = Movement.objects.filter(item=item, kind__in=ARRIVALS).order_by("-at", "-pk")
    return rows.values_list("at", "quantity", "batch")[:MOST_ARRIVALS]


def old(*, within: timedelta = timedelta()) -> list[Old]:
    """The latex that is past the studio's shelf life, or will be ``within`` a while. Four queries."""
    require(Right.SEE_SHELF)
    life = rules().latex_life_days
    items = {item.pk: item for item in Item.objects.filter(kind__in=PERISHING, retired_at=None)}
    on_hand = balances(items)
    limit = timezone.now() + within - timedelta(days=life)
    found = []
    for pk, arrivals in _arrivals(list(items)).items():
        past = [layer for layer in layers(on_hand[pk], arrivals) if layer.at < limit]
        if past:
            pieces = sum(layer.left for layer in past)
            found.append(Old(items[pk], pieces, past[0].best_until(life)))
    return sorted(found, key=lambda each: (each.best_until, each.item.code))


def _arrivals(item_ids: Sequence[int]) -> dict[int, list[Arrival]]:
    """Every arrival by item, the newest first. One query."""
    rows = Movement.objects.filter(item_id__in=item_ids, kind__in=ARRIVALS).order_by("item_id", "-at", "-pk")
    found: dict[int, list[Arrival]] = {}
    for item_id, at, pieces, batch in rows.values_list("item_id", "at", "quantity", "batch"):
        found.setdefault(item_id, []).append(Arrival(at, pieces, batch))
    return found
