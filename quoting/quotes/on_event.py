"""The quotes of an event, as the event's page shows them."""

from __future__ import annotations

from events.booking.event_sections import Act, Row, Section
from events.models import Event
from quoting.models import Quote, QuoteState
from quoting.quotes.presenter import total_words
from studio import tenancy
from studio.models import entered_studio
from studio.tenancy import links
from studio.tenancy.rights import Right, may

EMPTY = "No quotes yet. Start one from a design while the client is on the phone."


def quotes_section(event: Event) -> Section | None:
    """The quotes of an event, and the button that starts one. One query; None for people who see no prices."""
    role = tenancy.current().role
    if not may(role, Right.SEE_QUOTES):
        return None
    studio = entered_studio()
    rows = tuple(
        Row(quote.title, links.to("quoting:quote", quote.pk), _state_words(quote), total_words(quote, studio))
        for quote in Quote.objects.filter(event=event).only("title", "state", "version", "priced_total")
    )
    can_start = may(role, Right.EDIT_QUOTES) and not event.is_off
    acts = (Act("Start a quote", links.to("quoting:quote-start", event.pk)),) if can_start else ()
    return Section("Quotes", rows, acts, EMPTY)


# Private


def _state_words(quote: Quote) -> str:
    state = "draft" if quote.state == QuoteState.SKETCH else QuoteState(quote.state).label
    return f"{state}, version {quote.version}"
