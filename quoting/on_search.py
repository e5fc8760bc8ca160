"""What quoting finds for the search over everything: quotes, offers by their number, invoices."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from django.db.models import Q

from events.booking.event_sections import Row, Section
from quoting.models import Invoice, Offer, Quote
from studio import tenancy
from studio.models import entered_studio
from studio.money import amounts
from studio.tenancy import links
from studio.tenancy.rights import Right, may

EACH: Final = 12
REFERENCE: Final = re.compile(r"(\d{1,9})(?:-(\d{1,9}))?")
"""The number of an offer and its version."""
NUMBER: Final = re.compile(r"\d{1,9}")
"""The number of an invoice."""


def find_papers(words: Sequence[str]) -> list[Section]:
    """Quotes, offers and invoices with all these words, as far as the person may see them. Three queries."""
    role = tenancy.current().role
    if not may(role, Right.SEE_QUOTES):
        return []
    found = [Section("Quotes", _quotes(words)), Section("Offers", _offers(words))]
    if may(role, Right.SEE_INVOICES):
        found.append(Section("Invoices", _invoices(words)))
    return [section for section in found if section.rows]


# --- Private ---


def _quotes(words: Sequence[str]) -> tuple[Row, ...]:
    rows = Quote.objects.filter(variant_of=None).select_related("event__client")
    for word in words:
        rows = rows.filter(
            Q(title__icontains=word)
            | Q(event__title__icontains=word)
            | Q(event__client__name__icontains=word)
        )
    return tuple(
        Row(quote.title, links.to("quoting:quote", quote.pk), sub=f"{quote.event.client.name}")
        for quote in rows.order_by("-pk")[:EACH]
    )


def _offers(words: Sequence[str]) -> tuple[Row, ...]:
    rows = Offer.objects.select_related("quote").defer("frozen")
    for word in words:
        fits = Q(client_name__icontains=word) | Q(quote__title__icontains=word)
        rows = rows.filter(fits | _of_number(word))
    return tuple(
        Row(
            f"Offer {offer.reference}: {offer.quote.title}",
            links.to("quoting:offer", offer.pk),
            sub=f"{offer.client_name} · {offer.standing.label}",
            end=_amount(offer.total, offer.currency),
        )
        for offer in rows.order_by("-number", "-version")[:EACH]
    )


def _invoices(words: Sequence[str]) -> tuple[Row, ...]:
    rows = Invoice.objects.select_related("event").defer("frozen")
    for word in words:
        fits = Q(client_name__icontains=word) | Q(event__title__icontains=word) | Q(reference__icontains=word)
        rows = rows.filter(fits | (Q(number=int(word)) if NUMBER.fullmatch(word) else Q(pk__in=[])))
    return tuple(
        Row(
            f"Invoice {invoice.number}: {invoice.event.title}",
            links.to("quoting:invoice", invoice.pk),
            sub=f"{invoice.client_name} · {invoice.get_kind_display()}",
            end=_amount(invoice.total, invoice.currency),
        )
        for invoice in rows.order_by("-number")[:EACH]
    )


def _of_number(word: str) -> Q:
    said = REFERENCE.fullmatch(word)
    if said is None:
        return Q(pk__in=[])
    number, version = said.groups()
    return Q(number=int(number), version=int(version)) if version else Q(number=int(number))


def _amount(total: Decimal, currency: str) -> str:
    return amounts.written(total, currency, entered_studio().locale)
