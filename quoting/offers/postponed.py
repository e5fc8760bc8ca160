"""What follows for offers and their clients when an event gets another date.

The event's own hold moves with it, in one transaction. What offers hold tentatively follows right after, by the worker:
the new window is tried first, and only where something isn't available then is the old hold released.
"""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from events.models import Event
from quoting.letters import writing
from quoting.models import LetterKind, Offer, OfferState
from quoting.offers import letter_words, offering
from quoting.offers.called_off import KNOWN_TO_CLIENTS
from stock.holds import holds
from stock.models.hold import ACTIVE_STATES
from studio.measures.languages import language_of
from studio.models import entered_studio
from studio.outbox import entries
from studio.tenancy.fair_share import MAILS


def follow_move(event: Event, ready_before: datetime) -> None:
    """Have the worker move the event's tentative holds and write to its clients."""
    if event.ready_by == ready_before:
        return
    entries.write(
        "quoting.follow_move", share=MAILS, key=f"event-{event.pk}-moved-{event.version}", event_id=event.pk,
        ready_before=ready_before.isoformat(),
    )  # fmt: skip


def move_holds(event_id: int, ready_before: datetime) -> None:
    """Move what open offers of an event hold to its window, or release it, and tell each client once."""
    event = Event.objects.get(pk=event_id)
    if event.is_off:
        return
    known = Offer.objects.filter(quote__event=event, state__in=KNOWN_TO_CLIENTS).order_by("pk")
    offers = list(known.defer("frozen"))
    for offer in offers:
        if offer.state == OfferState.OPEN:
            _move_hold(offer.pk, event.version)
    for address, name in {
        each.client_email: each.client_name for each in offers if each.client_email
    }.items():
        _write_letter(event, ready_before, address, name)


# Private


def _move_hold(offer_id: int, version: int) -> None:
    with transaction.atomic():
        found = offering.locked(offer_id)
        if (
            found.state != OfferState.OPEN
            or found.tentative_hold is None
            or found.tentative_hold.state not in ACTIVE_STATES
        ):
            return
        window = found.quote.event.hold_window()
        try:
            with transaction.atomic():
                holds.change(found.tentative_hold.pk, window=window, key=f"offer-{offer_id}-moved-{version}")
        except holds.CannotHold:
            holds.release(found.tentative_hold.pk, key=f"offer-{offer_id}-tentative-release")


def _write_letter(event: Event, ready_before: datetime, address: str, name: str) -> None:
    studio = entered_studio()
    language = language_of(event.client.language, studio.locale)
    words = {
        **letter_words.of_event(event, name, studio, language),
        "date": writing.moment_words(event.ready_by, event.tz, language, studio.locale),
        "before": writing.moment_words(ready_before, event.tz, language, studio.locale),
    }
    letter = writing.write_letter(LetterKind.MOVED, language, writing.Values(words))
    key = f"event-{event.pk}-moved-{event.version}-{address}"[:110]
    writing.post(letter, to=address, key=key, studio=studio)
