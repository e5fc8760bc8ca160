"""The list of quotes as its page shows it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils import timezone

from events.models import Status
from events.progress.presenter import stage_beads
from quoting.models import Offer, OfferState, Quote, QuoteState
from quoting.quotes.likelihood import Outlook
from quoting.quotes.presenter import total_words
from quoting.quotes.waiting import find_waiting
from quoting.stills import small
from quoting.stills.small import SmallPicture
from studio.models import Studio
from studio.ui.progress import Bead

WAITS_FOR: Final = {
    QuoteState.SKETCH: "not offered yet",
    QuoteState.OFFERED: "waiting for the client",
    QuoteState.AGREED: "agreed",
    QuoteState.DECLINED: "declined",
    QuoteState.SET_ASIDE: "set aside",
}
CALLED_OFF: Final = "event called off"


class ListedQuote(NamedTuple):
    """A quote and what the list says of its event."""

    pk: int
    title: str
    state: str
    priced_total: Decimal | None
    event_id: int
    stage: str
    status: str
    ready_by: datetime
    zone: str
    client: str

    @property
    def is_off(self) -> bool:
        """Whether its event was called off."""
        return self.status == Status.CANCELLED

    @property
    def tz(self) -> ZoneInfo:
        """The time zone of its event."""
        return ZoneInfo(self.zone)


@dataclass(frozen=True, slots=True)
class QuoteRow:
    """One line of the list, written."""

    quote: ListedQuote
    waits: str
    """What is waited for."""
    mine: bool
    """Whether the studio is the one to do something."""
    lapses: datetime | None
    likely: str
    amount: str
    beads: tuple[Bead, ...]
    picture: SmallPicture | None


def listed(quotes: QuerySet[Quote]) -> QuerySet[Quote, tuple[object, ...]]:
    """The quotes as plain rows of what the list shows."""
    return quotes.values_list(
        *("pk", "title", "state", "priced_total", "event_id", "event__stage", "event__status"),
        *("event__ready_by", "event__zone", "event__client__name"),
    )


def rows(
    page: Iterable[ListedQuote], seen: Outlook, refused: Mapping[int, str], studio: Studio
) -> list[QuoteRow]:
    """The lines of one page; ``refused`` says of events which crew said no. Four queries, five where offers wait."""
    quotes = list(page)
    lapses, pictures = _lapses(quotes), small.of_quotes([quote.pk for quote in quotes])
    waiting = {quote.pk: refused[quote.event_id] for quote in quotes if quote.event_id in refused}
    waiting |= {each.quote_id: each.words for each in find_waiting(quotes=[quote.pk for quote in quotes])}
    return [
        QuoteRow(
            quote,
            _waits_words(quote, waiting.get(quote.pk)),
            quote.pk in waiting
            or (not quote.is_off and quote.state in (QuoteState.SKETCH, QuoteState.DECLINED)),
            lapses.get(quote.pk),
            _likely(seen, quote),
            total_words(quote.priced_total, studio),
            stage_beads(quote.stage),
            pictures.get(quote.pk),
        )
        for quote in quotes
    ]


# --- Private ---


def _waits_words(quote: ListedQuote, waiting: str | None) -> str:
    if waiting:
        return f"waits for you: {waiting}"
    return CALLED_OFF if quote.is_off else WAITS_FOR[QuoteState(quote.state)]


def _lapses(quotes: Iterable[ListedQuote]) -> dict[int, datetime]:
    """By quote, when its open offer lapses. One query."""
    offers = Offer.objects.filter(quote__in=[quote.pk for quote in quotes], state=OfferState.OPEN)
    return dict(offers.order_by().values_list("quote_id", "expires_at"))


def _likely(seen: Outlook, quote: ListedQuote) -> str:
    """The chance to the nearest ten, which is as much as a small studio's record tells; nothing for what is settled."""
    chance = seen.chance.get(quote.state)
    if not chance or quote.is_off or quote.ready_by < timezone.now():
        return ""
    return f"{round(chance, 1):.0%}"
