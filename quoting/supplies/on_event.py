"""What is still to be bought, hired or made: on the event's page and in the week."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, time, timedelta

from django.db.models import QuerySet

from events.booking.event_sections import Row, Section
from events.calendar.agenda import DueItem
from events.models import Status
from quoting.models import QuoteState, Supply
from quoting.quotes.on_event import EventQuote
from studio import tenancy
from studio.measures.times import Window
from studio.models import entered_studio
from studio.models.dates import day_written
from studio.tenancy import links
from studio.tenancy.rights import Right, may


def supplies_section(quotes: Sequence[EventQuote]) -> Section | None:
    """What an event's quotes need besides the stock list. One query; None while there is nothing."""
    if not quotes or not may(tenancy.current().role, Right.SEE_QUOTES):
        return None
    rows = tuple(
        Row(
            str(supply),
            links.to("quoting:quote-supplies", supply.quote_id),
            f"by {day_written(supply.due_on)}",
            "done" if supply.done_at else "",
        )
        for supply in Supply.objects.filter(quote__in=[quote.pk for quote in quotes])
    )
    return Section("To buy, hire or make", rows) if rows else None


def supplies_due(span: Window) -> Iterable[DueItem]:
    """What is agreed and isn't there yet, due within the span or overdue. One query."""
    if not may(tenancy.current().role, Right.SEE_QUOTES):
        return []
    studio = entered_studio()
    last = span.end.astimezone(studio.tz).date()
    return [
        DueItem(
            datetime.combine(supply.due_on + timedelta(days=1), time(0), studio.tz).astimezone(UTC)
            - timedelta(minutes=1),
            str(supply),
            supply.quote.event.title,
            links.to("quoting:quote-supplies", supply.quote_id),
            supply.quote.event_id,
        )
        for supply in _open_supplies().filter(due_on__lt=last)
    ]


# Private


def _open_supplies() -> QuerySet[Supply]:
    return (
        Supply.objects.filter(done_at=None, quote__state=QuoteState.AGREED)
        .exclude(quote__event__status=Status.CANCELLED)
        .select_related("quote__event")
        .only("kind", "label", "due_on", "quote__event__title")
    )
