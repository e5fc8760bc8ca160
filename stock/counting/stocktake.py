"""The stocktake: count the shelf place by place, and write the differences to the ledger.

People count only what lies at a place. What is out on events at that moment is added, so nobody has to know it; the
differences go into the ledger together, with a reason.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.core.exceptions import ValidationError
from django.db.models import Max
from django.utils import timezone

from stock.catalogue.items import MAX_QUANTITY
from stock.holds.availability import active_lines
from stock.ledger import movements
from stock.ledger.idempotency import once
from stock.models import Item, Movement, MovementKind, Nature
from stock.shelf.stock_levels import StockLevel, stock_levels
from studio.tenancy.access import require
from studio.tenancy.rights import Right

REASONS: Final = (
    "used but not recorded",
    "broken but not recorded",
    "found again",
    "counted wrong before",
    "don’t know",
)
"""Reasons for a difference. Common practice, no source."""


class CannotCount(ValidationError):
    """The count was refused and nothing was written; :attr:`by_item` has the errors by item id."""

    def __init__(self, by_item: Mapping[int, str]) -> None:
        super().__init__(list(by_item.values()))
        self.by_item = dict(by_item)


@dataclass(frozen=True, slots=True)
class Place:
    """One place on the shelf, and when it was last counted."""

    name: str
    items: int
    counted_at: datetime | None
    """The oldest count among its items; None if one of them was never counted."""


@dataclass(frozen=True, slots=True)
class Difference:
    """A count that differs from what was expected."""

    item: Item
    expected: int
    counted: int

    @property
    def by(self) -> int:
        """How many more (above zero) or fewer than expected."""
        return self.counted - self.expected

    @property
    def fewer(self) -> int:
        """How many are missing."""
        return max(0, -self.by)


def list_places() -> list[Place]:
    """The places of all items in use, by name. Two queries."""
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


def levels_at_place(place: str) -> list[StockLevel]:
    """The stock levels of all items in use at one place. Three queries."""
    require(Right.SEE_SHELF)
    items = Item.objects.select_related("colour").filter(retired_at=None, place=place)
    return stock_levels(list(items.order_by("kind", "size_in", "name")))


def find_differences(counted: Mapping[int, int]) -> list[Difference]:
    """The items whose count, by item id, differs from what is expected. Raises :class:`CannotCount`."""
    require(Right.EDIT_SHELF)
    items = list(Item.objects.select_related("colour").filter(pk__in=counted).order_by("pk"))
    return _differences(items, counted)


def record_counts(counted: Mapping[int, int], *, reason: str, key: str) -> list[Difference]:
    """Record the counts of a place, all or none, and return the differences.

    What is out on events at this moment is added to what is here. Raises :class:`CannotCount`.
    """
    require(Right.EDIT_SHELF)
    if not counted:
        raise ValidationError("Count at least one item.")
    asked = {"stock-take": {str(pk): counted[pk] for pk in sorted(counted)}, "reason": reason}

    def write() -> _StoredDifferences:
        items = movements.lock_items(counted)
        away = _away(item.pk for item in items)
        found = _differences(items, counted)
        owned = movements.balances(item.pk for item in items)
        lines = [
            (item, MovementKind.COUNTED, counted[item.pk] + away.get(item.pk, 0) - owned[item.pk])
            for item in items
        ]
        movements.write_movements([line for line in lines if line[2] == 0], reason="")
        movements.write_movements([line for line in lines if line[2] != 0], reason=reason)
        return _StoredDifferences(tuple((each.item.pk, each.expected, each.counted) for each in found))

    stored = once(key, asked, _StoredDifferences, write).differences
    by_id = Item.objects.in_bulk([pk for pk, _, _ in stored])
    return [Difference(by_id[pk], expected, number) for pk, expected, number in stored]


def count_all(item_id: int, owned: int, *, key: str, reason: str = "") -> movements.Written:
    """Set how many of an item the studio owns in all, including those that are out.

    Raises :class:`CannotCount` for fewer than are out at this moment.
    """
    require(Right.EDIT_SHELF)
    out = _away([item_id]).get(item_id, 0)
    if owned < out:
        raise CannotCount({item_id: f"{out} are out at the moment. Include them in the count."})
    return movements.count(item_id, owned, key=key, reason=reason)


# --- Private ---


@dataclass(frozen=True, slots=True)
class _StoredDifferences:
    """The answer as it is stored: item id, expected, counted."""

    differences: tuple[tuple[int, int, int], ...]


def _place(name: str, counted: list[datetime | None]) -> Place:
    known = [at for at in counted if at is not None]
    return Place(name, len(counted), min(known) if len(known) == len(counted) else None)


def _away(item_ids: Iterable[int]) -> dict[int, int]:
    """How many of each reusable item are out, in cleaning or in repair at this moment. One query."""
    now = timezone.now()
    away: dict[int, int] = defaultdict(int)
    lines = active_lines(now).filter(
        item_id__in=list(item_ids), item__nature=Nature.REUSABLE, busy_from__lte=now, busy_until__gt=now
    )
    for item_id, quantity in lines.values_list("item_id", "quantity"):
        away[item_id] += quantity
    return away


def _differences(items: list[Item], counted: Mapping[int, int]) -> list[Difference]:
    faults = {
        pk: f"Enter a count between 0 and {MAX_QUANTITY:,}."
        for pk, number in counted.items()
        if not 0 <= number <= MAX_QUANTITY
    }
    unknown = set(counted) - {item.pk for item in items}
    faults |= dict.fromkeys(unknown, "This item isn’t on the shelf.")
    if faults:
        raise CannotCount(faults)
    away = _away(item.pk for item in items)
    owned = movements.balances(item.pk for item in items)
    found = [
        Difference(item, max(0, owned[item.pk] - away.get(item.pk, 0)), counted[item.pk]) for item in items
    ]
    return [each for each in found if each.by]
