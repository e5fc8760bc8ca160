"""The stocktake: count the shelf place by place, and write the differences to the ledger.

People count only what lies at a place. What is out on events at that moment is added, so nobody has to know it; the
differences go into the ledger together, with a reason. While the returns of an event are due and nobody has counted
them, its items can't be counted: part of them may lie in their place, and the count of the returns would take the
rest off once more.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby
from typing import Final

from django.core.exceptions import ValidationError
from django.db.models import Max
from django.utils import timezone

from stock.catalogue.items import MAX_QUANTITY
from stock.holds.whereabouts import Away, find_away
from stock.ledger import movements
from stock.ledger.idempotency import once
from stock.models import Item, Movement, MovementKind
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
DONT_KNOW: Final = REASONS[-1]


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
class Expectation:
    """How many of an item belong in their place at this moment, and what is away for what."""

    item: Item
    owned: int
    away: tuple[Away, ...] = ()

    @property
    def away_in_all(self) -> int:
        """How many are away."""
        return sum(each.quantity for each in self.away)

    @property
    def here(self) -> int:
        """How many are expected in their place; below zero where more left than the ledger knows."""
        return self.owned - self.away_in_all

    @property
    def expected_here(self) -> int:
        """How many are expected in their place, as a page says it."""
        return max(0, self.here)

    @property
    def uncounted(self) -> list[Away]:
        """What was due back from events and nobody has counted."""
        return [each for each in self.away if each.is_uncounted]


@dataclass(frozen=True, slots=True)
class Difference:
    """A count that differs from what was expected."""

    item: Item
    expected: int
    counted: int

    @property
    def expected_here(self) -> int:
        """What was expected in the place: never fewer than none."""
        return max(0, self.expected)

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


def expected_at_place(place: str) -> list[Expectation]:
    """All items in use at one place, and how many are expected there."""
    require(Right.SEE_SHELF)
    items = Item.objects.select_related("colour").filter(retired_at=None, place=place)
    return expect(list(items.order_by("kind", "size_in", "name")))


def expected_everywhere() -> list[tuple[str, list[Expectation]]]:
    """All items in use by place, for a count sheet on paper."""
    require(Right.SEE_SHELF)
    items = Item.objects.filter(retired_at=None).order_by("place", "kind", "size_in", "name")
    return [
        (place, list(mine)) for place, mine in groupby(expect(list(items)), key=lambda each: each.item.place)
    ]


def expect(items: Sequence[Item]) -> list[Expectation]:
    """How many of each item are expected in their place now."""
    ids = [item.pk for item in items]
    owned, away = movements.balances(ids), find_away(ids, now=timezone.now())
    return [
        Expectation(item, owned[item.pk], _no_more_than(owned[item.pk], away.get(item.pk, ())))
        for item in items
    ]


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
        found = _differences(items, counted)
        by = {each.item.pk: each.by for each in found}
        same = [(item, MovementKind.COUNTED, 0) for item in items if item.pk not in by]
        corrected = [(item, MovementKind.COUNTED, by[item.pk]) for item in items if item.pk in by]
        movements.write_movements(same)
        movements.write_movements(corrected, reason=reason)
        return _StoredDifferences(tuple((each.item.pk, each.expected, each.counted) for each in found))

    stored = once(key, asked, _StoredDifferences, write).differences
    by_id = Item.objects.in_bulk([pk for pk, _, _ in stored])
    return [Difference(by_id[pk], expected, number) for pk, expected, number in stored]


def count_all(item_id: int, owned: int, *, key: str, reason: str = "") -> movements.Written:
    """Set how many of an item the studio owns in all, including those that are out.

    Raises :class:`CannotCount` for fewer than are out at this moment, and while returns wait to be counted.
    """
    require(Right.EDIT_SHELF)
    for expected in expect(list(Item.objects.filter(pk=item_id))):
        if expected.uncounted:
            raise CannotCount({item_id: _count_returns_first(expected)})
        if owned < expected.away_in_all:
            out = expected.away_in_all
            raise CannotCount({item_id: f"{out} are out at the moment. Include them in the count."})
    return movements.count(item_id, owned, key=key, reason=reason)


# --- Private ---


def _no_more_than(owned: int, away: Sequence[Away]) -> tuple[Away, ...]:
    """What is away. What left by plan alone is never more than there was: the rest is still to be bought. The first
    to leave had what there was."""
    left = max(0, owned - sum(each.quantity - each.planned for each in away))
    found = []
    for each in away:
        planned = min(each.planned, left)
        left -= planned
        quantity = each.quantity - each.planned + planned
        if quantity or each.is_uncounted:
            found.append(replace(each, quantity=quantity, planned=planned))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _StoredDifferences:
    """The answer as it is stored: item id, expected, counted."""

    differences: tuple[tuple[int, int, int], ...]


def _place(name: str, counted: list[datetime | None]) -> Place:
    known = [at for at in counted if at is not None]
    return Place(name, len(counted), min(known) if len(known) == len(counted) else None)


def _differences(items: list[Item], counted: Mapping[int, int]) -> list[Difference]:
    """What differs; every count that can't be is refused. The same function serves the page and the ledger."""
    faults = {
        pk: f"Enter a count between 0 and {MAX_QUANTITY:,}."
        for pk, number in counted.items()
        if not 0 <= number <= MAX_QUANTITY
    }
    unknown = set(counted) - {item.pk for item in items}
    faults |= dict.fromkeys(unknown, "This item isn’t on the shelf.")
    expectations = expect(items)
    faults |= {each.item.pk: _count_returns_first(each) for each in expectations if each.uncounted}
    if faults:
        raise CannotCount(faults)
    found = [Difference(each.item, each.here, counted[each.item.pk]) for each in expectations]
    return [each for each in found if each.by]


def _count_returns_first(expected: Expectation) -> str:
    events = ", ".join(f"{each.label} ({each.quantity} went out)" for each in expected.uncounted)
    return f"Count the returns of {events} first, or leave this box empty."
