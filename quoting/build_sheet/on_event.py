"""Build sheets as the event's page and its load-out page link to them."""

from __future__ import annotations

from events.booking.event_sections import Row, Section
from events.loadout.crew_links import CrewLink
from events.models import Event
from quoting.build_sheet import sheets
from quoting.models import Quote, QuoteState
from studio.tenancy import links


def build_sheets_section(event: Event) -> Section | None:
    """The build sheets of an event, for everybody who works on it. One query; None while there are none."""
    rows = tuple(
        Row(
            quote.title,
            links.to("quoting:build-sheet", quote.pk),
            "one set piece" if count == 1 else f"{count} set pieces",
            "" if quote.state == QuoteState.AGREED else f"still {QuoteState(quote.state).label}",
        )
        for quote, count in sheets.with_piece_counts(event)
    )
    return Section("Build sheets", rows) if rows else None


def build_sheet_papers(event: Event) -> list[CrewLink]:
    """The build sheets of what was agreed, for the load-out page. One query."""
    agreed: list[Quote] = [
        quote for quote, _ in sheets.with_piece_counts(event) if quote.state == QuoteState.AGREED
    ]
    name = "Build sheet" if len(agreed) == 1 else "Build sheet: {}"
    return [CrewLink(name.format(quote.title), links.to("quoting:build-sheet", quote.pk)) for quote in agreed]
