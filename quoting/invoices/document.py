"""The document that an invoice freezes: typed records, with a writer and a reader of its canonical JSON.

Amounts are in the studio's currency. ``lines`` to ``total`` are what was agreed (on a balance invoice) or what this
document asks for; ``before`` are the invoices that asked for a part of it already; ``asked`` is what is to be paid on
this one (EN 16931-1: BT-112 is ``total``, BT-113 the sum of ``before``, BT-115 ``asked.total``).

Invoices outlive versions of the program: a field that comes later has a default, so that older documents keep loading.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Final

import msgspec

from quoting.models import InvoiceKind
from quoting.pricing.frozen import FrozenLine, FrozenTax, canonical, digest_of, plain_percent
from quoting.pricing.inputs import Tax
from quoting.pricing.tape import TaxAmount
from studio.models import Studio
from studio.money import amounts

FORMAT: Final = 1
"""Raised when the meaning of a key changes; a document is read by the rules it was written under."""


class FrozenStudio(msgspec.Struct, frozen=True, kw_only=True):
    """The studio as it stands at the head and the foot of the document."""

    name: str
    address: str
    email: str
    phone: str
    tax_number: str
    holder: str
    iban: str
    bic: str
    payment_words: str
    zone: str


class FrozenClient(msgspec.Struct, frozen=True, kw_only=True):
    """Who is billed, and where."""

    name: str
    bill_to: str


class FrozenEvent(msgspec.Struct, frozen=True, kw_only=True):
    """What the invoice is for; the day is that of the venue."""

    title: str
    day: date
    place: str


class EarlierInvoice(msgspec.Struct, frozen=True, kw_only=True):
    """An invoice that asked for a part of the total already."""

    number: str
    issued_on: date
    total: Decimal


class Credited(msgspec.Struct, frozen=True, kw_only=True):
    """The invoice that a credit note credits."""

    number: str
    issued_on: date


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """What is to be paid on the document."""

    net: Decimal
    tax: Decimal
    total: Decimal
    taxes: tuple[FrozenTax, ...]


class Body(msgspec.Struct, frozen=True, kw_only=True):
    """What an invoice is about: its lines and their sums, and the documents that it names."""

    lines: tuple[FrozenLine, ...]
    inclusive: bool
    net: Decimal
    taxes: tuple[FrozenTax, ...]
    total: Decimal
    before: tuple[EarlierInvoice, ...] = ()
    credits: Credited | None = None
    words: str = ""


class InvoiceDocument(Body, frozen=True, kw_only=True):
    """The whole document. ``due_on`` is ISO 8601, empty on a credit note."""

    format: int
    kind: InvoiceKind
    number: str
    offer: str
    """Reference of the offer that it invoices."""
    currency: str
    locale: str
    studio: FrozenStudio
    client: FrozenClient
    event: FrozenEvent
    reference: str
    """ISO 11649."""
    issued_on: date
    due_on: str
    asked: Asked


def write_invoice(document: InvoiceDocument) -> tuple[str, str]:
    """The document as canonical JSON, and the digest of that text."""
    text = canonical(document)
    return text, digest_of(text)


def read_invoice(text: str) -> InvoiceDocument:
    """The document that :func:`write_invoice` wrote, or that a version before it did."""
    return msgspec.json.decode(text, type=InvoiceDocument)


def frozen_studio(studio: Studio) -> FrozenStudio:
    """The studio as an invoice keeps it."""
    return FrozenStudio(
        name=studio.name,
        address=studio.address,
        email=studio.email,
        phone=studio.phone,
        tax_number=studio.tax_number,
        holder=studio.account_holder or studio.name,
        iban=studio.iban,
        bic=studio.bic,
        payment_words=studio.payment_words,
        zone=studio.zone,
    )


def frozen_taxes(taxes: Sequence[TaxAmount], currency: str) -> tuple[FrozenTax, ...]:
    """Taxes as a document keeps them."""
    return tuple(
        FrozenTax(
            tax.tax.name,
            plain_percent(tax.tax.percent),
            amounts.rounded(tax.base, currency),
            amounts.rounded(tax.amount, currency),
        )
        for tax in taxes
    )


def taxes_of(kept: Sequence[FrozenTax]) -> tuple[TaxAmount, ...]:
    """Taxes as a document kept them."""
    return tuple(TaxAmount(Tax(tax.name, tax.percent), tax.base, tax.amount) for tax in kept)


def asked_taxes(text: str) -> tuple[TaxAmount, ...]:
    """What a frozen document asks for, tax by tax."""
    return taxes_of(read_invoice(text).asked.taxes)
