"""Build sheets as the event's page and its load-out page link to them."""

from __future__ import annotations

from collections.abc import Sequence

from events.booking.event_sections import Row, Section
from events.loadout.crew_links import CrewLink
from events.models import Event
from quoting.build_sheet import sheets
from quoting.models import QuoteState, SetPiece
from quoting.quotes.on_event import EventQuote
from quoting.set_pieces.presenter import limit_words
from quoting.set_pieces.site import judged_gust_m_s
from studio.models import Studio
from studio.tenancy import links


def build_sheets_section(quotes: Sequence[EventQuote]) -> Section | None:
    """The build sheets of an event's quotes, for everybody who works on it; None while there are none."""
    rows = tuple(
        Row(
            quote.title,
            links.to("quoting:build-sheet", quote.pk),
            "one set piece" if quote.piece_count == 1 else f"{quote.piece_count} set pieces",
            "" if quote.state == QuoteState.AGREED else f"still {QuoteState(quote.state).label}",
        )
        for quote in sheets.with_pieces(quotes)
    )
    return Section("Build sheets", rows) if rows else None


def wind_limits(events: Sequence[Event], studio: Studio) -> dict[int, str]:
    """At which gusts to watch the wind and take down what was agreed, by event: the weakest decides. One query."""
    agreed = SetPiece.objects.filter(quote__event__in=events, quote__state=QuoteState.AGREED)
    gusts: dict[int, float] = {}
    for event_id, site in agreed.values_list("quote__event_id", "design__site"):
        gust = judged_gust_m_s(site or {})
        if gust > 0:
            gusts[event_id] = min(gust, gusts.get(event_id, gust))
    return {event_id: limit_words(gust, studio.units, "everything") for event_id, gust in gusts.items()}


def build_sheet_papers(event: Event) -> list[CrewLink]:
    """The build sheets of what was agreed, for the load-out page. One query."""
    agreed = sheets.find_agreed(event)
    name = "Build sheet" if len(agreed) == 1 else "Build sheet: {}"
    return [
        CrewLink(name.format(title), links.to("quoting:build-sheet", quote_id)) for quote_id, title in agreed
    ]
