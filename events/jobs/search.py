"""Search over events, clients and their contacts, venues, and notes and history."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

from django.db.models import Exists, Model, OuterRef, Q, QuerySet
from django.utils import timezone

from events.booking.event_sections import Row as SectionRow
from events.booking.event_sections import Section
from events.contacts import phone_numbers
from events.models import Client, Event, LogEntry, Status, Venue, WayToReach
from stock.shelf.presenter import matching_items
from studio import tenancy
from studio.models import Studio
from studio.registry import Registry
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.rights import Right, may

finders: Final = Registry[Callable[[Sequence[str]], Sequence[Section]]]()
"""Asked with the words of every search, as the person who looks: each gives what that person may see."""
register: Final = finders.register

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
    further: Sequence[Section] = ()
    """Items of the stock list, and what other rooms find."""

    @property
    def nothing(self) -> bool:
        """Whether nothing matches."""
        return not (self.events or self.clients or self.venues or self.log or self.further)


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
    """Find everything that contains all words of ``asked``; clients and history for the office only. Five queries
    and those of other rooms.

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
    further = [section for find in finders for section in find(words)]
    if not office:
        return Found(asked, list(events[:EACH]), venues=list(venues[:EACH]), further=further)
    log = _all_words(
        LogEntry.objects.select_related("event", "person", "crew_phone"), words, "text"
    ).order_by("-pk")
    return Found(
        asked, list(events[:EACH]), list(_clients(words, asked, studio)[:EACH]), list(venues[:EACH]),
        list(log[:EACH]), further,
    )  # fmt: skip


@register
def find_items(words: Sequence[str]) -> list[Section]:
    """Items of the stock list by name, code, color, place or barcode number. One query."""
    if not may(tenancy.current().role, Right.SEE_SHELF):
        return []
    items = matching_items(" ".join(words)).filter(retired_at=None)[:EACH]
    rows = tuple(
        SectionRow(item.name, links.to("stock:item", item.pk), sub=item.code, end=item.place)
        for item in items
    )
    return [Section("Stock", rows)] if rows else []


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
        return phone_numbers.e164(asked, region=phone_numbers.region_of_studio(studio))
    except phone_numbers.NotAPhoneNumber:
        return digits.lstrip("0+")
