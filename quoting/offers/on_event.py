"""Offers as the studio's agenda and the page of their event list them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.utils import timezone

from events.booking.event_sections import Row, Section
from events.calendar.agenda import DueItem
from events.models import Event
from quoting.models import Offer, OfferState, QuoteState
from quoting.quotes.on_event import EventQuote
from quoting.quotes.waiting import find_waiting, find_waiting_of
from studio import tenancy
from studio.measures.times import Window
from studio.tenancy import links
from studio.tenancy.rights import Right, may


def offers_about_to_lapse(span: Window) -> Iterable[DueItem]:
    """Open offers that lapse within the span. One query; none for people who see no prices."""
    if not may(tenancy.current().role, Right.SEE_QUOTES):
        return []
    open_ones = Offer.objects.filter(
        state=OfferState.OPEN, expires_at__gte=max(span.start, timezone.now()), expires_at__lt=span.end
    )
    return [
        DueItem(expires_at, "Offer lapses", title, links.to("quoting:offer", offer_id), event_id)
        for offer_id, expires_at, event_id, title in open_ones.values_list(
            "pk", "expires_at", "quote__event_id", "quote__event__title"
        )
    ]


def waiting_offers(span: Window) -> Iterable[DueItem]:
    """Offers that wait for the studio, whichever week is shown; none for people who see no prices."""
    if not may(tenancy.current().role, Right.SEE_QUOTES):
        return []
    return [
        DueItem(
            waiting.since,
            f"Waits for you: {waiting.words}",
            waiting.event_title,
            links.to("quoting:offer", waiting.offer_id),
            waiting.event_id,
        )
        for waiting in find_waiting()
    ]


def waiting_section(event: Event, quotes: Sequence[EventQuote]) -> Section | None:
    """The part of an event's page that says which of its offers wait for the studio; no query where none can."""
    may_wait = any(quote.state in (QuoteState.SKETCH, QuoteState.OFFERED) for quote in quotes)
    if not may_wait or not may(tenancy.current().role, Right.SEE_QUOTES):
        return None
    rows = tuple(
        Row(
            waiting.words[:1].upper() + waiting.words[1:],
            links.to("quoting:offer", waiting.offer_id),
            f"Offer {waiting.reference}",
        )
        for waiting in find_waiting_of(event)
    )
    return Section("Waits for you: offers", rows) if rows else None
