"""Purchase orders: write, send, receive in parts, close, send back.

The order's row is locked first, then the items' in id order, so two people who receive the same delivery wait for each
other, and the second sees what the first has written.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import connection, transaction
from django.db.models import F, Max, Prefetch, QuerySet, Sum
from django.http import Http404
from django.utils import timezone

from stock.catalogue.items import MAX_QUANTITY
from stock.ledger import movements
from stock.ledger.idempotency import once
from stock.models import (
    Item,
    MovementKind,
    OrderLine,
    OrderState,
    PurchaseOrder,
    Supplier,
    SupplierPrice,
)
from stock.suppliers import suppliers
from studio import tenancy
from studio.models import Studio, entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

NUMBERING: Final = 77_101
"""The space of the advisory lock for numbering orders."""
MOST_BAGS: Final = 100_000


class CannotOrder(ValidationError):
    """The order was refused; nothing was written."""


class FarTooMany(CannotOrder):
    """Far more came than was due, so somebody must look again; :attr:`by_line` has the errors by line id."""

    def __init__(self, by_line: Mapping[int, str]) -> None:
        super().__init__(list(by_line.values()))
        self.by_line = dict(by_line)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Bags of an item at a price."""

    item_id: int
    bag_size: int
    bags: int
    price: Decimal
    their_code: str = ""


@dataclass(frozen=True, slots=True)
class Delivered:
    """The pieces delivered for an order line, and their batch number."""

    pieces: int
    batch: str = ""


@dataclass(frozen=True, slots=True)
class Received:
    """The pieces of a delivery, and those of its order that are still due."""

    came: int
    due: int


def find_order(order_id: int) -> PurchaseOrder:
    """The order with its supplier and lines; 404 for an order of another studio. Two queries."""
    require(Right.EDIT_SHELF)
    lines = Prefetch("lines", OrderLine.objects.select_related("item__colour").order_by("pk"))
    found = (
        PurchaseOrder.objects.select_related("supplier").prefetch_related(lines).filter(pk=order_id).first()
    )
    if found is None:
        raise Http404("There is no such order.")
    return found


def list_newest_orders(limit: int = 60) -> list[PurchaseOrder]:
    """The newest orders, with the pieces ordered and received. One query."""
    require(Right.EDIT_SHELF)
    return list(
        PurchaseOrder.objects.select_related("supplier").annotate(
            ordered=Sum(F("lines__bags") * F("lines__bag_size")), came=Sum("lines__received")
        )[:limit]
    )


def lines_on_the_way(item_ids: Sequence[int] | None = None) -> QuerySet[OrderLine]:
    """The lines of sent orders with pieces still due."""
    lines = OrderLine.objects.filter(
        order__state=OrderState.SENT, is_closed=False, received__lt=F("bags") * F("bag_size")
    ).select_related("order__supplier")
    return lines if item_ids is None else lines.filter(item_id__in=item_ids)


def write_order(supplier_id: int, wanted: Sequence[Wanted], *, key: str, note: str = "") -> PurchaseOrder:
    """Write a draft order; the same key again gives the same order. Raises :class:`CannotOrder`."""
    suppliers.require_buying()
    asked = {"order": supplier_id, "wanted": [str(each) for each in wanted], "note": note}

    def write() -> dict[str, int]:
        supplier = Supplier.objects.filter(pk=supplier_id, retired_at=None).first()
        if supplier is None:
            raise CannotOrder("There is no such supplier.")
        order = PurchaseOrder.objects.create(supplier=supplier, number=_next_number(), note=note)
        for each in wanted:
            _add_line(order, each)
        return {"order": order.pk}

    return PurchaseOrder.objects.get(pk=once(key, asked, dict[str, int], write)["order"])


def set_order_line(order_id: int, wanted: Wanted) -> OrderLine | None:
    """Set the bags of an item on a draft order; 0 removes the line."""
    suppliers.require_buying()
    with transaction.atomic():
        order = lock_order(order_id, OrderState.DRAFT)
        order.lines.filter(item_id=wanted.item_id, bag_size=wanted.bag_size).delete()
        return _add_line(order, wanted) if wanted.bags else None


def send_order(order_id: int, *, expected_on: date | None = None) -> PurchaseOrder:
    """Mark the order as sent; it is expected after the supplier's delivery time unless a date is given."""
    suppliers.require_buying()
    with transaction.atomic():
        order = lock_order(order_id, OrderState.DRAFT)
        if not order.lines.exists():
            raise CannotOrder("This order is empty.")
        today = _today()
        if expected_on and expected_on < today:
            raise CannotOrder({"expected_on": "This day is in the past."})
        order.state, order.sent_at = OrderState.SENT, timezone.now()
        order.expected_on = expected_on or today + timedelta(days=order.supplier.lead_days)
        order.save(update_fields=["state", "sent_at", "expected_on"])
    return order


def receive_delivery(
    order_id: int, delivered: Mapping[int, Delivered], *, key: str, note: str = "", sure: bool = False
) -> Received:
    """Record what was delivered of a sent order, by line id; the rest stays due.

    Up to a bag more than is due is accepted as it came; more only if somebody is ``sure``. Raises :class:`FarTooMany`,
    :class:`CannotOrder`; the same key again gives the first answer.
    """
    require(Right.EDIT_SHELF)
    asked: dict[str, object] = {
        "receive": order_id,
        "note": note,
        "came": {str(k): str(v) for k, v in delivered.items()},
    }
    if sure:
        asked["sure"] = True

    def write() -> Received:
        order = lock_order(order_id, OrderState.SENT)
        lines = {line.pk: line for line in order.lines.select_related("item")}
        _check_delivery(delivered, lines)
        if not sure:
            _refuse_far_too_many(delivered, lines)
        items = {item.pk: item for item in movements.lock_items(line.item_id for line in lines.values())}
        came = {pk: each for pk, each in sorted(delivered.items()) if each.pieces}
        for pk, each in came.items():
            line = lines[pk]
            movements.write_movements(
                [(items[line.item_id], MovementKind.RECEIVED, each.pieces)],
                label=f"order {order}, {order.supplier}"[:160],
                reason=note,
                batch=each.batch,
                order_lines={line.item_id: pk},
            )
            line.received += each.pieces
            line.save(update_fields=["received"])
        due = sum(line.due for line in lines.values())
        if not due:
            order.state = OrderState.CLOSED
            order.save(update_fields=["state"])
        return Received(sum(each.pieces for each in came.values()), due)

    return once(key, asked, Received, write)


def close_order(order_id: int) -> None:
    """Close a sent order of which nothing more will come."""
    require(Right.EDIT_SHELF)
    with transaction.atomic():
        order = lock_order(order_id, OrderState.SENT)
        for line in order.lines.all():
            if line.due:
                line.is_closed = True
                line.save(update_fields=["is_closed"])
        order.state = OrderState.CLOSED
        order.save(update_fields=["state"])


def cancel_order(order_id: int) -> None:
    """Cancel an order of which nothing has been received."""
    suppliers.require_buying()
    with transaction.atomic():
        order = lock_order(order_id, OrderState.DRAFT, OrderState.SENT)
        if order.lines.filter(received__gt=0).exists():
            raise CannotOrder("Part of this order has been received. Close it instead.")
        order.state = OrderState.CALLED_OFF
        order.save(update_fields=["state"])


def send_back(line_id: int, pieces: int, *, key: str, reason: str) -> movements.Written:
    """Record pieces that go back to the supplier. Raises :class:`CannotOrder`, ``NotThere``."""
    require(Right.EDIT_SHELF)

    def write() -> movements.Written:
        line = OrderLine.objects.filter(pk=line_id).select_related("order__supplier").first()
        if line is None:
            raise CannotOrder("There is no such line.")
        order = lock_order(line.order_id, OrderState.SENT, OrderState.CLOSED)
        line.refresh_from_db(fields=["received", "sent_back"])
        left = line.received - line.sent_back
        if not 1 <= pieces <= left:
            raise CannotOrder({"pieces": f"You can send back at most {left}."})
        (item,) = movements.lock_items([line.item_id])
        (movement,) = movements.write_movements(
            [(item, MovementKind.SENT_BACK, -pieces)],
            label=f"order {order}, {order.supplier}"[:160],
            reason=reason,
            order_lines={item.pk: line.pk},
        )
        line.sent_back += pieces
        line.save(update_fields=["sent_back"])
        on_hand = movements.balances([item.pk])[item.pk]
        return movements.Written(movement.pk, -pieces, on_hand)

    asked = {"send back": line_id, "pieces": pieces, "reason": reason}
    return once(key, asked, movements.Written, write)


def change_price(line_id: int, price: Decimal) -> OrderLine:
    """Change a line's price as invoiced, on the order and on the supplier's price list."""
    suppliers.require_buying()
    with transaction.atomic():
        line = OrderLine.objects.filter(pk=line_id).select_related("order__supplier", "item").first()
        if line is None:
            raise Http404("There is no such line.")
        lock_order(line.order_id, OrderState.DRAFT, OrderState.SENT, OrderState.CLOSED)
        line.price = price
        line.full_clean(exclude=["order", "item"])
        line.save(update_fields=["price"])
        tier = (
            SupplierPrice.objects.filter(
                supplier=line.order.supplier,
                item=line.item,
                bag_size=line.bag_size,
                from_bags__lte=line.bags,
            )
            .order_by("-from_bags")
            .first()
        )
        suppliers.set_price(
            line.order.supplier,
            line.item,
            bag_size=line.bag_size,
            from_bags=tier.from_bags if tier else 1,
            price=price,
        )
    return line


def arrives_at(expected_on: date, studio: Studio) -> datetime:
    """The moment from which an expected delivery counts: the end of its day in the studio's time zone."""
    return datetime.combine(expected_on + timedelta(days=1), datetime.min.time(), tzinfo=studio.tz)


# --- For the functions of this feature ---


def lock_order(order_id: int, *states: OrderState) -> PurchaseOrder:
    """The order, locked until the transaction ends. Raises :class:`CannotOrder` in any other state."""
    found = PurchaseOrder.objects.select_for_update(no_key=True).filter(pk=order_id).first()
    if found is None:
        raise Http404("There is no such order.")
    if found.state not in states:
        raise CannotOrder(f"Order {found} is {found.get_state_display()}.")
    return found


# --- Private ---


def _today() -> date:
    return timezone.now().astimezone(entered_studio().tz).date()


def _next_number() -> int:
    """The studio's next order number; simultaneous requests wait."""
    with connection.cursor() as cursor:
        studio_id = tenancy.current_studio_id() % 2**31
        cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", [NUMBERING, studio_id])
    return (PurchaseOrder.objects.aggregate(last=Max("number"))["last"] or 0) + 1


def _add_line(order: PurchaseOrder, wanted: Wanted) -> OrderLine:
    if not 1 <= wanted.bags <= MOST_BAGS:
        raise CannotOrder({"bags": f"Enter 1 to {MOST_BAGS:,} bags."})
    item = Item.objects.filter(pk=wanted.item_id).first()
    if item is None:
        raise CannotOrder("There is no such item.")
    line = OrderLine(
        order=order,
        item=item,
        bag_size=wanted.bag_size,
        bags=wanted.bags,
        price=wanted.price,
        their_code=wanted.their_code,
    )
    line.full_clean(exclude=["order", "item"])
    line.save()
    return line


def _check_delivery(delivered: Mapping[int, Delivered], lines: Mapping[int, OrderLine]) -> None:
    if not any(each.pieces for each in delivered.values()):
        raise CannotOrder("Enter what came: at least one piece.")
    for pk, each in delivered.items():
        if pk not in lines:
            raise CannotOrder("This line isn’t on the order.")
        if not 0 <= each.pieces <= MAX_QUANTITY:
            raise CannotOrder(f"Enter between 0 and {MAX_QUANTITY:,} pieces.")


def _refuse_far_too_many(delivered: Mapping[int, Delivered], lines: Mapping[int, OrderLine]) -> None:
    """A bag more than is due happens (common practice, no source); more is most often a typing error."""
    faults = {
        pk: f"{lines[pk].item.name}: {each.pieces:,} pieces came, but {lines[pk].due:,} are due."
        for pk, each in delivered.items()
        if each.pieces > lines[pk].due + lines[pk].bag_size
    }
    if faults:
        raise FarTooMany(faults)
