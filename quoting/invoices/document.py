"""The document that an invoice freezes: written once as canonical JSON, read by the page, the PDF and the e-mails.

Amounts are decimal strings in the studio's currency, days ISO 8601. ``lines`` to ``total`` are what was agreed (on a
balance invoice) or what this document asks for; ``before`` are the invoices that asked for a part of it already;
``asked`` is what is to be paid on this one (EN 16931-1: BT-112 is ``total``, BT-113 the sum of ``before``, BT-115
``asked.total``).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final

from quoting.pricing.frozen import (
    LineShown,
    TaxShown,
    canonical,
    day,
    digest_of,
    language_of,
    lines_shown,
    paragraphs,
    taxes_shown,
    writer,
)
from quoting.pricing.tape import Tax, TaxAmount
from studio.models import Studio
from studio.money import amounts, payment_codes

FORMAT: Final = 1
"""Raised when the meaning of a key changes; a document is read by the rules it was written under."""
TITLES: Final = {
    "deposit": "Invoice for a deposit",
    "instalment": "Invoice for an instalment",
    "balance": "Invoice",
    "credit": "Credit note",
}


@dataclass(frozen=True)
class EarlierShown:
    """An invoice that asked for a part of the total already."""

    number: str
    issued_on: str
    total: str


@dataclass(frozen=True)
class InvoiceShown:
    """The whole document in words and written amounts."""

    title: str
    number: str
    is_credit: bool
    credits: str
    """Number and day of the invoice that a credit note credits."""
    words: str
    studio: dict[str, Any]
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


def frozen_studio(studio: Studio) -> dict[str, Any]:
    """The studio as it stands at the head and the foot of the document."""
    return {
        "name": studio.name,
        "address": studio.address,
        "email": studio.email,
        "phone": studio.phone,
        "tax_number": studio.tax_number,
        "holder": studio.account_holder or studio.name,
        "iban": studio.iban,
        "bic": studio.bic,
        "payment_words": studio.payment_words,
        "zone": studio.zone,
    }


def frozen_taxes(taxes: Sequence[TaxAmount], currency: str) -> list[dict[str, str]]:
    """Taxes as the document keeps them."""
    return [
        {
            "name": tax.tax.name,
            "percent": f"{tax.tax.percent.normalize():f}",
            "base": plain(tax.base, currency),
            "amount": plain(tax.amount, currency),
        }
        for tax in taxes
    ]


def taxes_of(kept: Sequence[dict[str, str]]) -> tuple[TaxAmount, ...]:
    """Taxes as a document kept them."""
    return tuple(
        TaxAmount(Tax(tax["name"], Decimal(tax["percent"])), Decimal(tax["base"]), Decimal(tax["amount"]))
        for tax in kept
    )


def plain(amount: Decimal, currency: str) -> str:
    """The amount in whole minor units, as a decimal string."""
    return str(amounts.rounded(amount, currency))


def freeze(document: dict[str, Any]) -> tuple[str, str]:
    """The document as text, and the text's digest."""
    text = canonical({"format": FORMAT, **document})
    return text, digest_of(text)


def asked_taxes(text: str) -> tuple[TaxAmount, ...]:
    """What a frozen document asks for, tax by tax."""
    return taxes_of(json.loads(text)["asked"]["taxes"])


def account_of(text: str) -> dict[str, str]:
    """``holder``, ``iban`` and ``bic`` as they were when it was issued."""
    kept = json.loads(text)["studio"]
    return {key: kept[key] for key in ("holder", "iban", "bic")}


def read(text: str) -> InvoiceShown:
    """The document in words: amounts and days as the studio writes them."""
    kept = json.loads(text)
    locale, studio = kept["locale"], kept["studio"]
    amount = writer(kept["currency"], locale)

    return InvoiceShown(
        title=TITLES[kept["kind"]],
        number=kept["number"],
        is_credit=kept["kind"] == "credit",
        credits=f"invoice {kept['credits']['number']} of {_day(kept['credits']['issued_on'])}"
        if kept["credits"]
        else "",
        words=kept["words"],
        studio={**studio, "address": paragraphs(studio["address"])},
        client=kept["client"]["name"],
        bill_to=paragraphs(kept["client"]["bill_to"]),
        event_title=kept["event"]["title"],
        event_day=_day(kept["event"]["day"]),
        event_place=kept["event"]["place"],
        offer=kept["offer"],
        issued_on=_day(kept["issued_on"]),
        due_on=_day(kept["due_on"]) if kept["due_on"] else "",
        reference=payment_codes.in_fours(kept["reference"]),
        lines=lines_shown(kept["lines"], amount),
        inclusive=kept["inclusive"],
        net=amount(kept["net"]),
        taxes=taxes_shown(kept["taxes"], amount, locale),
        total=amount(kept["total"]),
        before=tuple(
            EarlierShown(one["number"], _day(one["issued_on"]), amount(one["total"]))
            for one in kept["before"]
        ),
        asked=amount(kept["asked"]["total"]),
        asked_taxes=taxes_shown(kept["asked"]["taxes"], amount, locale),
        account=account_lines(studio),
        payment_words=paragraphs(studio["payment_words"]),
        language=language_of(locale),
    )


def account_lines(studio: dict[str, Any]) -> tuple[tuple[str, str], ...]:
    """Holder, IBAN and BIC as they are typed into a bank's form; nothing without an IBAN."""
    if not studio["iban"]:
        return ()
    found = [("Account holder", studio["holder"]), ("IBAN", payment_codes.in_fours(studio["iban"]))]
    return tuple(found + ([("BIC", studio["bic"])] if studio["bic"] else []))


def _day(written: str) -> str:
    return day(date.fromisoformat(written))
