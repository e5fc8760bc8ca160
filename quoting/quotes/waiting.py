"""Offers that wait for the studio: their client asked for a change, or their e-mail was stopped."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final, TypedDict

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from events.models import Status
from quoting.models import Answer, AnswerKind, Offer, OfferState, QuoteState

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    class Asked(TypedDict):
        """The client's last request for a change."""

        asked_at: datetime | None
        asked_by: str | None

    AskedOffer = WithAnnotations[Offer, Asked]

UNANSWERED = (OfferState.OPEN, OfferState.LAPSED)


@dataclass(frozen=True, slots=True)
class WaitingOffer:
    """An offer, what is waited for, and since when."""

    offer: Offer
    words: str
    since: datetime


def find_waiting(*, quotes: Iterable[int] | None = None, event_id: int | None = None) -> list[WaitingOffer]:
    """The newest offers that wait for the studio, of some quotes, of an event or of all. One query.

    A request waits until a newer version goes out or the quote is set aside, also where the offer expired meanwhile.
    """
    rows = _waiting_offers()
    if quotes is not None:
        rows = rows.filter(quote__in=list(quotes))
    if event_id is not None:
        rows = rows.filter(quote__event=event_id)
    return [_waiting(offer) for offer in rows]


# Private

_READ: Final = ("number", "version", "client_name", "mail_stopped_at", "quote__event__title")
"""Columns that the rows of lists and pages show."""


def _waiting_offers() -> QuerySet[AskedOffer]:
    asked = Answer.objects.filter(offer=OuterRef("pk"), kind=AnswerKind.CHANGE).order_by("-at")
    newer = Offer.objects.filter(quote=OuterRef("quote"), version__gt=OuterRef("version"))
    return (
        Offer.objects.filter(
            ~Exists(newer),
            state__in=UNANSWERED,
            quote__state__in=[QuoteState.SKETCH, QuoteState.OFFERED],
            quote__event__ready_by__gt=timezone.now(),
        )
        .exclude(quote__event__status=Status.CANCELLED)
        .annotate(asked_at=Subquery(asked.values("at")[:1]), asked_by=Subquery(asked.values("name")[:1]))
        .filter(Q(asked_at__isnull=False) | Q(state=OfferState.OPEN, mail_stopped_at__isnull=False))
        .select_related("quote__event")
        .only(*_READ)
        .order_by("pk")
    )


def _waiting(offer: AskedOffer) -> WaitingOffer:
    if offer.asked_at is not None:
        who = offer.asked_by or offer.client_name
        return WaitingOffer(offer, f"{who} asked for a change", offer.asked_at)
    assert offer.mail_stopped_at is not None
    return WaitingOffer(offer, f"offer {offer.reference} was not sent", offer.mail_stopped_at)
