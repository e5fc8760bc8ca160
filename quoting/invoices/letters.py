"""Letters about money: an invoice, a receipt, a reminder, each with its PDF."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from quoting.invoices import pdf as invoice_pdf
from quoting.invoices.document import InvoiceDocument, read_invoice
from quoting.invoices.document_presenter import InvoiceShown, present_invoice
from quoting.invoices.settling import standing, today_at, with_sums
from quoting.letters import writing
from quoting.letters.our_texts import WORDS
from quoting.letters.writing import Values
from quoting.models import Invoice, LetterKind, Payment
from studio.measures.languages import Language, in_language, language_of, speaking
from studio.models import StoredFile, entered_studio
from studio.money import amounts

Said = Callable[[Language], dict[str, str]]
"""What a letter says besides, in a language."""


def send_invoice(invoice_id: int) -> None:
    """The invoice or credit note as issued."""
    invoice = Invoice.objects.select_related("event__client").get(pk=invoice_id)
    kind = LetterKind.CREDIT if invoice.is_credit else LetterKind.INVOICE
    asked = present_invoice(invoice.frozen).asked
    _send(kind, invoice, lambda _: {"amount": asked}, invoice_pdf.make(invoice_id))


def send_receipt(payment_id: int) -> None:
    """The receipt of a payment, or of what was paid back."""
    payment = Payment.objects.get(pk=payment_id)
    invoice = with_sums(Invoice.objects.select_related("event__client")).get(pk=payment.invoice_id)
    studio = entered_studio()
    left = standing(invoice, today_at(studio)).left
    kept_in = read_invoice(invoice.frozen).locale

    def said(language: Language) -> dict[str, str]:
        locale = in_language(kept_in)
        written = amounts.written(left, invoice.currency, locale)
        words = WORDS[language]
        return {
            "receipt": payment.written_number,
            "amount": amounts.written(abs(payment.amount), invoice.currency, locale),
            "received": writing.day_words(payment.received_on, language, locale),
            "left": words["left"].format(amount=written) if left > 0 else words["nothing left"],
        }

    kind = LetterKind.REFUND if payment.amount < 0 else LetterKind.RECEIPT
    _send(kind, invoice, said, invoice_pdf.make_receipt(payment_id))


def send_reminder(invoice_id: int) -> bool:
    """A reminder of what is open; nothing is sent where it was paid in the meantime. Tells whether it went out."""
    invoice = with_sums(Invoice.objects.select_related("event__client")).get(pk=invoice_id)
    studio = entered_studio()
    left = standing(invoice, today_at(studio)).left
    if left <= 0:
        return False

    def said(_: Language) -> dict[str, str]:
        return {"amount": amounts.written(left, invoice.currency, in_language(studio.locale))}

    _send(LetterKind.REMINDER, invoice, said, invoice_pdf.make(invoice_id))
    return True


# Private


def _send(kind: LetterKind, invoice: Invoice, said: Said, paper: StoredFile) -> None:
    studio = entered_studio()
    language = language_of(invoice.event.client.language, studio.locale)
    with speaking(language):
        shown = present_invoice(invoice.frozen)
        words = {**_words(shown, read_invoice(invoice.frozen), language), **said(language)}
        letter = writing.write_letter(kind, language, Values(words, payment=_payment(shown, language)))
    writing.send(
        letter, to=invoice.client_email, studio=studio,
        attachments=[(paper.name, bytes(paper.content), paper.media_type)],
    )  # fmt: skip


def _words(shown: InvoiceShown, kept: InvoiceDocument, language: Language) -> dict[str, str]:
    due = date.fromisoformat(kept.due_on) if kept.due_on else None
    return {
        "client": shown.client,
        "event": shown.event_title,
        "studio": shown.studio.name,
        "number": shown.number,
        "due": writing.day_words(due, language, kept.locale) if due else "",
        "credits": _credits(kept, language),
    }


def _credits(kept: InvoiceDocument, language: Language) -> str:
    """The invoice that a credit note credits, and why."""
    if not kept.credits:
        return ""
    day = writing.day_words(kept.credits.issued_on, language, kept.locale)
    named = WORDS[language]["invoice of"].format(number=kept.credits.number, day=day)
    return f"{named}: {kept.words}" if kept.words else f"{named}."


def _payment(shown: InvoiceShown, language: Language) -> list[str]:
    words = WORDS[language]
    account = [f"{words.get(name, name)}: {value}" for name, value in shown.account]
    return [f"{words['reference']}: {shown.reference}", *account, *shown.payment_words]
