"""Offers that wait for the studio: their client asked for a change, or their e-mail was stopped."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final, NamedTuple

from django.db.models import Max, Q
from django.utils import timezone

from events.models import Event, Status
from quoting.models import AnswerKind, Offer, OfferState, QuoteState
from quoting.models.offer import written_reference

UNANSWERED: Final = (OfferState.OPEN, OfferState.LAPSED)


@dataclass(frozen=True, slots=True)
class WaitingOffer:
    """An offer, what is waited for, and since when."""

    offer_id: int
    reference: str
    quote_id: int
    event_id: int
    event_title: str
    words: str
    since: datetime


def find_waiting(*, quotes: Iterable[int] | None = None) -> list[WaitingOffer]:
    """The newest offers that wait for the studio, of some quotes or of all. Two queries, one where none waits.

    A request waits until a newer version goes out or the quote is set aside, also where the offer expired meanwhile.
    """
    ahead = Q(quote__event__ready_by__gt=timezone.now()) & ~Q(quote__event__status=Status.CANCELLED)
    return _find(ahead if quotes is None else ahead & Q(quote__in=list(quotes)))


def find_waiting_of(event: Event) -> list[WaitingOffer]:
    """The same, of the offers of one event; no query where it is over or called off."""
    if event.is_off or event.ready_by <= timezone.now():
        return []
    return _find(Q(quote__event=event))


# Private


class _Row(NamedTuple):
    """An offer that nobody agreed to or declined, beside one of the client's answers or none."""

    pk: int
    number: int
    version: int
    client_name: str
    mail_stopped_at: datetime | None
    quote_id: int
    event_id: int
    event_title: str
    answer: str | None
    asked_at: datetime | None
    asked_by: str | None


_READ: Final = (
    *("pk", "number", "version", "client_name", "mail_stopped_at", "quote_id", "quote__event_id"),
    *("quote__event__title", "answers__kind", "answers__at", "answers__name"),
)


def _find(among: Q) -> list[WaitingOffer]:
    asked_or_stopped = Q(answers__kind=AnswerKind.CHANGE) | Q(
        state=OfferState.OPEN, mail_stopped_at__isnull=False
    )
    rows = Offer.objects.filter(
        asked_or_stopped,
        among,
        state__in=UNANSWERED,
        quote__state__in=(QuoteState.SKETCH, QuoteState.OFFERED),
    )
    found = [_Row._make(row) for row in rows.order_by("pk", "answers__at").values_list(*_READ)]
    newest = _newest_versions({row.quote_id for row in found})
    last: dict[int, _Row] = {}
    for row in found:
        # Of several requests the last one counts; no other answer takes its place.
        if row.version == newest[row.quote_id] and (row.answer == AnswerKind.CHANGE or row.pk not in last):
            last[row.pk] = row
    return [_waiting(row) for row in last.values()]


def _newest_versions(quotes: Iterable[int]) -> dict[int, int]:
    """The newest version of each quote's offers."""
    if not quotes:
        return {}
    offers = Offer.objects.filter(quote__in=quotes).order_by()
    return dict(offers.values_list("quote_id").annotate(Max("version")))


def _waiting(row: _Row) -> WaitingOffer:
    reference = written_reference(row.number, row.version)
    about = (row.pk, reference, row.quote_id, row.event_id, row.event_title)
    if row.answer == AnswerKind.CHANGE and row.asked_at:
        return WaitingOffer(*about, f"{row.asked_by or row.client_name} asked for a change", row.asked_at)
    assert row.mail_stopped_at is not None
    return WaitingOffer(*about, f"offer {reference} was not sent", row.mail_stopped_at)
