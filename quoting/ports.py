"""What this room tells the others: quotes on an event's page, and where an offer is made from a quote."""

from __future__ import annotations

from django.urls import NoReverseMatch

from events.beside import Act, Row, Section
from events.models import Event
from quoting.models import Quote, QuoteState
from studio import links, money, tenancy
from studio.access import Right, may
from studio.models import Studio


def quotes_beside(event: Event) -> Section | None:
    """The quotes of an event, and the way to another one. Two queries; nothing for whoever sees no prices."""
    role = tenancy.current().role
    if not may(role, Right.SEE_QUOTES):
        return None
    studio = Studio.objects.defer("logo").get(pk=tenancy.current_studio_id())
    rows = tuple(
        Row(
            quote.title,
            links.to("quoting:quote", quote.pk),
            f"{QuoteState(quote.state).label}, sketch {quote.version}",
            amount_words(quote, studio),
        )
        for quote in Quote.objects.filter(event=event)
    )
    can_start = may(role, Right.EDIT_QUOTES) and not event.is_off
    acts = (Act("Start a quote", links.to("quoting:start", event.pk)),) if can_start else ()
    return Section(
        "Quotes", rows, acts, "No quote yet: start one from a design while the client is on the line."
    )


def amount_words(quote: Quote, studio: Studio) -> str:
    """The total as last priced."""
    return (
        money.written(quote.priced_total, studio.currency, studio.locale)
        if quote.priced_total is not None
        else ""
    )


def offer_address(quote: Quote) -> str:
    """Where an offer is made from this quote; nothing where no such page stands."""
    try:
        return links.to("quoting:make-offer", quote.pk)
    except NoReverseMatch:
        return ""
