"""Worker tasks of the purchase orders."""

from __future__ import annotations

from stock.orders import order_document, order_mail
from studio.outbox import entries


@entries.worker_task("stock.render_order")
def render_order(*, order_id: int) -> None:
    """Make the PDF of the present order."""
    order_document.make_pdf(order_id)


@entries.worker_task("stock.mail_order")
def mail_order(*, order_id: int, to: str) -> None:
    """Mail an order to its supplier."""
    order_mail.deliver(order_id, to)
