"""An order as the supplier gets it: a PDF to read, a CSV for their own program."""

from __future__ import annotations

import csv
import io
from typing import Final

from stock.cells import safe
from stock.models import PurchaseOrder
from studio import pdf
from studio.models import Studio

COLUMNS: Final = (
    "order", "your number", "our code", "GTIN", "what", "bags", "pieces in a bag", "price of a bag", "amount",
)  # fmt: skip


def as_pdf(order: PurchaseOrder, studio: Studio) -> bytes:
    """The order on paper, with its lines and total."""
    lines = list(order.lines.all())
    context = {
        "order": order,
        "studio": studio,
        "lines": [(line, line.bags * line.price) for line in lines],
        "total": sum(line.bags * line.price for line in lines),
        "paper": pdf.paper(studio),
    }
    return pdf.rendered("stock/pdf/order.html", context)


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
