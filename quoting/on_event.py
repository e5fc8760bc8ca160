"""What quoting has to say on the page of an event: its sections, out of the event's quotes, which are read once."""

from __future__ import annotations

from events.booking.event_sections import Section
from events.models import Event
from quoting.build_sheet.on_event import build_sheets_section
from quoting.invoices.presenter import invoices_beside
from quoting.offers.on_event import waiting_section
from quoting.quotes.on_event import find_event_quotes, quotes_section
from quoting.supplies.on_event import supplies_section


def quoting_sections(event: Event) -> list[Section]:
    """What whoever looks may see of offers, quotes, supplies, build sheets and invoices. Four queries at most."""
    quotes = find_event_quotes(event)
    sections = (
        waiting_section(event, quotes),
        quotes_section(event, quotes),
        supplies_section(quotes),
        build_sheets_section(quotes),
        invoices_beside(event, quotes),
    )
    return [section for section in sections if section]
