"""The ledger: record what was received, used, counted, broken or lost. Each function writes only movements.

Item rows are locked first, in id order, so that a movement and a hold of the same item wait for each other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final, TypedDict

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, QuerySet, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from stock.catalogue.items import MAX_QUANTITY, Material, sum_by_code
from stock.ledger.idempotency import once
from stock.models import Balance, Item, Movement, MovementKind
from studio import tenancy
from studio.tenancy.access import require
from studio.tenancy.kept_query import GivenMany, KeptQuery
from studio.tenancy.rights import Right

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    class Net(TypedDict):
        """The pieces that stand after corrections."""

        pieces: int

    NetMovement = WithAnnotations[Movement, Net]


_BALANCES: Final = KeptQuery(
    lambda: Balance.objects.filter(item_id__in=GivenMany("items", "bigint")).values_list("item_id", "on_hand")
)


class NotThere(ValidationError):
    """The movement takes more than the ledger has."""


class UnknownCode(ValidationError):
    """The code isn't in the studio's catalogue."""


@dataclass(frozen=True, slots=True)
class Written:
    """A written movement: its id, the quantity added, and the balance after it."""

    movement_id: int
    quantity: int
    on_hand: int


@dataclass(frozen=True, slots=True)
class BalanceMismatch:
    """A balance that isn't the sum of its movements."""

    item_id: int
    code: str
    balance: int
    ledger: int


def receive(
    item_id: int,
    quantity: int,
    *,
    key: str,
    reason: str = "",
    label: str = "",
    at: datetime | None = None,
    batch: str = "",
) -> Written:
    """Record that ``quantity`` came in; ``batch`` is the batch number on the bags."""
    _check_quantity(quantity)
    return _write_once(
        item_id,
        MovementKind.RECEIVED,
        key,
        lambda _: quantity,
        reason=reason,
        label=label,
        at=at,
        batch=batch,
    )


def count(item_id: int, counted: int, *, key: str, reason: str = "", at: datetime | None = None) -> Written:
    """Set the balance to the count; a difference of 0 is written too, to show that it was counted."""
    if not 0 <= counted <= MAX_QUANTITY:
        raise ValidationError({"quantity": f"Enter a count between 0 and {MAX_QUANTITY:,}."})
    return _write_once(
        item_id, MovementKind.COUNTED, key, lambda on_hand: counted - on_hand, reason=reason, at=at
    )


def use(
    item_id: int, quantity: int, *, key: str, reason: str = "", label: str = "", at: datetime | None = None
) -> Written:
    """Record that ``quantity`` was used up."""
    _check_quantity(quantity)
    return _write_once(
        item_id, MovementKind.USED, key, lambda _: -quantity, reason=reason, label=label, at=at
    )


def write_off(
    item_id: int,
    quantity: int,
    *,
    kind: MovementKind,
    key: str,
    reason: str = "",
    label: str = "",
    at: datetime | None = None,
) -> Written:
    """Write off what is ``BROKEN`` or ``LOST``."""
    if kind not in {MovementKind.BROKEN, MovementKind.LOST}:
        raise ValueError(f"A write-off is broken or lost, not {kind}.")
    _check_quantity(quantity)
    return _write_once(item_id, kind, key, lambda _: -quantity, reason=reason, label=label, at=at)


def put_back(
    item_id: int, quantity: int, *, key: str, reason: str = "", label: str = "", at: datetime | None = None
) -> Written:
    """Record that ``quantity`` came back unused, or was found again."""
    _check_quantity(quantity)
    return _write_once(
        item_id, MovementKind.RETURNED, key, lambda _: quantity, reason=reason, label=label, at=at
    )


def move(item_id: int, place: str, *, at: datetime | None = None) -> bool:
    """Move an item to another place; whether it moved. The same place again is no movement."""
    require(Right.EDIT_SHELF)
    with transaction.atomic():
        items = lock_items([item_id])
        if not items:
            raise UnknownCode("There is no such item.")
        (item,) = items
        if item.place == place:
            return False
        write_movements(
            [(item, MovementKind.MOVED, 0)], reason=f"from {item.place or '—'} to {place or '—'}", at=at
        )
        item.place = place
        item.save(update_fields=["place"])
    return True


def open_with(materials: Iterable[Material], *, at: datetime | None = None, reason: str = "") -> None:
    """Record opening stock. Raises :class:`UnknownCode` with every unknown code."""
    require(Right.EDIT_SHELF)
    quantities = sum_by_code(materials)
    for quantity in quantities.values():
        _check_quantity(quantity)
    with transaction.atomic():
        items = lock_by_code(quantities)
        if missing := sorted(set(quantities) - set(items)):
            raise UnknownCode(f"There is no item {', '.join(missing)}.")
        lines = [(items[code], MovementKind.OPENING, quantity) for code, quantity in quantities.items()]
        write_movements(lines, reason=reason, at=at)


def balances(item_ids: Iterable[int]) -> dict[int, int]:
    """The number owned of each item, including what is out; 0 without any movement. One query."""
    ids = set(item_ids)
    known = dict(_BALANCES.rows(items=list(ids)))
    return {item_id: known.get(item_id, 0) for item_id in ids}


def find_mismatches() -> list[BalanceMismatch]:
    """The balances that differ from the sum of their movements: none, unless somebody bypassed the ledger."""
    sums = {
        row["item_id"]: row["total"]
        for row in Movement.objects.order_by().values("item_id").annotate(total=Sum("quantity"))
    }
    kept = dict(Balance.objects.values_list("item_id", "on_hand"))
    wrong = {
        item_id: (kept.get(item_id, 0), sums.get(item_id, 0))
        for item_id in sums.keys() | kept.keys()
        if kept.get(item_id, 0) != sums.get(item_id, 0)
    }
    codes = dict(Item.objects.filter(pk__in=wrong).values_list("pk", "code"))
    return [BalanceMismatch(item_id, codes[item_id], *pair) for item_id, pair in sorted(wrong.items())]


def rebuild_balances() -> list[BalanceMismatch]:
    """Set every balance to the sum of its movements; return those that were wrong."""
    with transaction.atomic():
        # Movements take the items' rows first, so nobody writes in between.
        list(Item.objects.order_by("pk").select_for_update(no_key=True).values_list("pk", flat=True))
        wrong = find_mismatches()
        for each in wrong:
            Balance.objects.update_or_create(item_id=each.item_id, defaults={"on_hand": each.ledger})
    return wrong


# --- For the functions of this room ---


def net_movements(*kinds: MovementKind) -> QuerySet[NetMovement]:
    """Movements of these kinds with the ``pieces`` that stand after their corrections."""
    pieces = F("quantity") + Coalesce(Sum("corrections__quantity"), 0)
    return Movement.objects.filter(kind__in=kinds).annotate(pieces=pieces)


def lock_items(item_ids: Iterable[int]) -> list[Item]:
    """Lock the items' rows in id order until the transaction ends."""
    return list(Item.objects.filter(pk__in=set(item_ids)).order_by("pk").select_for_update(no_key=True))


def lock_by_code(codes: Iterable[str]) -> dict[str, Item]:
    """Lock the items under ``codes`` in id order until the transaction ends; unknown codes are left out."""
    found = Item.objects.filter(code__in=set(codes)).order_by("pk").select_for_update(no_key=True)
    return {item.code: item for item in found}


def write_movements(
    lines: Sequence[tuple[Item, MovementKind, int]],
    *,
    reason: str = "",
    label: str = "",
    at: datetime | None = None,
    batch: str = "",
    order_lines: Mapping[int, int] | None = None,
    corrects: Movement | None = None,
) -> list[Movement]:
    """Write movements of locked items; ``order_lines`` has the order line by item id, ``corrects`` the receipt that
    was wrong.

    Raises :class:`NotThere` rather than make a balance negative.
    """
    at_hand = balances(item.pk for item, _, _ in lines)
    for item, _, quantity in lines:
        at_hand[item.pk] += quantity
        if at_hand[item.pk] < 0:
            there = at_hand[item.pk] - quantity
            known = f"The ledger has {there} × {item.name}, not {-quantity}."
            raise NotThere({"quantity": f"{known} Count it first."})
    person_id = tenancy.current().person_id
    return Movement.objects.bulk_create(
        Movement(
            item=item,
            kind=kind,
            quantity=quantity,
            at=at or timezone.now(),
            person_id=person_id,
            reason=reason,
            label=label,
            batch=batch,
            order_line_id=(order_lines or {}).get(item.pk),
            corrects=corrects,
        )
        for item, kind, quantity in sorted(lines, key=lambda line: line[0].pk)
    )


# --- Private ---


def _check_quantity(quantity: int) -> None:
    if not 1 <= quantity <= MAX_QUANTITY:
        raise ValidationError({"quantity": f"Enter a number between 1 and {MAX_QUANTITY:,}."})


def _write_once(
    item_id: int,
    kind: MovementKind,
    key: str,
    change: Callable[[int], int],
    *,
    reason: str,
    label: str = "",
    at: datetime | None = None,
    batch: str = "",
) -> Written:
    require(Right.EDIT_SHELF)

    def write() -> Written:
        items = lock_items([item_id])
        if not items:
            raise UnknownCode("There is no such item.")
        on_hand = balances([item_id])[item_id]
        quantity = change(on_hand)
        (movement,) = write_movements(
            [(items[0], kind, quantity)], reason=reason, label=label, at=at, batch=batch
        )
        return Written(movement.pk, quantity, on_hand + quantity)

    # The request is told apart by its change to an empty shelf, which doesn't depend on the balance.
    asked: Mapping[str, object] = {
        "movement": kind,
        "item": item_id,
        "by": change(0),
        "reason": reason,
        "label": label,
        "at": at,
        **({"batch": batch} if batch else {}),
    }
    return once(key, asked, Written, write)
