"""Counting the shelf, place by place: what is here is counted, what is out on jobs is known.

Somebody stands at a bay with a phone and writes down what lies there. What is away at that moment is added, so
that nobody has to know what is out; the differences go into the ledger together, with a reason.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db.models import Max
from django.utils import timezone

from stock.catalogue.items import MAX_QUANTITY
from stock.holds.availability import counting
from stock.ledger import movements
from stock.ledger.idempotency import once
from stock.models import Item, Movement, MovementKind
from stock.shelf.presenter import Stand, stands_of
from studio.tenancy.access import require
from studio.tenancy.rights import Right

REASONS: Final = (
    "used and not written down",
    "broken and not written down",
    "found again",
    "miscounted before",
    "don’t know",
)
"""Where a difference may come from, as people say it. Common practice, no source."""


class CannotCount(ValidationError):
    """What was counted can't be so; nothing was written. Faults by item id in :attr:`by_item`."""

    def __init__(self, by_item: Mapping[int, str]) -> None:
        super().__init__(list(by_item.values()))
        self.by_item = dict(by_item)


@dataclass(frozen=True, slots=True)
class Place:
    """One place of the shelf, and when it was last counted."""

    name: str
    items: int
    counted_at: datetime | None
    """When the item that was counted longest ago was counted; none if one of them never was."""


@dataclass(frozen=True, slots=True)
class Difference:
    """What was counted and what should have been there."""

    item: Item
    expected: int
    counted: int

    @property
    def by(self) -> int:
        """More (above zero) or fewer than should be there."""
        return self.counted - self.expected

    @property
    def fewer(self) -> int:
        """How many are missing."""
        return max(0, -self.by)


def places() -> list[Place]:
    """The places of everything in use, as one walks along the shelf. Two queries."""
    require(Right.SEE_SHELF)
    rows = Item.objects.filter(retired_at=None).order_by("place").values_list("pk", "place")
    by_place: dict[str, list[int]] = defaultdict(list)
    for pk, place in rows:
        by_place[place].append(pk)
    counted = dict(
        Movement.objects.filter(kind__in=[MovementKind.COUNTED, MovementKind.OPENING])
        .order_by()
        .values_list("item_id")
        .annotate(Max("at"))
    )
    return [_place(name, [counted.get(pk) for pk in ids]) for name, ids in by_place.items()]


def at_place(place: str) -> list[Stand]:
    """Everything in use at one place, with what should lie there now. Three queries."""
    require(Right.SEE_SHELF)
    items = Item.objects.select_related("colour").filter(retired_at=None, place=place)
    return stands_of(list(items.order_by("kind", "size_in", "name")))


def differences(counted: Mapping[int, int]) -> list[Difference]:
    """Where ``counted``, by item id, isn't what should be here. Raises :class:`CannotCount`."""
    require(Right.EDIT_SHELF)
    items = list(Item.objects.select_related("colour").filter(pk__in=counted).order_by("pk"))
    return _differences(items, counted)


def take(counted: Mapping[int, int], *, reason: str, key: str) -> list[Difference]:
    """Write down what was counted at a place: all of it or nothing; the differences are given back.

    What is out on jobs at this moment is added to what is here. Raises :class:`CannotCount`.
    """
    require(Right.EDIT_SHELF)
    if not counted:
        raise ValidationError("Count at least one thing.")
    asked = {"stock-take": {str(pk): counted[pk] for pk in sorted(counted)}, "reason": reason}

    def deed() -> dict[str, Any]:
        items = movements.lock(counted)
        away = _away(item.pk for item in items)
        found = _differences(items, counted)
        owned = movements.balances(item.pk for item in items)
        lines = [
            (item, MovementKind.COUNTED, counted[item.pk] + away.get(item.pk, 0) - owned[item.pk])
            for item in items
        ]
        movements.write([line for line in lines if line[2] == 0], reason="")
        movements.write([line for line in lines if line[2] != 0], reason=reason)
        return {"differences": [[each.item.pk, each.expected, each.counted] for each in found]}

    told = once(key, asked, deed)["differences"]
    by_id = Item.objects.in_bulk([pk for pk, _, _ in told])
    return [Difference(by_id[pk], expected, number) for pk, expected, number in told]


def count_all(item_id: int, owned: int, *, key: str, reason: str = "") -> movements.Written:
    """Set how many of an item there are in all, out ones too.

    Fewer than are out on jobs at this moment can't be; raises :class:`CannotCount`.
    """
    require(Right.EDIT_SHELF)
    out = _away([item_id]).get(item_id, 0)
    if owned < out:
        raise CannotCount({item_id: f"{out} are out at this moment. Count those that are out as well."})
    return movements.count(item_id, owned, key=key, reason=reason)


# --- Private ---


def _place(name: str, counted: list[datetime | None]) -> Place:
    known = [at for at in counted if at is not None]
    return Place(name, len(counted), min(known) if len(known) == len(counted) else None)


def _away(item_ids: Iterable[int]) -> dict[int, int]:
    """How many of each reusable are out at this moment, or in wash or mending. One query."""
    now = timezone.now()
    away: dict[int, int] = defaultdict(int)
    lines = counting(now).filter(
        item_id__in=list(item_ids), item__nature="reusable", busy_from__lte=now, busy_until__gt=now
    )
    for item_id, quantity in lines.values_list("item_id", "quantity"):
        away[item_id] += quantity
    return away


def _differences(items: list[Item], counted: Mapping[int, int]) -> list[Difference]:
    faults = {
        pk: f"A count lies between 0 and {MAX_QUANTITY:,}."
        for pk, number in counted.items()
        if not 0 <= number <= MAX_QUANTITY
    }
    unknown = set(counted) - {item.pk for item in items}
    faults |= dict.fromkeys(unknown, "This isn’t on the shelf.")
    if faults:
        raise CannotCount(faults)
    away = _away(item.pk for item in items)
    owned = movements.balances(item.pk for item in items)
    found = [
        Difference(item, max(0, owned[item.pk] - away.get(item.pk, 0)), counted[item.pk]) for item in items
    ]
    return [each for each in found if each.by]
