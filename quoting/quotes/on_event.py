"""The quotes of an event, as the event's page shows them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from django.db.models import Count, Max, Q

from events.booking.event_sections import Act, Row, Section
from events.models import Event
from quoting.models import OfferState, Quote, QuoteState
from quoting.quotes.presenter import total_words
from studio import tenancy
from studio.models import entered_studio
from studio.tenancy import links
from studio.tenancy.rights import Right, may

EMPTY = "No quotes yet. Start one from a design while the client is on the phone."


class EventQuote(NamedTuple):
    """A quote as far as the sections of its event's page need it."""

    pk: int
    title: str
    state: str
    version: int
    priced_total: Decimal | None
    piece_count: int
    agreed_offer: int | None
    """Its offer that the client agreed to; a quote has one at most."""


def find_event_quotes(event: Event) -> list[EventQuote]:
    """The quotes of an event without their further versions, the last changed first. One query."""
    quotes = Quote.objects.filter(event=event, variant_of=None).annotate(
        piece_count=Count("pieces", distinct=True),
        agreed_offer=Max("offers", filter=Q(offers__state=OfferState.AGREED)),
    )
    rows = quotes.order_by("-changed_at").values_list(*EventQuote._fields)
    return [EventQuote._make(row) for row in rows]


def quotes_section(event: Event, quotes: Sequence[EventQuote]) -> Section | None:
    """The quotes of an event, and the button that starts one; None for people who see no prices."""
    role = tenancy.current().role
    if not may(role, Right.SEE_QUOTES):
        return None
    studio = entered_studio()
    rows = tuple(
        Row(
            quote.title,
            links.to("quoting:quote", quote.pk),
            _state_words(quote),
            total_words(quote.priced_total, studio),
        )
        for quote in quotes
    )
    can_start = may(role, Right.EDIT_QUOTES) and not event.is_off
    acts = (Act("Start a quote", links.to("quoting:quote-start", event.pk)),) if can_start else ()
    return Section("Quotes", rows, acts, EMPTY)


# Private


def _state_words(quote: EventQuote) -> str:
    state = "draft" if quote.state == QuoteState.SKETCH else QuoteState(quote.state).label
    return f"{state}, version {quote.version}"
