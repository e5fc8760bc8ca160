"""Letters about money: an invoice, a receipt, a reminder, each with its PDF."""

from __future__ import annotations

from quoting.invoices import pdf as invoice_pdf
from quoting.invoices.document_presenter import present_invoice
from quoting.invoices.settling import standing, today_at, with_sums
from quoting.models import Invoice, Payment
from studio.models import StoredFile, entered_studio
from studio.money import amounts
from studio.outbox import mail


def send_invoice(invoice_id: int) -> None:
    """The invoice or credit note as issued."""
    invoice = Invoice.objects.get(pk=invoice_id)
    _send("invoice", invoice, {}, invoice_pdf.make(invoice_id))


def send_receipt(payment_id: int) -> None:
    """The receipt of a payment."""
    payment = Payment.objects.get(pk=payment_id)
    invoice = with_sums(Invoice.objects.all()).get(pk=payment.invoice_id)
    _send(
        "receipt",
        invoice,
        invoice_pdf.receipt_words(payment, invoice, entered_studio()),
        invoice_pdf.make_receipt(payment_id),
    )


def send_reminder(invoice_id: int) -> bool:
    """A reminder of what is open; nothing is sent where it was paid in the meantime. Tells whether it went out."""
    invoice = with_sums(Invoice.objects.all()).get(pk=invoice_id)
    studio = entered_studio()
    left = standing(invoice, today_at(studio)).left
    if left <= 0:
        return False
    _send(
        "reminder",
        invoice,
        {"left": amounts.written(left, invoice.currency, studio.locale)},
        invoice_pdf.make(invoice_id),
    )
    return True


# Private


def _send(template: str, invoice: Invoice, said: dict[str, object], paper: StoredFile) -> None:
    shown, studio = present_invoice(invoice.frozen), entered_studio()
    mail.send(
        template=template,
        to=invoice.client_email,
        reply_to=studio.email,
        sender=studio.name,
        context={"invoice": shown, **said},
        attachments=[(paper.name, bytes(paper.content), paper.media_type)],
    )
