"""An invoice's document in words: amounts and days as the studio writes them. Page, PDF and e-mails read this."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from quoting.invoices.document import FrozenStudio, InvoiceDocument, read_invoice
from quoting.models import InvoiceKind
from quoting.pricing.frozen import (
    LineShown,
    TaxShown,
    Writer,
    day,
    language_of,
    lines_shown,
    paragraphs,
    taxes_shown,
    writer,
)
from studio.money import payment_codes

TITLES: Final = {
    InvoiceKind.DEPOSIT: _("Invoice for a deposit"),
    InvoiceKind.INSTALMENT: _("Invoice for an instalment"),
    InvoiceKind.BALANCE: _("Invoice"),
    InvoiceKind.CREDIT: _("Credit note"),
}


@dataclass(frozen=True)
class EarlierShown:
    """An invoice that asked for a part of the total already."""

    number: str
    issued_on: str
    total: str


@dataclass(frozen=True)
class StudioShown:
    """The studio at the head and the foot of the document."""

    name: str
    address: tuple[str, ...]
    email: str
    phone: str
    tax_number: str
    holder: str
    iban: str
    bic: str
    payment_words: str
    zone: str


@dataclass(frozen=True)
class InvoiceShown:
    """The whole document in words and written amounts."""

    title: str
    number: str
    is_credit: bool
    credits: str
    """Number and day of the invoice that a credit note credits."""
    words: str
    studio: StudioShown
    client: str
    bill_to: tuple[str, ...]
    event_title: str
    event_day: str
    event_place: str
    offer: str
    issued_on: str
    due_on: str
    reference: str
    lines: tuple[LineShown, ...]
    inclusive: bool
    net: str
    taxes: tuple[TaxShown, ...]
    total: str
    before: tuple[EarlierShown, ...]
    asked: str
    asked_taxes: tuple[TaxShown, ...]
    account: tuple[tuple[str, str], ...]
    """Where to pay: names and values, in the order in which a bank asks for them."""
    payment_words: tuple[str, ...]
    language: str

    @property
    def many_taxes(self) -> bool:
        """Whether there is more than one tax, so that each needs what it is charged on."""
        return len(self.taxes) > 1


def present_invoice(text: str) -> InvoiceShown:
    """The document in words."""
    kept = read_invoice(text)
    locale, studio = kept.locale, kept.studio
    amount = writer(kept.currency, locale)
    return InvoiceShown(
        title=str(TITLES[kept.kind]),
        number=kept.number,
        is_credit=kept.kind == InvoiceKind.CREDIT,
        credits=_credits(kept),
        words=kept.words,
        studio=_studio_shown(studio),
        client=kept.client.name,
        bill_to=paragraphs(kept.client.bill_to),
        event_title=kept.event.title,
        event_day=day(kept.event.day, locale),
        event_place=kept.event.place,
        offer=kept.offer,
        issued_on=day(kept.issued_on, locale),
        due_on=day(date.fromisoformat(kept.due_on), locale) if kept.due_on else "",
        reference=payment_codes.in_fours(kept.reference),
        lines=lines_shown(kept.lines, amount),
        inclusive=kept.inclusive,
        net=amount(kept.net),
        taxes=taxes_shown(kept.taxes, amount, locale),
        total=amount(kept.total),
        before=_before(kept, amount),
        asked=amount(kept.asked.total),
        asked_taxes=taxes_shown(kept.asked.taxes, amount, locale),
        account=account_lines(studio),
        payment_words=paragraphs(studio.payment_words),
        language=language_of(locale),
    )


def account_lines(studio: FrozenStudio) -> tuple[tuple[str, str], ...]:
    """Holder, IBAN and BIC as they are typed into a bank's form; nothing without an IBAN."""
    if not studio.iban:
        return ()
    found = [(gettext("Account holder"), studio.holder), ("IBAN", payment_codes.in_fours(studio.iban))]
    return tuple(found + ([("BIC", studio.bic)] if studio.bic else []))


# Private


def _credits(kept: InvoiceDocument) -> str:
    if not kept.credits:
        return ""
    issued_on = day(kept.credits.issued_on, kept.locale)
    return gettext("invoice %(number)s of %(day)s") % {"number": kept.credits.number, "day": issued_on}


def _before(kept: InvoiceDocument, amount: Writer) -> tuple[EarlierShown, ...]:
    return tuple(
        EarlierShown(one.number, day(one.issued_on, kept.locale), amount(one.total)) for one in kept.before
    )


def _studio_shown(studio: FrozenStudio) -> StudioShown:
    return StudioShown(
        name=studio.name,
        address=paragraphs(studio.address),
        email=studio.email,
        phone=studio.phone,
        tax_number=studio.tax_number,
        holder=studio.holder,
        iban=studio.iban,
        bic=studio.bic,
        payment_words=studio.payment_words,
        zone=studio.zone,
    )
