"""An order as the supplier gets it: a PDF to read, made by the worker, and a CSV for their own program.

The PDF is named by a digest of what stands on it, so it is never stale and never made twice.
"""

from __future__ import annotations

import csv
import hashlib
import io
from typing import Any, Final

from django.template.loader import render_to_string

from stock.catalogue.csv_safety import safe
from stock.models import PurchaseOrder
from stock.orders import orders
from studio.models import StoredFile, Studio, entered_studio
from studio.outbox import entries
from studio.paper import pdf
from studio.tenancy.access import require
from studio.tenancy.rights import Right

COLUMNS: Final = (
    "order", "your number", "our code", "GTIN", "what", "bags", "pieces in a bag", "price of a bag", "amount",
)  # fmt: skip


TEMPLATE: Final = "stock/orders/order_document.html"


def paper(order: PurchaseOrder, studio: Studio) -> pdf.Paper:
    """The PDF of the order as it stands now. One or two queries."""
    return pdf.standing(_file_name(order, studio))


def order_paper(order: PurchaseOrder, studio: Studio) -> None:
    """Have the worker make the PDF; ordered twice, it is made once."""
    require(Right.SEE_COSTS)
    entries.write("stock.render_order", key=_file_name(order, studio), order_id=order.pk)


def make_paper(order_id: int) -> StoredFile:
    """Render and keep the PDF of the order as it stands."""
    studio, order = entered_studio(), orders.find(order_id)
    return pdf.kept(_file_name(order, studio), lambda: pdf.rendered(TEMPLATE, _context(order, studio)))


def as_csv(order: PurchaseOrder) -> str:
    """The order as comma-separated values (RFC 4180); amounts with a point, in the studio's currency."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for line in order.lines.all():
        writer.writerow(
            safe(value)
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


def _context(order: PurchaseOrder, studio: Studio) -> dict[str, Any]:
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
