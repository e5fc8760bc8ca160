"""The calendar as a feed (RFC 5545): of the whole studio, or of one person's calls.

An event keeps its UID for good; every change counts the version up, and with it SEQUENCE. Times go out in UTC, which
says the same moment in every zone and across every change of the clocks; each entry names the zone of its place.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import Final

from django.conf import settings
from django.db.models import Count
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from icalendar import Calendar
from icalendar import Event as Entry

from events.crew.language import speaking_to
from events.models import Answer, CrewCall, CrewMember, Event, ShiftKind, Status
from studio import tenancy
from studio.models import LinkPurpose, Membership, PublicLink, Studio, dates, entered_studio
from studio.people import public_links
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.rights import Right, Role, may

BEHIND: Final = timedelta(days=90)
AHEAD: Final = timedelta(days=400)
"""What a feed holds: calendar programs keep what is older by themselves."""
MOST: Final = 2000
LASTS: Final = timedelta(days=365)
"""An address ends with its year, with the membership of whoever took it, and with their right."""


def open_feed(membership_id: int | None) -> str:
    """A new secret address for a person's feed, or for the whole studio's; the one before is closed.

    A person opens their own; the office opens the studio's, each an address of their own. Raises
    ``PermissionDenied``, ``Http404``.
    """
    subject_id = _subject(membership_id)
    public_links.revoke(LinkPurpose.FEED, subject_id=subject_id)
    made = public_links.make(LinkPurpose.FEED, subject_id=subject_id, expires_at=timezone.now() + LASTS)
    return links.absolute(reverse("calendar-feed", args=[made.token]))


def close_feed(membership_id: int | None) -> None:
    """Close the address; it gives nothing any more. Raises ``PermissionDenied``, ``Http404``."""
    public_links.revoke(LinkPurpose.FEED, subject_id=_subject(membership_id))


def is_open(membership_id: int | None) -> bool:
    """Whether the feed has an address that works."""
    return PublicLink.objects.filter(
        purpose=LinkPurpose.FEED,
        subject_id=membership_id or -(_my_membership_id() or 0),
        revoked_at=None,
        expires_at__gt=timezone.now(),
        made_at__gt=timezone.now() - LASTS,
    ).exists()


def feed(link_id: int) -> bytes | None:
    """The calendar of a feed's link; None where its person has left the studio or lost the right, or after a year."""
    link = PublicLink.objects.filter(pk=link_id, made_at__gt=timezone.now() - LASTS).first()
    if link is None:
        return None
    studio, is_whole = entered_studio(), link.subject_id < 0
    membership = Membership.objects.select_related("person").filter(pk=abs(link.subject_id)).first()
    right = Right.EDIT_EVENTS if is_whole else Right.SEE_EVENTS
    if membership is None or not may(Role(membership.role), right):
        return None
    if is_whole:
        return _calendar(studio.name, studio, _entries_of_studio())
    member = CrewMember.objects.filter(person=membership.person_id).first()
    name = f"{membership.person.name}, {studio.name}"
    with speaking_to(membership.person):
        return _calendar(name, studio, _entries_of_member(member) if member else [])


# --- Private ---


def _my_membership_id() -> int | None:
    person_id = tenancy.current().person_id
    if person_id is None:
        return None
    return Membership.objects.filter(person_id=person_id).values_list("pk", flat=True).first()


def _subject(membership_id: int | None) -> int:
    """A membership; below zero for the whole studio's calendar, as that membership reads it. Links of before had 0
    for it and told nobody who held them: those open nothing any more."""
    if membership_id is None:
        require(Right.EDIT_EVENTS)
        mine = _my_membership_id()
        if mine is None:
            raise Http404
        return -mine
    row = Membership.objects.filter(pk=membership_id).first()
    if row is None:
        raise Http404
    if row.person_id != tenancy.current().person_id:
        require(Right.MANAGE_PEOPLE)
    return row.pk


def _calendar(name: str, studio: Studio, entries: Iterable[Entry]) -> bytes:
    calendar = Calendar()
    calendar.add("prodid", "-//Billowbook//Decor calendar//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)  # RFC 7986, 5.1
    calendar.add("x-wr-calname", name)  # what programs read that don't know RFC 7986
    calendar.add("refresh-interval", timedelta(hours=1), parameters={"VALUE": "DURATION"})  # RFC 7986, 5.7
    for entry in entries:
        calendar.add_component(entry)
    return bytes(calendar.to_ical())


def _entries_of_studio() -> list[Entry]:
    now = timezone.now()
    events = (
        Event.objects.select_related("venue")
        .filter(load_out_at__lt=now + AHEAD, back_at__gt=now - BEHIND)
        .order_by("load_out_at", "pk")[:MOST]
    )
    return [
        _entry(event, f"event-{event.pk}", event.title, event.load_out_at, event.back_at, event.version)
        for event in events
    ]


def _entries_of_member(member: CrewMember) -> list[Entry]:
    """A person's calls; what they declined, or what was called off, is there as cancelled."""
    now = timezone.now()
    calls = (
        CrewCall.objects.select_related("shift__event__venue")
        .annotate(
            # Their history only grows: every change of the call or its shift raises SEQUENCE.
            changes=Count("history", distinct=True) + Count("shift__history", distinct=True)
        )
        .filter(member=member, shift__starts_at__lt=now + AHEAD, shift__ends_at__gt=now - BEHIND)
        .order_by("shift__starts_at", "pk")[:MOST]
    )
    entries = []
    studio = entered_studio()
    for call in calls:
        shift = call.shift
        entry = _entry(
            shift.event,
            f"call-{call.pk}",
            f"{shift.event.title}: {shift.get_kind_display()}",
            shift.starts_at,
            shift.ends_at,
            call.changes + shift.event.version,
            place=_written_place(studio.name, studio.address) if shift.kind == ShiftKind.PREP else None,
        )
        if call.answer == Answer.NO:
            entry["STATUS"] = Status.CANCELLED
        elif call.answer != Answer.YES and not shift.event.is_off:
            entry["STATUS"] = Status.TENTATIVE
        entries.append(entry)
    return entries


def _entry(
    event: Event,
    name: str,
    summary: str,
    starts_at: datetime,
    ends_at: datetime,
    sequence: int,
    *,
    place: str | None = None,
) -> Entry:
    """``place`` is where the venue isn't meant: prep is done at the studio."""
    entry = Entry()
    entry.add("uid", f"{name}.{event.studio_id}@{settings.SITE_URL.split('://')[-1].split('/')[0]}")
    entry.add("dtstamp", timezone.now())
    entry.add("dtstart", starts_at.astimezone(UTC))
    entry.add("dtend", ends_at.astimezone(UTC))
    entry.add("summary", summary)
    entry.add("status", event.status)
    entry.add("sequence", sequence)
    if place is None and event.venue:
        place = _written_place(event.venue.name, event.venue.address)
    if place:
        entry.add("location", place)
    ready = event.ready_by.astimezone(event.tz)
    entry.add(
        "description",
        _("Ready by {time} on {day}, {zone} time.").format(
            time=dates.time_written(ready), day=dates.day_written(ready), zone=event.zone
        ),
    )
    entry.add("url", links.absolute(links.to("events:event", event.pk)))
    return entry


def _written_place(name: str, address: str) -> str:
    return ", ".join(filter(None, (name, " ".join(address.split()))))
