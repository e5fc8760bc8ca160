"""Receipts: what came of an order, and counter-entries where it was written down wrong.

The ledger is never changed: a correction is a further movement that points to the receipt.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.http import Http404

from stock.ledger import movements
from stock.ledger.idempotency import once
from stock.models import Movement, MovementKind, OrderLine, OrderState, PurchaseOrder
from stock.orders import orders
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class Receipt:
    """A receipt, and how many pieces it stands for after its corrections."""

    movement: Movement
    pieces: int


def list_receipts(lines: Sequence[OrderLine]) -> list[Receipt]:
    """The receipts of these lines, the newest first. One query."""
    require(Right.EDIT_SHELF)
    rows = (
        movements.net_movements(MovementKind.RECEIVED)
        .filter(order_line__in=lines)
        .select_related("item", "person")
    )
    return [Receipt(row, row.pieces) for row in rows.order_by("-pk")]


def find_receipt(movement_id: int) -> Receipt:
    """One receipt; 404 for one of another studio."""
    require(Right.EDIT_SHELF)
    found = (
        movements.net_movements(MovementKind.RECEIVED)
        .filter(pk=movement_id)
        .select_related("item", "order_line__order")
        .first()
    )
    if found is None:
        raise Http404("There is no such receipt.")
    return Receipt(found, found.pieces)


def correct_receipt(movement_id: int, pieces: int, *, key: str, reason: str) -> movements.Written:
    """Write a counter-entry, so that ``pieces`` stand for the receipt; its order is due or complete accordingly.

    Raises ``ValidationError`` naming ``pieces``, ``NotThere`` where they were used already, ``KeyTaken``.
    """
    require(Right.EDIT_SHELF)
    asked = {"correct receipt": movement_id, "pieces": pieces, "reason": reason}

    def write() -> movements.Written:
        found = find_receipt(movement_id).movement
        line = found.order_line
        order = orders.lock_order(line.order_id, OrderState.SENT, OrderState.CLOSED) if line else None
        (item,) = movements.lock_items([found.item_id])
        # Read again under the locks: somebody may have corrected it a moment ago.
        by = pieces - find_receipt(movement_id).pieces
        if not by:
            raise ValidationError({"pieces": "That many are recorded already."})
        if line and order:
            _change_order(order, line, by)
        (movement,) = movements.write_movements(
            [(item, MovementKind.CORRECTED, by)],
            label=found.label,
            reason=reason,
            batch=found.batch,
            order_lines={item.pk: line.pk} if line else None,
            corrects=found,
        )
        return movements.Written(movement.pk, by, movements.balances([item.pk])[item.pk])

    return once(key, asked, movements.Written, write)


# --- Private ---


def _change_order(order: PurchaseOrder, line: OrderLine, by: int) -> None:
    line.refresh_from_db(fields=["received", "sent_back", "is_closed"])
    if line.received + by < line.sent_back:
        raise ValidationError({"pieces": f"{line.sent_back} of these were sent back to the supplier."})
    line.received += by
    line.save(update_fields=["received"])
    is_due = any(each.due for each in order.lines.all())
    order.state = OrderState.SENT if is_due else OrderState.CLOSED
    order.save(update_fields=["state"])
