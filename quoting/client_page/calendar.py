"""The event as a calendar file for the client (RFC 5545)."""

from __future__ import annotations

from datetime import UTC

from django.conf import settings
from django.utils import timezone
from icalendar import Calendar
from icalendar import Event as Entry

from quoting.models import Offer, OfferState
from studio.models import entered_studio


def calendar_file(offer: Offer) -> bytes:
    """The event as it stands now, from when guests come, or everything is ready, to the take-down.

    It keeps its UID for good and counts every change, so that a program that opens it again moves what it has.
    Times go out in UTC: the same moment in every zone.
    """
    event, entry = offer.quote.event, Entry()
    host = settings.SITE_URL.split("://")[-1].split("/")[0]
    entry.add("uid", f"client-event-{event.pk}.{event.studio_id}@{host}")
    entry.add("dtstamp", timezone.now())
    entry.add("sequence", event.version)
    entry.add("dtstart", (event.guests_from or event.ready_by).astimezone(UTC))
    entry.add("dtend", event.strike_from.astimezone(UTC))
    entry.add("summary", event.title)
    entry.add("status", _status(offer))
    if event.venue:
        entry.add("location", ", ".join([event.venue.name, *event.venue.address.split("\n")]).strip(", "))
    calendar = Calendar()
    calendar.add("prodid", f"-//{entered_studio().name}//Offer//EN")
    calendar.add("version", "2.0")
    calendar.add_component(entry)
    return bytes(calendar.to_ical())


# Private


def _status(offer: Offer) -> str:
    if offer.quote.event.is_off:
        return "CANCELLED"
    return "CONFIRMED" if offer.state == OfferState.AGREED else "TENTATIVE"
