"""The ledger: what came in, went out, was counted, broke or got lost. Each function writes movements and
nothing else.

Item rows are locked first, in id order, so that a movement and a hold of the same item wait for one another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from stock.catalogue.items import MAX_QUANTITY, Material, summed
from stock.ledger.idempotency import once
from stock.models import Balance, Item, Movement, MovementKind
from studio import tenancy
from studio.tenancy.access import require
from studio.tenancy.rights import Right


class NotThere(ValidationError):
    """More was to leave the shelf than the ledger knows of."""


class UnknownCode(ValidationError):
    """A code that the studio's catalogue doesn't have."""


@dataclass(frozen=True, slots=True)
class Written:
    """What a movement left behind: its id, what it added, and how many there are now."""

    movement_id: int
    quantity: int
    on_hand: int


@dataclass(frozen=True, slots=True)
class OutOfStep:
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
    """Put ``quantity`` that came in on the shelf; ``batch`` is the maker's mark on the bags."""
    _some(quantity)
    return _one(
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
    """Set the shelf to what was counted; the difference is written, and nought as well: it was looked at."""
    if not 0 <= counted <= MAX_QUANTITY:
        raise ValidationError({"quantity": f"A count lies between 0 and {MAX_QUANTITY:,}."})
    return _one(item_id, MovementKind.COUNTED, key, lambda on_hand: counted - on_hand, reason=reason, at=at)


def use(
    item_id: int, quantity: int, *, key: str, reason: str = "", label: str = "", at: datetime | None = None
) -> Written:
    """Take ``quantity`` that was used up off the shelf."""
    _some(quantity)
    return _one(item_id, MovementKind.USED, key, lambda _: -quantity, reason=reason, label=label, at=at)


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
    """Take what is ``BROKEN`` or ``LOST`` out of the studio's number."""
    if kind not in {MovementKind.BROKEN, MovementKind.LOST}:
        raise ValueError(f"What is written off is broken or lost, not {kind}.")
    _some(quantity)
    return _one(item_id, kind, key, lambda _: -quantity, reason=reason, label=label, at=at)


def put_back(
    item_id: int, quantity: int, *, key: str, reason: str = "", label: str = "", at: datetime | None = None
) -> Written:
    """Put back on the shelf what had been taken off it and was not used, or was found again."""
    _some(quantity)
    return _one(item_id, MovementKind.RETURNED, key, lambda _: quantity, reason=reason, label=label, at=at)


def move(item_id: int, place: str, *, at: datetime | None = None) -> bool:
    """Give an item another place on the shelf; whether it has moved. The same place again is no movement."""
    require(Right.EDIT_SHELF)
    with transaction.atomic():
        items = lock([item_id])
        if not items:
            raise UnknownCode("There is no such item on this shelf.")
        (item,) = items
        if item.place == place:
            return False
        write([(item, MovementKind.MOVED, 0)], reason=f"from {item.place or '—'} to {place or '—'}", at=at)
        item.place = place
        item.save(update_fields=["place"])
    return True


def open_with(materials: Iterable[Material], *, at: datetime | None = None, reason: str = "") -> None:
    """The stock that a studio starts with. Raises :class:`UnknownCode` with every code that is unknown."""
    require(Right.EDIT_SHELF)
    quantities = summed(materials)
    for quantity in quantities.values():
        _some(quantity)
    with transaction.atomic():
        items = locked_by_code(quantities)
        if missing := sorted(set(quantities) - set(items)):
            raise UnknownCode(f"Not in the catalogue: {', '.join(missing)}.")
        lines = [(items[code], MovementKind.OPENING, quantity) for code, quantity in quantities.items()]
        write(lines, reason=reason, at=at)


def balances(item_ids: Iterable[int]) -> dict[int, int]:
    """How many of each item there are, out ones too; nought where nothing was ever written. One query."""
    ids = set(item_ids)
    known = dict(Balance.objects.filter(item_id__in=ids).values_list("item_id", "on_hand"))
    return {item_id: known.get(item_id, 0) for item_id in ids}


def out_of_step() -> list[OutOfStep]:
    """The balances that aren't the sums of their movements: none, unless somebody wrote past the ledger."""
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
    return [OutOfStep(item_id, codes[item_id], *pair) for item_id, pair in sorted(wrong.items())]


def rebuild() -> list[OutOfStep]:
    """Set every balance to the sum of its movements; gives back those that were out of step."""
    with transaction.atomic():
        # Movements take the items' rows first, so nobody writes in between.
        list(Item.objects.order_by("pk").select_for_update(no_key=True).values_list("pk", flat=True))
        wrong = out_of_step()
        for each in wrong:
            Balance.objects.update_or_create(item_id=each.item_id, defaults={"on_hand": each.ledger})
    return wrong


# --- For the functions of this room ---


def lock(item_ids: Iterable[int]) -> list[Item]:
    """The items' rows, locked in id order until the transaction ends."""
    return list(Item.objects.filter(pk__in=set(item_ids)).order_by("pk").select_for_update(no_key=True))


def locked_by_code(codes: Iterable[str]) -> dict[str, Item]:
    """The items under ``codes``, locked in id order until the transaction ends; unknown codes are left
    out."""
    found = Item.objects.filter(code__in=set(codes)).order_by("pk").select_for_update(no_key=True)
    return {item.code: item for item in found}


def write(
    lines: Sequence[tuple[Item, MovementKind, int]],
    *,
    reason: str = "",
    label: str = "",
    at: datetime | None = None,
    batch: str = "",
    order_lines: Mapping[int, int] | None = None,
) -> list[Movement]:
    """Write movements of locked items; ``order_lines`` names the order's line by item id.

    Raises :class:`NotThere` rather than go below nought.
    """
    at_hand = balances(item.pk for item, _, _ in lines)
    for item, _, quantity in lines:
        at_hand[item.pk] += quantity
        if at_hand[item.pk] < 0:
            there = at_hand[item.pk] - quantity
            known = f"The ledger knows of {there} × {item.name}, not of {-quantity}."
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
        )
        for item, kind, quantity in sorted(lines, key=lambda line: line[0].pk)
    )


# --- Private ---


def _some(quantity: int) -> None:
    if not 1 <= quantity <= MAX_QUANTITY:
        raise ValidationError({"quantity": f"At least 1 and at most {MAX_QUANTITY:,}."})


def _one(
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

    def deed() -> dict[str, Any]:
        items = lock([item_id])
        if not items:
            raise UnknownCode("There is no such item on this shelf.")
        on_hand = balances([item_id])[item_id]
        quantity = change(on_hand)
        (movement,) = write([(items[0], kind, quantity)], reason=reason, label=label, at=at, batch=batch)
        return asdict(Written(movement.pk, quantity, on_hand + quantity))

    # What was asked for, whatever is on the shelf, is the change from an empty one.
    asked: Mapping[str, Any] = {
        "movement": kind,
        "item": item_id,
        "by": change(0),
        "reason": reason,
        "label": label,
        "at": at,
        **({"batch": batch} if batch else {}),
    }
    return Written(**once(key, asked, deed))
