"""An order as the supplier gets it: a PDF, made by the worker, and a CSV.

The PDF is named by a digest of its content, so it is never out of date and never made twice.
"""

from __future__ import annotations

import csv
import hashlib
import io
from typing import Final

from django.template.loader import render_to_string

from stock.models import PurchaseOrder
from stock.orders import orders
from studio.models import StoredFile, Studio, entered_studio
from studio.outbox import entries
from studio.paper import pdf
from studio.paper.csv_safety import escape_cell
from studio.tenancy.access import require
from studio.tenancy.fair_share import PAPERS
from studio.tenancy.rights import Right

COLUMNS: Final = (
    "order", "your number", "our code", "GTIN", "what", "bags", "pieces in a bag", "price of a bag", "amount",
)  # fmt: skip


TEMPLATE: Final = "stock/orders/order_document.html"


def find_pdf(order: PurchaseOrder, studio: Studio) -> pdf.Paper:
    """The PDF of the present order. One or two queries."""
    return pdf.standing(_file_name(order, studio))


def request_pdf(order: PurchaseOrder, studio: Studio) -> None:
    """Have the worker make the PDF; a repeated request makes it once."""
    require(Right.SEE_COSTS)
    entries.write("stock.render_order", share=PAPERS, key=_file_name(order, studio), order_id=order.pk)


def make_pdf(order_id: int) -> StoredFile:
    """Render and store the PDF of the present order."""
    studio, order = entered_studio(), orders.find_order(order_id)
    return pdf.kept(_file_name(order, studio), lambda: pdf.rendered(TEMPLATE, _context(order, studio)))


def export_csv(order: PurchaseOrder) -> str:
    """The order as comma-separated values (RFC 4180); amounts with a point, in the studio's currency."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for line in order.lines.all():
        writer.writerow(
            escape_cell(value)
            for value in (
                order.number,
                line.their_code,
                line.item.code,
                line.item.gtin,
                line.item.name,
                line.bags,
                line.bag_size,
                f"{line.price:.2f}",
                f"{line.bags * line.price:.2f}",
            )
        )
    return text.getvalue()


# --- Private ---


def _context(order: PurchaseOrder, studio: Studio) -> dict[str, object]:
    lines = list(order.lines.all())
    return {
        "order": order,
        "studio": studio,
        "lines": [(line, line.bags * line.price) for line in lines],
        "total": sum(line.bags * line.price for line in lines),
        "paper": pdf.paper(studio),
    }


def _file_name(order: PurchaseOrder, studio: Studio) -> str:
    said = render_to_string(TEMPLATE, _context(order, studio))
    return f"supplier-order-{order.pk}-{hashlib.sha256(said.encode()).hexdigest()[:16]}.pdf"
