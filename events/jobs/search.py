"""Search over events, clients and their contacts, venues, and notes and history."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

from django.db.models import Exists, Model, OuterRef, Q, QuerySet
from django.utils import timezone

from events.contacts import phone_numbers
from events.models import Client, Event, LogEntry, Status, Venue, WayToReach
from studio import tenancy
from studio.models import Studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right, may

Row = TypeVar("Row", bound=Model)

EACH: Final = 12
LEAST: Final = 2
"""Fewer letters than this find too much."""


@dataclass(frozen=True, slots=True)
class Found:
    """What matches, newest first; at most twelve of each sort."""

    asked: str
    events: Sequence[Event] = ()
    clients: Sequence[Client] = ()
    venues: Sequence[Venue] = ()
    log: Sequence[LogEntry] = ()

    @property
    def nothing(self) -> bool:
        """Whether nothing matches."""
        return not (self.events or self.clients or self.venues or self.log)


def list_events(asked: str, *, past: bool) -> QuerySet[Event]:
    """Events that match ``asked``; without it past ones, newest first, or those to come, soonest first."""
    rows = Event.objects.select_related("client", "venue")
    if asked:
        fits = _anywhere(asked, ("title", "client__name", "venue__name"))
        return rows.filter(fits).order_by("-ready_by", "-pk")
    if past:
        return rows.filter(back_at__lte=timezone.now()).order_by("-ready_by", "-pk")
    return rows.filter(back_at__gt=timezone.now()).exclude(status=Status.CANCELLED).order_by("ready_by", "pk")


def search(asked: str, studio: Studio) -> Found:
    """Find everything that contains all words of ``asked``; clients and history for the office only. Four queries.

    A telephone number is found as people write it.
    """
    require(Right.SEE_EVENTS)
    words = asked.split()[:8]
    if sum(len(word) for word in words) < LEAST:
        return Found(asked)
    office = may(tenancy.current().role, Right.SEE_CLIENTS)
    events = _all_words(
        Event.objects.select_related("client", "venue"), words,
        "title", "notes", "client__name", "venue__name", "venue__address",
    ).order_by("-ready_by", "-pk")  # fmt: skip
    venues = _all_words(
        Venue.objects.all(),
        words,
        "name",
        "address",
        "access",
        "house_rules",
        "fire_rules",
        "surface",
        "power",
    ).order_by("name", "pk")
    if not office:
        return Found(asked, list(events[:EACH]), venues=list(venues[:EACH]))
    log = _all_words(
        LogEntry.objects.select_related("event", "person", "crew_phone"), words, "text"
    ).order_by("-pk")
    return Found(
        asked, list(events[:EACH]), list(_clients(words, asked, studio)[:EACH]), list(venues[:EACH]),
        list(log[:EACH]),
    )  # fmt: skip


# --- Private ---


def _all_words(rows: QuerySet[Row], words: Sequence[str], *fields: str) -> QuerySet[Row]:
    for word in words:
        rows = rows.filter(_anywhere(word, fields))
    return rows


def _anywhere(word: str, fields: Sequence[str]) -> Q:
    fits = Q()
    for field in fields:
        fits |= Q(**{f"{field}__icontains": word})
    return fits


def _clients(words: Sequence[str], asked: str, studio: Studio) -> QuerySet[Client]:
    rows = Client.objects.all()
    for word in words:
        ways = WayToReach.objects.filter(_anywhere(word, ("who", "address")), client=OuterRef("pk"))
        rows = rows.filter(_anywhere(word, ("name", "email", "phone", "notes")) | Exists(ways))
    number = _number(asked, studio)
    if number:
        ways = WayToReach.objects.filter(address__contains=number, client=OuterRef("pk"))
        rows = rows | Client.objects.filter(Q(phone__contains=number) | Exists(ways))
    return rows.order_by("name", "pk")


def _number(asked: str, studio: Studio) -> str:
    """The digits as they are kept, where what is asked for looks like a telephone number."""
    digits = re.sub(r"[\s()./-]", "", asked)
    if not re.fullmatch(r"\+?\d{4,15}", digits):
        return ""
    try:
        return phone_numbers.e164(asked, region=phone_numbers.region_of(studio.locale))
    except phone_numbers.NotAPhoneNumber:
        return digits.lstrip("0+")
