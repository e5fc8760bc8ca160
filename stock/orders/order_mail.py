"""An order by mail: the supplier gets it with its PDF and its CSV, through the outbox."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from django.db import transaction
from django.db.models import QuerySet

from stock.models import OrderState, PurchaseOrder
from stock.orders import order_document, orders
from stock.orders.orders import CannotOrder
from stock.suppliers import suppliers
from studio.models import OutboxEntry, entered_studio
from studio.outbox import entries, mail
from studio.tenancy.fair_share import MAILS

SENDABLE = (OrderState.SENT, OrderState.CLOSED)


@dataclass(frozen=True, slots=True)
class OrderMail:
    """The newest mail of an order: to whom, and whether it has left."""

    to: str
    state: Literal["waiting", "sent", "failed"]
    at: datetime | None


def send_order(order_id: int, *, expected_on: date | None = None) -> PurchaseOrder:
    """Mark a draft as ordered and mail it to the supplier: both or neither. Raises :class:`CannotOrder`."""
    suppliers.require_buying()
    with transaction.atomic():
        order = orders.send_order(order_id, expected_on=expected_on)
        _queue(order)
    return order


def send_again(order_id: int) -> PurchaseOrder:
    """Mail the order once more, unless the mail before still waits. Raises :class:`CannotOrder`."""
    suppliers.require_buying()
    with transaction.atomic():
        order = orders.lock_order(order_id, *SENDABLE)
        last = find_mail(order)
        if last is None or last.state != "waiting":
            _queue(order)
    return order


def find_mail(order: PurchaseOrder) -> OrderMail | None:
    """The newest mail of the order; None if it was never mailed. One query."""
    entry = _entries(order).order_by("-pk").first()
    if entry is None:
        return None
    state: Literal["waiting", "sent", "failed"] = "waiting"
    if entry.done_at:
        state = "sent"
    elif entry.failed_at:
        state = "failed"
    return OrderMail(entry.arguments["to"], state, entry.done_at)


def deliver(order_id: int, to: str) -> None:
    """Make the PDF and hand the mail to the mail server; an order that was cancelled meanwhile stays here."""
    order, studio = orders.find_order(order_id), entered_studio()
    if order.state not in SENDABLE:
        return
    paper = order_document.make_pdf(order_id)
    name = f"order-{order.number}"
    mail.send(
        template="supplier_order",
        to=to,
        reply_to=studio.email,
        sender=studio.name,
        context={"order": order, "studio": studio, "lines": list(order.lines.all())},
        attachments=[
            (f"{name}.pdf", bytes(paper.content), paper.media_type),
            (f"{name}.csv", order_document.export_csv(order).encode("utf-8-sig"), "text/csv"),
        ],
    )


# --- Private ---


def _entries(order: PurchaseOrder) -> QuerySet[OutboxEntry]:
    return OutboxEntry.objects.filter(key__startswith=f"mail-order-{order.pk}-")


def _queue(order: PurchaseOrder) -> None:
    to = order.supplier.email
    if not to:
        raise CannotOrder("This supplier has no e-mail address. Add it, or mark the order as ordered.")
    number = _entries(order).count() + 1
    key = f"mail-order-{order.pk}-{number}"
    entries.write("stock.mail_order", share=MAILS, key=key, order_id=order.pk, to=to)
