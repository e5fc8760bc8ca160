"""The deposit: asked for as an offer is agreed, shown to the client with how to pay it, and what it confirms.

The client's page gets a :class:`DepositRequest`; everything in it is written as the studio writes it.
"""

from __future__ import annotations

from datetime import datetime, time, timedelta
from decimal import Decimal

import segno
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from quoting.invoices import invoiced, issuing
from quoting.invoices.document import read_invoice
from quoting.invoices.document_presenter import present_invoice
from quoting.invoices.settling import Paid, standing, today_at, with_sums
from quoting.models import Invoice, InvoiceKind, Offer
from quoting.offers.deposit import DepositRequest
from studio.measures.languages import in_language
from studio.models import ConfirmedBy, Studio, entered_studio
from studio.money import amounts, payment_codes
from studio.tenancy.access import require
from studio.tenancy.rights import Right

DAYS_OF_GRACE = 2
"""How long after its due day an unpaid deposit still keeps the pieces: banks take a day. Common practice, no source."""


def request_deposit(offer: Offer) -> Invoice | None:
    """Ask for the deposit of an agreed offer, in the transaction of its agreement; twice is once, nothing if none."""
    return issuing.issue_deposit(offer)


def hold_for_deposit(offer: Offer) -> datetime | None:
    """Ask for the deposit of an agreed offer; until when its pieces are held, where the deposit confirms the event."""
    invoice = request_deposit(offer)
    return kept_until(invoice) if invoice and confirms(offer) else None


def deposit_due(offer: Offer, studio: Studio | None = None) -> DepositRequest | None:
    """The deposit of an offer as it stands now; nothing where none was asked, or it was credited. Two queries."""
    require(Right.ANSWER_OFFER)
    invoice = (
        with_sums(Invoice.objects.filter(offer=offer, kind=InvoiceKind.DEPOSIT)).order_by("-number").first()
    )
    if invoice is None:
        return None
    studio = studio or entered_studio()
    stands = standing(invoice, today_at(studio))
    if stands.state == Paid.CREDITED or invoice.due_on is None:
        return None
    shown = present_invoice(invoice.frozen)
    left = max(stands.left, Decimal(0))
    return DepositRequest(
        invoice_id=invoice.pk,
        number=invoice.written_number,
        amount=invoice.total,
        left=left,
        amount_written=shown.asked,
        left_written=amounts.written(left, invoice.currency, in_language(studio.locale)),
        due_on=invoice.due_on,
        due_written=shown.due_on,
        reference=shown.reference,
        account=shown.account,
        payment_words=shown.payment_words,
        code=code_of(invoice, left),
        is_paid=left == 0,
        is_overdue=stands.state == Paid.OVERDUE,
        promises=studio.confirmed_by == ConfirmedBy.DEPOSIT,
    )


def code_of(invoice: Invoice, left: Decimal) -> SafeString:
    """The square code that pays what is left of an invoice, as SVG; empty where there is none."""
    code = payment_code(invoice, left)
    # Drawn by segno out of a payload of ours; the title is the only text in it.
    return mark_safe(payment_codes.drawn(code, _("Payment code")) if code else "")  # noqa: S308


def payment_code(invoice: Invoice, left: Decimal) -> segno.QRCode | None:
    """The same, undrawn."""
    studio = read_invoice(invoice.frozen).studio
    return payment_codes.credit_transfer(
        holder=studio.holder,
        account=studio.iban,
        bank=studio.bic,
        amount=amounts.rounded(left, invoice.currency),
        currency=invoice.currency,
        reference=invoice.reference,
    )


def confirms(offer: Offer) -> bool:
    """Whether the deposit, not the agreement, promises the event of this agreed offer."""
    agreed = invoiced.agreed_document(offer)
    return entered_studio().confirmed_by == ConfirmedBy.DEPOSIT and agreed.deposit > 0


def kept_until(invoice: Invoice, studio: Studio | None = None) -> datetime:
    """Until when the pieces are held for a deposit that isn't in yet."""
    zone = (studio or entered_studio()).tz
    last = (invoice.due_on or invoice.issued_on) + timedelta(days=DAYS_OF_GRACE)
    return min(datetime.combine(last, time(23, 59), zone), invoice.event.load_out_at)
