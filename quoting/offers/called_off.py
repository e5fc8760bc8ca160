"""What follows for offers and their clients when an event is called off.

Offers lock their quote before their event, and calling off has locked the event already: the worker does this after.
"""

from __future__ import annotations

from events.models import Event
from quoting.models import Offer, OfferState
from quoting.offers import offering
from studio.measures import times
from studio.models import entered_studio
from studio.outbox import entries, mail
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
    day = times.day_written(event.ready_by.astimezone(event.tz), studio.locale)
    mail.post(
        "called_off",
        to=address,
        key=f"event-{event.pk}-off-{event.version}-{address}"[:110],
        context={
            "studio": studio.name,
            "client": name,
            "event": event.title,
            "day": day,
            "phone": studio.phone,
        },
        reply_to=studio.email,
        sender=studio.name,
    )
