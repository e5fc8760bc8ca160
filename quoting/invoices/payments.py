"""What was paid: recorded by hand, with a receipt; put right by taking it back, never by changing it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.utils import timezone

from events.models import Event
from quoting.invoices import issuing
from quoting.invoices.settling import standing, today_at, with_sums
from quoting.models import Invoice, InvoiceKind, NumberSeries, Offer, OfferState, PaidBy, Payment
from quoting.offers import agreeing
from studio import tenancy
from studio.models import entered_studio
from studio.money import amounts
from studio.outbox import entries
from studio.tenancy.access import require
from studio.tenancy.fair_share import MAILS, PAPERS
from studio.tenancy.rights import Right

LONGEST_WORDS: Final = 200
LONGEST_KEY: Final = 80
OLDEST: Final = timedelta(days=3 * 366)
"""A day further back is a slip of the finger."""


@dataclass(frozen=True)
class Recorded:
    """What came of recording a payment."""

    payment: Payment
    promised: bool
    """Whether the event was promised by it."""
    in_the_way: tuple[str, ...]
    """Why the event could not be promised although its deposit is in: what is gone meanwhile, a sentence each."""


def record(
    invoice_id: int, *, amount: Decimal, received_on: date, paid_by: PaidBy, words: str = "", key: str
) -> Recorded:
    """Money that came in. The same ``key`` again is the same payment. Raises ``ValidationError`` at the field."""
    require(Right.EDIT_INVOICES)
    with transaction.atomic():
        invoice, known = _locked(invoice_id, key)
        if known:
            return Recorded(known, promised=False, in_the_way=())
        if invoice.is_credit:
            raise ValidationError({"amount": "You can't record a payment on a credit note."})
        left = standing(invoice, date.min).left
        _refuse(invoice, amount, left, received_on)
        payment = _write(invoice, amount, received_on, paid_by, words, key)
        in_the_way, promised = _promise_if_due(invoice, left - amount)
    return Recorded(payment, promised, in_the_way)


def pay_back(
    invoice_id: int, *, amount: Decimal, received_on: date, paid_by: PaidBy, words: str = "", key: str
) -> Payment:
    """Money that went back to the client after a credit note. Raises ``ValidationError`` at the field."""
    require(Right.EDIT_INVOICES)
    with transaction.atomic():
        invoice, known = _locked(invoice_id, key)
        if known:
            return known
        _refuse(invoice, amount, -standing(invoice, date.min).left, received_on)
        return _write(invoice, -amount, received_on, paid_by, words, key)


def take_back(payment_id: int, *, words: str = "") -> Payment:
    """Put a slip right: the payment stays in the books, with its counterpart beside it. Twice is once."""
    require(Right.EDIT_INVOICES)
    with transaction.atomic():
        found = Payment.objects.filter(pk=payment_id).first()
        if found is None:
            raise Http404
        if found.takes_back_id:
            raise ValidationError("This entry already reverses another. Record the payment again.")
        invoice, known = _locked(found.invoice_id, f"takes-back-{found.pk}")
        if known:
            return known
        today = today_at(entered_studio())
        note = words.strip() or f"takes receipt {found.written_number} back"
        return _write(
            invoice,
            -found.amount,
            today,
            PaidBy(found.paid_by),
            note,
            f"takes-back-{found.pk}",
            takes_back=found,
        )


def promise_now(invoice_id: int) -> None:
    """Confirm the event of a deposit, paid or not: the studio trusts its client.

    Raises ``ValidationError``, or :class:`agreeing.Gone` with what is no longer free.
    """
    require(Right.EDIT_INVOICES)
    invoice = issuing.find(invoice_id)
    with transaction.atomic():
        offer = (
            Offer.objects.select_for_update(of=("self",), no_key=True)
            .select_related("quote__event")
            .filter(invoices=invoice.pk, state=OfferState.AGREED)
            .first()
        )
        if offer is None or invoice.kind != InvoiceKind.DEPOSIT:
            raise ValidationError("This invoice is not the deposit of an agreed offer.")
        if not offer.quote.event.is_agreed:
            agreeing.promise(offer)


def find(payment_id: int) -> Payment:
    """A payment of this studio with its invoice; 404 for any other."""
    require(Right.SEE_INVOICES)
    found = Payment.objects.select_related("invoice__event", "pdf").filter(pk=payment_id).first()
    if found is None:
        raise Http404
    return found


# --- Private --------------------------------------------------------------------------------------------------


def _locked(invoice_id: int, key: str) -> tuple[Invoice, Payment | None]:
    """The invoice, locked before its sums are read, and the payment that the key stands for already."""
    if not key or len(key) > LONGEST_KEY:
        raise ValidationError("The form was incomplete. Open the page again.")
    # Offer and event first, as everywhere: a payment may promise its event.
    of = Invoice.objects.filter(pk=invoice_id).values_list("offer_id", "event_id").first()
    if of:
        list(Offer.objects.select_for_update(no_key=True).filter(pk=of[0]).values_list("pk"))
        list(Event.objects.select_for_update(no_key=True).filter(pk=of[1]).values_list("pk"))
    if not list(Invoice.objects.select_for_update(no_key=True).filter(pk=invoice_id).values_list("pk")):
        raise Http404
    known = Payment.objects.filter(key=key).first()
    if known and known.invoice_id != invoice_id:
        raise ValidationError("This form belongs to another invoice. Open the page again.")
    return with_sums(Invoice.objects.select_related("event")).get(pk=invoice_id), known


def _refuse(invoice: Invoice, amount: Decimal, most: Decimal, received_on: date) -> None:
    studio = entered_studio()
    faults: dict[str, str] = {}
    if amount <= 0:
        faults["amount"] = "Enter an amount above zero."
    elif amount > most:
        open_still = amounts.written(max(most, Decimal(0)), invoice.currency, studio.locale)
        faults["amount"] = (
            f"Only {open_still} is unpaid on this invoice. Record other payments on their own invoices."
        )
    elif amount != amounts.rounded(amount, invoice.currency):
        faults["amount"] = (
            f"{invoice.currency} has {amounts.minor_digits(invoice.currency) or 'no'} decimals."
        )
    today = today_at(studio)
    if received_on > today:
        faults["received_on"] = "This date is in the future."
    elif received_on < today - OLDEST:
        faults["received_on"] = "This date is more than three years ago."
    if faults:
        raise ValidationError(dict(faults))


def _write(
    invoice: Invoice,
    amount: Decimal,
    received_on: date,
    paid_by: PaidBy,
    words: str,
    key: str,
    takes_back: Payment | None = None,
) -> Payment:
    series = issuing.locked_series()
    number = series.last_payment + 1
    NumberSeries.objects.filter(pk=series.pk).update(last_payment=number)
    payment = Payment.objects.create(
        number=number, key=key, invoice=invoice, amount=amount, received_on=received_on, paid_by=paid_by,
        words=" ".join(words.split())[:LONGEST_WORDS], takes_back=takes_back, recorded_at=timezone.now(),
        recorded_by_id=tenancy.current().person_id,
    )  # fmt: skip
    if takes_back is None:
        entries.write(
            "quoting.render_receipt_pdf", share=PAPERS, key=f"receipt-pdf-{payment.pk}", payment_id=payment.pk
        )
        if invoice.client_email:
            entries.write(
                "quoting.mail_receipt", share=MAILS, key=f"receipt-mail-{payment.pk}", payment_id=payment.pk
            )
    return payment


def _promise_if_due(invoice: Invoice, left: Decimal) -> tuple[tuple[str, ...], bool]:
    """Confirm the event where it was waiting for this deposit. What is gone is told; the payment stands."""
    if invoice.kind != InvoiceKind.DEPOSIT or left > 0 or invoice.offer_id is None:
        return (), False
    offer = Offer.objects.select_related("quote__event").get(pk=invoice.offer_id)
    event = offer.quote.event
    if offer.state != OfferState.AGREED or event.is_agreed or event.is_off:
        return (), False
    try:
        with transaction.atomic():
            agreeing.promise(offer)
    except agreeing.Gone as refusal:
        return tuple(refusal.for_studio), False
    return (), True
