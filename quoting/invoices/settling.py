"""How invoices stand: what was paid and credited on them, what is left, and since when they are overdue.

Nothing of this is stored; it follows from payments and credit notes.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from django.db.models import DecimalField, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce
from django.utils import timezone

from quoting.models import Invoice, InvoiceKind, Payment
from studio.models import Studio

NOTHING = Decimal(0)
AMOUNT = DecimalField(max_digits=14, decimal_places=4)


class Paid(enum.StrEnum):
    """Where an invoice stands, in words."""

    OPEN = "open"
    PART = "part paid"
    OVERDUE = "overdue"
    PAID = "paid"
    CREDITED = "credited"
    TO_PAY_BACK = "to pay back"
    NOTE = "credit note"


@dataclass(frozen=True, slots=True)
class Standing:
    """How one invoice stands. ``left`` below nothing is owed to the client."""

    total: Decimal
    paid: Decimal
    credited: Decimal
    state: Paid

    @property
    def left(self) -> Decimal:
        """What is still to be paid."""
        return self.total - self.credited - self.paid

    @property
    def back(self) -> Decimal:
        """What is owed to the client; nothing where nothing is."""
        return max(-self.left, NOTHING)


def _sum_of(amounts: QuerySet[Payment] | QuerySet[Invoice], by: str, amount: str) -> Coalesce:
    """The sum over the rows that belong to an invoice, nothing where there are none."""
    sums = amounts.order_by().values(by).annotate(sum=Sum(amount)).values("sum")
    return Coalesce(Subquery(sums), Value(NOTHING), output_field=AMOUNT)


# Put together once: every list of invoices asks for them.
_PAID: Final = _sum_of(Payment.objects.filter(invoice=OuterRef("pk")), "invoice", "amount")
_CREDITED: Final = _sum_of(Invoice.objects.filter(credits=OuterRef("pk")), "credits", "total")


def with_sums(invoices: QuerySet[Invoice]) -> QuerySet[Invoice]:
    """Each with ``paid_sum`` and ``credited_sum``, in one query."""
    return invoices.annotate(paid_sum=_PAID, credited_sum=_CREDITED)


def standing(invoice: Invoice, today: date) -> Standing:
    """How it stands on that day. ``invoice`` comes from :func:`with_sums`."""
    paid: Decimal = invoice.paid_sum  # type: ignore[attr-defined] # an annotation
    credited: Decimal = invoice.credited_sum  # type: ignore[attr-defined] # an annotation
    return Standing(invoice.total, paid, credited, state_of(invoice, paid, credited, today))


def state_of(invoice: Invoice, paid: Decimal, credited: Decimal, today: date) -> Paid:
    """The one word for it."""
    if invoice.kind == InvoiceKind.CREDIT:
        return Paid.NOTE
    left = invoice.total - credited - paid
    if left < 0:
        return Paid.TO_PAY_BACK
    if left == 0:
        return Paid.CREDITED if credited and not paid else Paid.PAID
    if invoice.due_on and invoice.due_on < today:
        return Paid.OVERDUE
    return Paid.PART if paid else Paid.OPEN


def today_at(studio: Studio) -> date:
    """The day by the studio's own calendar."""
    return timezone.now().astimezone(studio.tz).date()
