"""What this room tells the others: quotes on an event's page, and where an offer is made from a quote."""

from __future__ import annotations

from collections.abc import Iterable

from django.urls import NoReverseMatch
from django.utils import timezone

from events.booking.event_sections import Act, Row, Section
from events.calendar.agenda import DueItem
from events.loadout.crew_links import Paper
from events.models import Event
from quoting.build_sheet import sheets
from quoting.models import Offer, OfferState, Quote, QuoteState
from studio import tenancy
from studio.measures.times import Window
from studio.models import Studio, entered_studio
from studio.money import amounts
from studio.tenancy import links
from studio.tenancy.rights import Right, may


def quotes_beside(event: Event) -> Section | None:
    """The quotes of an event, and the way to another one. One query; nothing for whoever sees no prices."""
    role = tenancy.current().role
    if not may(role, Right.SEE_QUOTES):
        return None
    studio = entered_studio()
    rows = tuple(
        Row(
            quote.title,
            links.to("quoting:quote", quote.pk),
            _standing_words(quote),
            amount_words(quote, studio),
        )
        for quote in Quote.objects.filter(event=event)
    )
    can_start = may(role, Right.EDIT_QUOTES) and not event.is_off
    acts = (Act("Start a quote", links.to("quoting:start", event.pk)),) if can_start else ()
    return Section(
        "Quotes", rows, acts, "No quote yet: start one from a design while the client is on the line."
    )


def build_sheets_beside(event: Event) -> Section | None:
    """The build sheets of an event, for everybody who works on it. One query; nothing while there is none."""
    rows = tuple(
        Row(
            quote.title,
            links.to("quoting:build-sheet", quote.pk),
            _pieces(quote.piece_count),  # type: ignore[attr-defined]
            "" if quote.state == QuoteState.AGREED else f"still {QuoteState(quote.state).label}",
        )
        for quote in sheets.of_event(event)
    )
    return Section("Build sheets", rows) if rows else None


def _pieces(count: int) -> str:
    return "one set piece" if count == 1 else f"{count} set pieces"


def build_sheet_papers(event: Event) -> list[Paper]:
    """The sheets of what was agreed, for the load-out page. One query."""
    agreed = [quote for quote in sheets.of_event(event) if quote.state == QuoteState.AGREED]
    name = "Build sheet" if len(agreed) == 1 else "Build sheet: {}"
    return [Paper(name.format(quote.title), links.to("quoting:build-sheet", quote.pk)) for quote in agreed]


def offers_about_to_lapse(span: Window) -> Iterable[DueItem]:
    """Open offers that lapse within the span. One query; nothing for whoever sees no prices."""
    if not may(tenancy.current().role, Right.SEE_QUOTES):
        return []
    open_ones = Offer.objects.filter(
        state=OfferState.OPEN, expires_at__gte=max(span.start, timezone.now()), expires_at__lt=span.end
    )
    return [
        DueItem(
            offer.expires_at,
            "Offer lapses",
            offer.quote.event.title,
            links.to("quoting:offer", offer.pk),
            offer.quote.event_id,
        )
        for offer in open_ones.select_related("quote__event").defer("frozen")
    ]


def _standing_words(quote: Quote) -> str:
    sketch = f"sketch {quote.version}"
    return sketch if quote.state == QuoteState.SKETCH else f"{QuoteState(quote.state).label}, {sketch}"


def amount_words(quote: Quote, studio: Studio) -> str:
    """The total as last priced."""
    return (
        amounts.written(quote.priced_total, studio.currency, studio.locale)
        if quote.priced_total is not None
        else ""
    )


def offer_address(quote: Quote) -> str:
    """Where an offer is made from this quote; nothing where no such page stands."""
    try:
        return links.to("quoting:make-offer", quote.pk)
    except NoReverseMatch:
        return ""
