"""What of an agreed offer is invoiced already, and what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from events.contacts.language import speaking_to
from quoting.invoices import document as invoice_document
from quoting.invoices.settling import today_at
from quoting.invoices.splitting import total_of, without
from quoting.models import Answer, AnswerKind, Invoice, InvoiceKind, Offer, OfferState
from quoting.offers.document import QuoteDocument, choose, read_offer
from quoting.pricing import instalments
from quoting.pricing.tape import TaxAmount
from studio.models import Studio

NOTHING: Final = Decimal(0)


class CannotInvoice(ValidationError):
    """An invoice that can't be issued, and why; nothing has changed, no number is taken."""


@dataclass(frozen=True)
class Earlier:
    """What an earlier invoice of the same offer still asks for after its credit notes."""

    invoice: Invoice
    taxes: tuple[TaxAmount, ...]

    @property
    def total(self) -> Decimal:
        """With tax."""
        return total_of(self.taxes)


def agreed_document(offer: Offer) -> QuoteDocument:
    """The quote part of what the client agreed to, with the options chosen. Raises :class:`CannotInvoice`."""
    if offer.state != OfferState.AGREED:
        raise CannotInvoice("Only an agreed offer can be invoiced.")
    kept = Answer.objects.filter(offer=offer, kind=AnswerKind.AGREED).values_list("frozen", "chosen").first()
    text, chosen = kept or (offer.frozen, None)
    return choose(read_offer(text).quote, chosen)


def earlier_of(offer: Offer) -> list[Earlier]:
    """The invoices of an offer that still ask for something, oldest first. Two queries."""
    invoices = [one for one in all_of(offer) if not one.is_credit]
    credited = credited_taxes(invoices)
    left = [
        Earlier(one, without(invoice_document.asked_taxes(one.frozen), credited.get(one.pk, ())))
        for one in invoices
    ]
    return [one for one in left if one.total]


def left_to_invoice(offer: Offer) -> Decimal:
    """What of the agreed total no invoice asks for yet."""
    return agreed_document(offer).total - sum((one.total for one in earlier_of(offer)), NOTHING)


def next_part(offer: Offer) -> tuple[str, instalments.Part] | None:
    """The agreed instalment that is to be invoiced next, and what it is called; nothing where none is left."""
    agreed = agreed_document(offer)
    planned, _ = instalments.parts(agreed.total, agreed.deposit, agreed.instalments, agreed.currency)
    done = sum(1 for one in earlier_of(offer) if one.invoice.kind == InvoiceKind.INSTALMENT)
    if done >= len(planned):
        return None
    with speaking_to(offer.quote.event.client):
        named = gettext("Instalment %(number)s of %(count)s") % {"number": done + 1, "count": len(planned)}
    return named, planned[done]


def balance_due_on(offer: Offer, studio: Studio) -> date:
    """So many days before the event as the studio says; where that is past, so many from today as a deposit has."""
    today = today_at(studio)
    due = offer.quote.event.ready_by.astimezone(studio.tz).date() - timedelta(days=studio.balance_days)
    return due if due >= today else today + timedelta(days=studio.deposit_days)


def all_of(offer: Offer) -> list[Invoice]:
    """All invoices and credit notes of an offer, oldest first."""
    return list(Invoice.objects.filter(offer=offer).order_by("number"))


def credited_taxes(invoices: Sequence[Invoice]) -> dict[int, tuple[TaxAmount, ...]]:
    """What was credited on each, tax by tax. One query."""
    found: dict[int, tuple[TaxAmount, ...]] = {}
    notes = Invoice.objects.filter(credits__in=[one.pk for one in invoices]).values_list(
        "credits_id", "frozen"
    )
    for invoice_id, text in notes:
        if invoice_id is not None:
            found[invoice_id] = (*found.get(invoice_id, ()), *invoice_document.asked_taxes(text))
    return found
