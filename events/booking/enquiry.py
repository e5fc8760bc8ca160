"""Taking an enquiry: it makes the event, and finds or adds its client and venue."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.http import Http404
from django.utils import timezone

from events.booking import event_times, log
from events.booking.event_times import EventWindows
from events.contacts import clients, venues
from events.contacts.drives import USUAL_DRIVE_MINUTES
from events.models import Client, Event, Stage, StageReached, Venue
from events.wishes.wishes import Wished, keep_wishes
from studio import tenancy
from studio.models import entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class Wanted:
    """The sizes that the client wants, in metres."""

    width_m: Decimal | None = None
    height_m: Decimal | None = None
    ceiling_m: Decimal | None = None


def take_enquiry(
    *,
    title: str,
    event_windows: EventWindows,
    client_id: int | None = None,
    client_name: str = "",
    client_email: str = "",
    client_phone: str = "",
    venue_id: int | None = None,
    venue_name: str = "",
    venue_address: str = "",
    zone: str = "",
    wanted: Wanted | None = None,
    notes: str = "",
    said: str = "",
    wished: Wished | None = None,
    key: str | None = None,
) -> Event:
    """Make the event, finding or making client and venue; all of it or nothing.

    ``zone`` is the venue's or else the studio's unless given. ``said`` is the first line of the log. The same
    ``key`` again gives the event of the first time. Raises ``ValidationError`` (with field names) for what
    can't be, ``Http404`` for a client or venue that this studio doesn't have.
    """
    require(Right.EDIT_EVENTS)
    event_windows.check()
    event_times.refuse_past(event_windows)
    earlier = _taken_under(key)
    if earlier:
        return earlier
    try:
        with transaction.atomic():
            client = _client(client_id, client_name, client_email, client_phone)
            venue = _venue(venue_id, venue_name, venue_address)
            event = _event(title, client, venue, zone, event_windows, wanted or Wanted(), notes, key)
            StageReached.objects.create(
                event=event,
                stage=Stage.ENQUIRY,
                reached_at=timezone.now(),
                person_id=tenancy.current().person_id,
            )
            if wished and wished.says_anything:
                keep_wishes(event, wished)
            log.record(event, "Enquiry taken.")
            if said.strip():
                log.add_note(event, said)
    except (IntegrityError, ValidationError):
        earlier = _taken_under(key)  # the same enquiry, sent twice at the same moment
        if earlier is None:
            raise
        return earlier
    return event


def zone_for(venue: Venue | None) -> str:
    """Name of the zone in which an event at ``venue`` is typed and shown."""
    if venue and venue.zone:
        return venue.zone
    return entered_studio().zone


def _taken_under(key: str | None) -> Event | None:
    return Event.objects.filter(asked_under=key).first() if key else None


@contextmanager
def _faults_named(whose: str) -> Iterator[None]:
    """A client's fault in ``email`` is the enquiry's fault in ``client_email``."""
    try:
        yield
    except ValidationError as refusal:
        faults = refusal.message_dict
        raise ValidationError({f"{whose}_{field}": messages for field, messages in faults.items()}) from None


def _client(client_id: int | None, name: str, email: str, phone: str) -> Client:
    if client_id is None:
        with _faults_named("client"):
            return clients.find_or_add_client(name=name, email=email, phone=phone)
    client = Client.objects.filter(pk=client_id).first()
    if client is None:
        raise Http404
    return client


def _venue(venue_id: int | None, name: str, address: str) -> Venue | None:
    if venue_id is None:
        with _faults_named("venue"):
            return venues.find_or_add_venue(name=name, address=address) if name.strip() else None
    venue = Venue.objects.filter(pk=venue_id).first()
    if venue is None:
        raise Http404
    return venue


def _event(
    title: str,
    client: Client,
    venue: Venue | None,
    zone: str,
    event_windows: EventWindows,
    wanted: Wanted,
    notes: str,
    key: str | None,
) -> Event:
    drive = venue.drive_minutes if venue else USUAL_DRIVE_MINUTES
    journey = event_times.journey(event_windows, drive_minutes=drive)
    event = Event(
        title=title.strip(),
        client=client,
        venue=venue,
        zone=zone or zone_for(venue),
        load_out_at=journey.load_out_at,
        access_from=event_windows.access_from,
        ready_by=event_windows.ready_by,
        guests_from=event_windows.guests_from,
        strike_from=event_windows.strike_from,
        out_by=event_windows.out_by,
        back_at=journey.back_at,
        width_m=wanted.width_m,
        height_m=wanted.height_m,
        ceiling_m=wanted.ceiling_m or (venue.ceiling_m if venue else None),
        notes=notes.strip(),
        asked_under=key,
    )
    event.full_clean()
    event.save()
    return event
