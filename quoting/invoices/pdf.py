"""Invoices, credit notes and receipts on paper: rendered by the worker from what was frozen, kept with their rows."""

from __future__ import annotations

import io
from decimal import Decimal

from django.utils.translation import gettext as _

from events.contacts.language import speaking_to
from quoting.invoices import deposits
from quoting.invoices.document import read_invoice
from quoting.invoices.document_presenter import present_invoice
from quoting.invoices.settling import standing, today_at, with_sums
from quoting.models import Invoice, Payment
from quoting.pricing import frozen
from studio.measures.languages import in_language
from studio.models import StoredFile, Studio, entered_studio
from studio.money import amounts
from studio.paper import pdf


def make(invoice_id: int) -> StoredFile:
    """Render and keep the PDF of an invoice or credit note; made once, it is given again."""
    # Locked without its file: a joined row is read as it was before the wait for the lock.
    invoice = Invoice.objects.select_for_update(no_key=True).get(pk=invoice_id)
    if invoice.pdf_id:
        return StoredFile.objects.get(pk=invoice.pdf_id)
    with speaking_to(invoice.event.client):
        content = rendered(invoice, entered_studio())
    file = pdf.stored(f"{invoice.name.replace(' ', '-')}-{invoice.written_number}.pdf", content)
    invoice.pdf = file
    invoice.save(update_fields=["pdf"])
    return file


def make_receipt(payment_id: int) -> StoredFile:
    """Render and keep the PDF of a receipt; made once, it is given again."""
    payment = Payment.objects.select_for_update(no_key=True).get(pk=payment_id)
    if payment.pdf_id:
        return StoredFile.objects.get(pk=payment.pdf_id)
    with speaking_to(payment.invoice.event.client):
        content = rendered_receipt(payment, entered_studio())
    file = pdf.stored(f"receipt-{payment.written_number}.pdf", content)
    payment.pdf = file
    payment.save(update_fields=["pdf"])
    return file


def rendered(invoice: Invoice, studio: Studio) -> bytes:
    """The frozen document as PDF/UA-1, with the square code that pays it where there is one."""
    code = None if invoice.is_credit else deposits.payment_code(invoice, invoice.total)
    made: dict[str, bytes] = {}
    if code:
        drawn = io.BytesIO()
        code.save(drawn, kind="svg", border=2, dark="#1D2528", xmldecl=False, svgclass=None, lineclass=None)
        made["code.svg"] = drawn.getvalue()
    context = {"invoice": present_invoice(invoice.frozen), "digest": invoice.digest, "code": bool(code)}
    return _rendered("quoting/invoices/pdf.html", context, studio, made)


def rendered_receipt(payment: Payment, studio: Studio) -> bytes:
    """A receipt as PDF/UA-1: who paid what on which invoice, and what is left of that."""
    invoice = with_sums(Invoice.objects.all()).get(pk=payment.invoice_id)
    return _rendered("quoting/invoices/receipt_pdf.html", receipt_words(payment, invoice, studio), studio, {})


def receipt_words(payment: Payment, invoice: Invoice, studio: Studio) -> dict[str, object]:
    """What a receipt says, written. ``invoice`` comes with its sums."""
    locale = in_language(read_invoice(invoice.frozen).locale)
    left = standing(invoice, today_at(studio)).left

    def amount(value: Decimal) -> str:
        return amounts.written(value, invoice.currency, locale)

    return {
        "invoice": present_invoice(invoice.frozen),
        "number": payment.written_number,
        "amount": amount(abs(payment.amount)),
        "went_back": payment.amount < 0,
        "received_on": frozen.day(payment.received_on, locale),
        "paid_by": payment.way_in_words(locale),
        "words": payment.words,
        "left": amount(left) if left > 0 else _("nothing"),
    }


# Private


def _rendered(template: str, context: dict[str, object], studio: Studio, made: dict[str, bytes]) -> bytes:
    if studio.logo:
        made["logo.png"] = bytes(studio.logo)
    return pdf.rendered(
        template, {**context, "paper": pdf.paper(studio), "logo": bool(studio.logo)}, made=made
    )
