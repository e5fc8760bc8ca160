"""Invoices as the list, the event's page and the week show them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from typing import Final

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from events.booking.event_sections import Act, Row, Section
from events.calendar.agenda import DueItem
from events.models import Event, Status
from quoting.invoices.settling import Paid, standing, today_at, with_sums
from quoting.models import Invoice, InvoiceKind, Payment
from quoting.quotes.on_event import EventQuote
from studio import tenancy
from studio.measures.times import Window
from studio.models import Studio, entered_studio
from studio.models.dates import day_written
from studio.money import amounts
from studio.tenancy import links
from studio.tenancy.rights import Right, may

MARKS = {
    Paid.OPEN: "", Paid.PART: "words-due", Paid.OVERDUE: "words-short", Paid.PAID: "words-good", Paid.CREDITED: "",
    Paid.TO_PAY_BACK: "words-due", Paid.NOTE: "",
}  # fmt: skip
UNSETTLED = (Paid.OPEN, Paid.PART, Paid.OVERDUE, Paid.TO_PAY_BACK)


@dataclass(frozen=True, slots=True)
class InvoiceRow:
    """One line of the list, written."""

    invoice: Invoice
    name: str
    words: str
    """How it stands, with the day that matters."""
    mark: str
    """Class of the mark that stands with the words."""
    total: str
    left: str
    """What is open; empty where nothing is."""


@dataclass(frozen=True, slots=True)
class Sums:
    """What is open, and how much of that is overdue; written."""

    left: str
    overdue: str
    any_overdue: bool


def listed(studio: Studio, *, everything: bool) -> QuerySet[Invoice]:
    """What isn't settled, the longest overdue first; or everything, newest first."""
    rows = with_sums(Invoice.objects.select_related("event"))
    if everything:
        return rows.order_by("-number")
    return _unsettled(rows).order_by("due_on", "number")


def row(invoice: Invoice, studio: Studio) -> InvoiceRow:
    """One line; ``invoice`` comes with its sums."""
    stands = standing(invoice, today_at(studio))
    due = f", by {day_written(invoice.due_on)}" if invoice.due_on else ""
    since = f" since {day_written(invoice.due_on)}" if invoice.due_on else ""
    words = {Paid.OPEN: f"open{due}", Paid.PART: f"part paid{due}", Paid.OVERDUE: f"overdue{since}"}
    left = amounts.written(abs(stands.left), invoice.currency, studio.locale)
    return InvoiceRow(
        invoice=invoice,
        name=f"{invoice.get_kind_display().capitalize()} {invoice.written_number}",
        words=words.get(stands.state, str(stands.state)),
        mark=MARKS[stands.state],
        total=("−" if invoice.is_credit else "")
        + amounts.written(invoice.total, invoice.currency, studio.locale),
        left=left if stands.state in UNSETTLED else "",
    )


def sums(studio: Studio) -> Sums:
    """What is open over all invoices. One query."""
    today = today_at(studio)
    left = overdue = Decimal(0)
    for invoice in _unsettled(with_sums(Invoice.objects.only(*_LISTED))):
        stands = standing(invoice, today)
        if stands.left > 0:
            left += stands.left
            overdue += stands.left if stands.state == Paid.OVERDUE else 0
    return Sums(
        amounts.written(left, studio.currency, studio.locale),
        amounts.written(overdue, studio.currency, studio.locale),
        overdue > 0,
    )


def payments_of(invoice: Invoice) -> list[Payment]:
    """Its payments in order, each with ``is_taken_back``. One query."""
    taken_back = Exists(Payment.objects.filter(takes_back=OuterRef("pk")))
    payments = invoice.payments.select_related("recorded_by").defer("pdf__content")
    return list(payments.annotate(is_taken_back=taken_back))


def invoices_beside(event: Event, quotes: Sequence[EventQuote]) -> Section | None:
    """The invoices of an event, and what can be invoiced next. One query, none without a quote; nothing for whoever
    sees no prices."""
    role = tenancy.current().role
    if not quotes or not may(role, Right.SEE_INVOICES):
        return None
    studio = entered_studio()
    found = list(with_sums(Invoice.objects.filter(event=event).only(*_LISTED)).order_by("number"))
    rows = tuple(
        Row(one.name, links.to("quoting:invoice", one.invoice.pk), one.words, _amount(one))
        for one in (row(each, studio) for each in found)
    )
    can = may(role, Right.EDIT_INVOICES)
    acts = _next_invoices(quotes, found) if can else ()
    if event.is_off:
        acts = (
            (Act("Refund or keep payments", links.to("quoting:event-settle-payments", event.pk)),)
            if can and rows
            else ()
        )
    if not rows and not acts:
        return None
    return Section("Invoices", rows, acts, "Nothing invoiced yet.")


def overdue_invoices(span: Window) -> Iterable[DueItem]:
    """Invoices that are overdue, or fall due within the span and are open. One query.

    Those of a called-off event aren't asked for any more: what becomes of them is decided.
    """
    if not may(tenancy.current().role, Right.SEE_INVOICES):
        return []
    studio = entered_studio()
    today = today_at(studio)
    last = span.end.astimezone(studio.tz).date()
    found = (
        _unsettled(with_sums(Invoice.objects.select_related("event").only(*_LISTED, "event__title")))
        .filter(due_on__lt=max(last, today))
        .exclude(event__status=Status.CANCELLED)
    )
    return [_due_item(one, studio) for one in found.order_by("due_on")[:20] if standing(one, today).left > 0]


# Private


def _amount(row: InvoiceRow) -> str:
    """What is still to be paid or paid back, of the whole; the whole alone where that is the same or settled."""
    return f"{row.left} of {row.total}" if row.left not in ("", row.total) else row.total


_LISTED: Final = ("number", "kind", "offer", "total", "currency", "due_on")
"""Columns that a line takes."""


def _next_invoices(quotes: Iterable[EventQuote], invoices: Iterable[Invoice]) -> tuple[Act, ...]:
    """A button for each agreed offer that has no final invoice yet."""
    agreed = sorted(quote.agreed_offer for quote in quotes if quote.agreed_offer)
    settled = {one.offer_id for one in invoices if one.kind == InvoiceKind.BALANCE}
    return tuple(
        Act("Invoice", links.to("quoting:invoice-further", offer_id))
        for offer_id in agreed
        if offer_id not in settled
    )


def _unsettled(rows: QuerySet[Invoice]) -> QuerySet[Invoice]:
    return rows.filter(~Q(kind=InvoiceKind.CREDIT)).exclude(total=F("paid_sum") + F("credited_sum"))


def _due_item(invoice: Invoice, studio: Studio) -> DueItem:
    assert invoice.due_on is not None
    stands = standing(invoice, today_at(studio))
    left = amounts.written(stands.left, invoice.currency, studio.locale)
    what = "Deposit" if invoice.kind == InvoiceKind.DEPOSIT else "Invoice"
    late = "overdue" if stands.state == Paid.OVERDUE else "due"
    at = datetime.combine(invoice.due_on + timedelta(days=1), time(0), studio.tz).astimezone(UTC)
    return DueItem(
        at - timedelta(minutes=1), f"{what} {late}: {left}", invoice.event.title,
        links.to("quoting:invoice", invoice.pk), invoice.event_id,
    )  # fmt: skip
