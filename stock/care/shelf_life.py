"""Shelf life of latex, first in, first out: what is left came in last.

The age of the stock follows from the ledger alone: it is the newest arrivals that add up to the balance. Nobody has to
record which bag a balloon came from.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone

from stock.catalogue.shelf_rules import find_rules
from stock.ledger.movements import balances, net_movements
from stock.models import Item, Kind, MovementKind
from studio.tenancy.access import require
from studio.tenancy.rights import Right

ARRIVALS = (MovementKind.OPENING, MovementKind.RECEIVED)
MOST_ARRIVALS = 200
"""How many arrivals of one item are read; stock is never older than that many arrivals."""
PERISHING = (Kind.LATEX, Kind.TWISTING)


@dataclass(frozen=True, slots=True)
class Arrival:
    """Pieces that came in at a moment, and their batch number."""

    at: datetime
    pieces: int
    batch: str = ""


@dataclass(frozen=True, slots=True)
class Layer:
    """The pieces left of one arrival."""

    at: datetime
    left: int
    batch: str = ""

    def best_until(self, life_days: int) -> date:
        """The last day of its shelf life."""
        return (self.at + timedelta(days=life_days)).date()


@dataclass(frozen=True, slots=True)
class OldStock:
    """An item with pieces past their shelf life, or soon past it."""

    item: Item
    pieces: int
    best_until: date


def remaining_layers(on_hand: int, newest_first: Iterable[Arrival]) -> list[Layer]:
    """The pieces left of each arrival, the oldest first. Pieces that no arrival explains (a count found them)
    belong to the oldest.
    """
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


def list_arrivals(item: Item) -> list[Arrival]:
    """The arrivals of an item, the newest first. One query."""
    rows = net_movements(*ARRIVALS).filter(pieces__gt=0, item=item).order_by("-at", "-pk")
    return [Arrival(*row) for row in rows.values_list("at", "pieces", "batch")[:MOST_ARRIVALS]]


def find_old_stock(*, within: timedelta = timedelta()) -> list[OldStock]:
    """The latex past the studio's shelf life, or past it ``within`` that time. Four queries."""
    require(Right.SEE_SHELF)
    life = find_rules().latex_life_days
    items = {item.pk: item for item in Item.objects.filter(kind__in=PERISHING, retired_at=None)}
    on_hand = balances(items)
    limit = timezone.now() + within - timedelta(days=life)
    found = []
    for pk, arrivals in _arrivals(list(items)).items():
        past = [layer for layer in remaining_layers(on_hand[pk], arrivals) if layer.at < limit]
        if past:
            pieces = sum(layer.left for layer in past)
            found.append(OldStock(items[pk], pieces, past[0].best_until(life)))
    return sorted(found, key=lambda each: (each.best_until, each.item.code))


def _arrivals(item_ids: Sequence[int]) -> dict[int, list[Arrival]]:
    """Every arrival by item, the newest first. One query."""
    rows = (
        net_movements(*ARRIVALS).filter(pieces__gt=0, item_id__in=item_ids).order_by("item_id", "-at", "-pk")
    )
    found: dict[int, list[Arrival]] = {}
    for item_id, at, pieces, batch in rows.values_list("item_id", "at", "pieces", "batch"):
        found.setdefault(item_id, []).append(Arrival(at, pieces, batch))
    return found
