"""Issuing invoices: deposit, instalment, balance, credit note.

An invoice is frozen as it is issued and never changes. Numbers are counted by a row that each writer locks until its
own transaction ends: a number is taken only together with its invoice, so there are neither gaps nor doubles.
Rows are locked in one order everywhere in this room: quote, offer, event, invoice, number series, then stock.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.utils import timezone
from django.utils.translation import gettext as _
from msgspec import structs

from events.contacts.language import speaking_to
from quoting.invoices.document import (
    FORMAT,
    Asked,
    Body,
    Credited,
    EarlierInvoice,
    FrozenClient,
    FrozenEvent,
    InvoiceDocument,
    frozen_studio,
    frozen_taxes,
    read_invoice,
    taxes_of,
    write_invoice,
)
from quoting.invoices.invoiced import (
    NOTHING,
    CannotInvoice,
    agreed_document,
    all_of,
    balance_due_on,
    credited_taxes,
    earlier_of,
)
from quoting.invoices.settling import today_at, with_sums
from quoting.invoices.splitting import net_of, part_of, tax_of, total_of, without
from quoting.models import Invoice, InvoiceKind, NumberSeries, Offer
from quoting.offers.document import QuoteDocument, client_lines
from quoting.pricing.frozen import FrozenLine, plain_percent
from quoting.pricing.tape import TaxAmount
from studio import tenancy
from studio.measures.languages import in_language, with_decimal_sign
from studio.models import entered_studio
from studio.money import amounts, payment_codes
from studio.outbox import entries
from studio.tenancy.access import require
from studio.tenancy.fair_share import MAILS, PAPERS
from studio.tenancy.rights import Right

LONGEST_WORDS: Final = 400


def lock(offer: Offer) -> None:
    """Whoever invoices an offer waits for whoever does so already."""
    Offer.objects.select_for_update(no_key=True).only("pk").get(pk=offer.pk)


def issue_deposit(offer: Offer) -> Invoice | None:
    """The deposit of an agreed offer, once; nothing where none was asked. For whoever may agree, or issue invoices."""
    require(Right.ANSWER_OFFER)
    agreed = agreed_document(offer)
    if agreed.deposit <= 0:
        return None
    studio = entered_studio()
    today = today_at(studio)
    with speaking_to(offer.quote.event.client):
        label, detail = _("Deposit"), _deposit_words(agreed)
    event_day = offer.quote.event.ready_by.astimezone(studio.tz).date()
    return _issue_part(
        offer,
        kind=InvoiceKind.DEPOSIT,
        key=f"offer-{offer.pk}-deposit",
        amount=agreed.deposit,
        label=label,
        detail=detail,
        due_on=max(today, min(today + timedelta(days=studio.deposit_days), event_day)),
    )


def issue_instalment(
    offer: Offer, *, amount: Decimal, label: str, due_on: date, key: str, bill_to: str = ""
) -> Invoice:
    """A further part of an agreed offer. Raises :class:`CannotInvoice` for more than is left of it."""
    require(Right.EDIT_INVOICES)
    return _issue_part(
        offer, kind=InvoiceKind.INSTALMENT, key=key, amount=amount, label=label, detail="", due_on=due_on,
        bill_to=bill_to,
    )  # fmt: skip


def issue_balance(offer: Offer, *, bill_to: str = "", due_on: date | None = None) -> Invoice:
    """The whole offer, less what was invoiced before; once. Raises :class:`CannotInvoice`."""
    require(Right.EDIT_INVOICES)
    with transaction.atomic():
        lock(offer)
        agreed = agreed_document(offer)
        earlier = earlier_of(offer)
        if any(one.invoice.kind == InvoiceKind.BALANCE for one in earlier):
            raise CannotInvoice("The balance of this offer has already been invoiced.")
        whole = taxes_of(agreed.taxes)
        asked = without(whole, [tax for one in earlier for tax in one.taxes])
        before = tuple(
            EarlierInvoice(
                number=one.invoice.written_number,
                issued_on=one.invoice.issued_on,
                total=amounts.rounded(one.total, agreed.currency),
            )
            for one in earlier
        )
        lines = [
            FrozenLine(label=line.label, detail=line.detail, amount=line.amount)
            for line in client_lines(agreed)
        ]
        document = _body(lines, whole, agreed.currency, inclusive=agreed.inclusive, before=before)
        again = sum(1 for one in all_of(offer) if one.kind == InvoiceKind.BALANCE)
        return _issue(
            offer, kind=InvoiceKind.BALANCE, key=f"offer-{offer.pk}-balance" + (f"-{again}" if again else ""),
            asked=asked, body=document, due_on=due_on or balance_due_on(offer, entered_studio()), bill_to=bill_to,
        )  # fmt: skip


def credit(invoice_id: int, *, amount: Decimal | None, words: str, key: str) -> Invoice:
    """Take an invoice back, in whole or (tax inside) by ``amount``. Raises ``ValidationError`` at the field."""
    require(Right.EDIT_INVOICES)
    words = " ".join(words.split())[:LONGEST_WORDS]
    if not words:
        raise ValidationError({"words": "Enter a reason. It is printed on the credit note."})
    with transaction.atomic():
        found = _locked(invoice_id)
        known = Invoice.objects.filter(key=key).first()
        if known:
            return known
        if found.is_credit:
            raise CannotInvoice("A credit note can't be credited. Issue a new invoice instead.")
        credited = credited_taxes([found]).get(found.pk, ())
        left = found.total - total_of(credited)
        given = amounts.rounded(left if amount is None else amount, found.currency)
        _refuse_amount(given, left, found.currency)
        kept = read_invoice(found.frozen)
        with speaking_to(found.event.client):
            label = _("Credit")
        whole = taxes_of(kept.asked.taxes)
        taxes = without(part_of(whole, total_of(credited) + given, found.currency), credited)
        lines = _part_lines(taxes, kept.inclusive, found.currency, label)
        document = _body(
            lines, taxes, found.currency, inclusive=kept.inclusive, words=words,
            credited=Credited(number=found.written_number, issued_on=found.issued_on),
        )  # fmt: skip
        return _issue(
            found.offer, kind=InvoiceKind.CREDIT, key=key, asked=taxes, body=document, due_on=None,
            bill_to=kept.client.bill_to, credited=found,
        )  # fmt: skip


def find(invoice_id: int) -> Invoice:
    """An invoice of this studio with its sums; 404 for any other."""
    require(Right.SEE_INVOICES)
    found = (
        with_sums(Invoice.objects.select_related("event", "offer__quote", "credits", "issued_by"))
        .filter(pk=invoice_id)
        .first()
    )
    if found is None:
        raise Http404
    return found


def mail_again(invoice_id: int) -> None:
    """Send the document once more. Raises :class:`CannotInvoice`."""
    require(Right.EDIT_INVOICES)
    found = find(invoice_id)
    if not found.client_email:
        raise CannotInvoice("No e-mail address was known for this client. Send the PDF another way.")
    stamp = timezone.now().strftime("%Y%m%d%H%M")
    entries.write(
        "quoting.mail_invoice", share=MAILS, key=f"invoice-mail-{found.pk}-{stamp}", invoice_id=found.pk
    )


def locked_series() -> NumberSeries:
    """The studio's counters, locked until the transaction ends."""
    series, _ = NumberSeries.objects.get_or_create(studio_id=tenancy.current_studio_id())
    return NumberSeries.objects.select_for_update().get(pk=series.pk)


# --- Private --------------------------------------------------------------------------------------------------


def _locked(invoice_id: int) -> Invoice:
    found = Invoice.objects.select_for_update(no_key=True).filter(pk=invoice_id).first()
    if found is None:
        raise Http404
    return found


def _issue_part(
    offer: Offer,
    *,
    kind: InvoiceKind,
    key: str,
    amount: Decimal,
    label: str,
    detail: str,
    due_on: date,
    bill_to: str = "",
) -> Invoice:
    with transaction.atomic():
        lock(offer)
        known = Invoice.objects.filter(key=key).first()
        if known:
            return known
        agreed = agreed_document(offer)
        currency = agreed.currency
        earlier = earlier_of(offer)
        before = sum((one.total for one in earlier), NOTHING)
        _refuse_amount(amount, agreed.total - before, currency)
        asked = without(
            part_of(taxes_of(agreed.taxes), before + amount, currency),
            [tax for one in earlier for tax in one.taxes],
        )
        lines = _part_lines(asked, agreed.inclusive, currency, label, detail)
        document = _body(lines, asked, currency, inclusive=agreed.inclusive)
        return _issue(offer, kind=kind, key=key, asked=asked, body=document, due_on=due_on, bill_to=bill_to)


def _refuse_amount(amount: Decimal, left: Decimal, currency: str) -> None:
    if amount <= 0:
        raise ValidationError({"amount": "Enter an amount above zero."})
    if amount > left:
        studio = entered_studio()
        most = amounts.written(left, currency, studio.locale)
        raise ValidationError({"amount": f"You can enter at most {most}."})


def _deposit_words(agreed: QuoteDocument) -> str:
    """What the deposit is a part of."""
    whole = amounts.written(agreed.total, agreed.currency, in_language(agreed.locale))
    if not agreed.deposit_percent:
        return _("of %(total)s agreed") % {"total": whole}
    share = with_decimal_sign(f"{plain_percent(agreed.deposit_percent)} %")
    return _("%(percent)s of %(total)s agreed") % {"percent": share, "total": whole}


def _part_lines(
    taxes: Sequence[TaxAmount], inclusive: bool, currency: str, label: str, detail: str = ""
) -> list[FrozenLine]:
    """One line for each tax that has a part in it, with tax where the studio's prices have it."""
    parts = [tax for tax in taxes if tax.base or tax.amount]
    return [
        FrozenLine(
            label=label if len(parts) == 1 else f"{label}, {tax.tax.name}",
            detail=detail,
            amount=amounts.rounded(tax.base + tax.amount if inclusive else tax.base, currency),
        )
        for tax in parts
    ]


def _body(
    lines: Sequence[FrozenLine],
    taxes: Sequence[TaxAmount],
    currency: str,
    *,
    inclusive: bool,
    before: tuple[EarlierInvoice, ...] = (),
    credited: Credited | None = None,
    words: str = "",
) -> Body:
    return Body(
        lines=tuple(lines),
        inclusive=inclusive,
        net=amounts.rounded(net_of(taxes), currency),
        taxes=frozen_taxes(taxes, currency),
        total=amounts.rounded(total_of(taxes), currency),
        before=before,
        credits=credited,
        words=words,
    )


def _document(
    offer: Offer,
    body: Body,
    *,
    kind: InvoiceKind,
    number: int,
    asked: Sequence[TaxAmount],
    due_on: date | None,
    bill_to: str,
) -> InvoiceDocument:
    """The whole document: who writes to whom, about what, and what is to be paid."""
    studio, event = entered_studio(), offer.quote.event
    return InvoiceDocument(
        **structs.asdict(body),
        format=FORMAT,
        kind=kind,
        number=f"{number:04d}",
        offer=offer.reference,
        currency=offer.currency,
        locale=studio.locale,
        studio=frozen_studio(studio),
        client=FrozenClient(name=offer.client_name, bill_to=bill_to.strip() or event.client.bill_to),
        event=FrozenEvent(
            title=event.title,
            day=event.ready_by.astimezone(event.tz).date(),
            place=event.venue.name if event.venue else "",
        ),
        reference=payment_codes.creditor_reference(f"{number:06d}"),
        issued_on=today_at(studio),
        due_on=due_on.isoformat() if due_on else "",
        asked=_asked(asked, offer.currency),
    )


def _asked(taxes: Sequence[TaxAmount], currency: str) -> Asked:
    """What is to be paid on this document."""
    return Asked(
        net=amounts.rounded(net_of(taxes), currency),
        tax=amounts.rounded(tax_of(taxes), currency),
        total=amounts.rounded(total_of(taxes), currency),
        taxes=frozen_taxes(taxes, currency),
    )


def _refuse_nothing(taxes: Sequence[TaxAmount]) -> None:
    if total_of(taxes) <= 0:
        raise CannotInvoice("There is nothing left to invoice.")
    if net_of(taxes) < 0 or tax_of(taxes) < 0:
        raise CannotInvoice("This amount is too small to split into net and tax.")


def _next_number() -> int:
    series = locked_series()
    number = series.last_invoice + 1
    NumberSeries.objects.filter(pk=series.pk).update(last_invoice=number)
    return number


def _issue(
    offer: Offer | None,
    *,
    kind: InvoiceKind,
    key: str,
    asked: Sequence[TaxAmount],
    body: Body,
    due_on: date | None,
    bill_to: str,
    credited: Invoice | None = None,
) -> Invoice:
    """Take the next number and write the document under it, with its PDF and its letter to come."""
    if offer is None:
        raise CannotInvoice("This invoice belongs to no offer.")
    _refuse_nothing(asked)
    document = _document(
        offer, body, kind=kind, number=_next_number(), asked=asked, due_on=due_on, bill_to=bill_to
    )
    text, digest = write_invoice(document)
    made = Invoice.objects.create(
        number=int(document.number), kind=kind, key=key, event=offer.quote.event, offer=offer, credits=credited,
        frozen=text, digest=digest, currency=offer.currency, net=net_of(asked), tax=tax_of(asked),
        total=total_of(asked), client_name=offer.client_name, client_email=offer.quote.event.client.email,
        reference=document.reference, issued_on=document.issued_on, issued_at=timezone.now(),
        issued_by_id=tenancy.current().person_id, due_on=due_on,
    )  # fmt: skip
    entries.write(
        "quoting.render_invoice_pdf", share=PAPERS, key=f"invoice-pdf-{made.pk}", invoice_id=made.pk
    )
    if made.client_email:
        entries.write("quoting.mail_invoice", share=MAILS, key=f"invoice-mail-{made.pk}", invoice_id=made.pk)
    return made
