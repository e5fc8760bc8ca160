"""What follows for offers and their clients when an event is called off.

Offers lock their quote before their event, and calling off has locked the event already: the worker does this after.
"""

from __future__ import annotations

from events.models import Event
from quoting.letters import writing
from quoting.models import LetterKind, Offer, OfferState
from quoting.offers import letter_words, offering
from studio.measures.languages import language_of
from studio.models import entered_studio
from studio.outbox import entries
from studio.tenancy.fair_share import MAILS

KNOWN_TO_CLIENTS = (OfferState.OPEN, OfferState.AGREED)


def follow_calling_off(event: Event) -> None:
    """Have the worker withdraw the event's open offers and write to their clients."""
    entries.write(
        "quoting.close_called_off",
        share=MAILS,
        key=f"event-{event.pk}-off-{event.version}",
        event_id=event.pk,
    )


def close_called_off(event_id: int) -> None:
    """Withdraw the open offers of an event and tell each client once; nothing if it was restored meanwhile."""
    event = Event.objects.get(pk=event_id)
    if not event.is_off:
        return
    known = Offer.objects.filter(quote__event=event, state__in=KNOWN_TO_CLIENTS).order_by("pk")
    offers = list(known.defer("frozen"))
    for offer in offers:
        if offer.state == OfferState.OPEN:
            offering.withdraw(offer.pk)
    for address, name in {
        offer.client_email: offer.client_name for offer in offers if offer.client_email
    }.items():
        _write_letter(event, address, name)


# Private


def _write_letter(event: Event, address: str, name: str) -> None:
    studio = entered_studio()
    language = language_of(event.client.language, studio.locale)
    day = writing.day_words(event.ready_by.astimezone(event.tz).date(), language, studio.locale)
    words = {**letter_words.of_event(event, name, studio, language), "date": day}
    letter = writing.write_letter(LetterKind.CALLED_OFF, language, writing.Values(words))
    key = f"event-{event.pk}-off-{event.version}-{address}"[:110]
    writing.post(letter, to=address, key=key, studio=studio)
