"""Worker tasks of the purchase orders."""

from __future__ import annotations

from stock.orders import order_document
from studio.outbox import entries


@entries.worker_task("stock.render_order")
def render_order(*, order_id: int) -> None:
    """Make the PDF of the present order."""
    order_document.make_pdf(order_id)
