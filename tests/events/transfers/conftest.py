"""Two events with a transfer between them."""

from __future__ import annotations

from contextlib import AbstractContextManager
from datetime import datetime, timedelta
from typing import Any

import pytest

from events.booking.event_times import EventWindows, windows_of
from events.jobs import changes
from events.jobs.commitment import BillLine
from events.models import Event
from events.transfers import changing
from studio import tenancy
from studio.tenancy.rights import Role
from tests.events.conftest import agree, days_ahead, stock_up, take
from tests.people import House

COVER = BillLine("cover-oat", "Ring cover oat", 1, "Ring", "covers")
COVERS = BillLine("cover-oat", "Ring cover oat", 2, "Ring", "covers")
RING = BillLine("ring-6ft", "Ring 6 ft", 1, "Ring", "frames")


def at(hour: int) -> datetime:
    return days_ahead(10, hour)


def bakery(*bill: BillLine, **more: Any) -> Event:
    """Ready by 10:00, out by 17:00, home at 18:30."""
    event = take("Bakery birthday", ready_by=at(10), **more)
    agree(event, key=f"bakery-{event.pk}", bill=bill)
    event.refresh_from_db()
    return event


def hall(*bill: BillLine, title: str = "Harbour hall", **more: Any) -> Event:
    """Access from 18:00, ready by 22:00; loaded from 16:30 on. Agreed where there is a bill."""
    event = take(
        title, ready_by=at(22), client_email=f"{title.split(maxsplit=1)[0].lower()}@hall.example", **more
    )
    if bill:
        agree(event, key=f"hall-{event.pk}", bill=bill)
        event.refresh_from_db()
    return event


def as_client(house: House) -> AbstractContextManager[tenancy.Tenant]:
    """Whoever holds a link to an offer."""
    return tenancy.entered(house.studio.pk, slug=house.studio.slug, role=Role.CLIENT, person_id=None)


def shown(moment: datetime, event: Event) -> str:
    """A moment as clocks at the event show it."""
    return f"{moment.astimezone(event.tz):%-I:%M}\u00a0{moment.astimezone(event.tz):%p}".lower()


def log_of(event: Event) -> str:
    return " ".join(event.log.values_list("text", flat=True))


def moved(event: Event, *, hours: int) -> Event:
    now = Event.objects.get(pk=event.pk)
    by = timedelta(hours=hours)
    was = windows_of(now)
    then = EventWindows(was.access_from + by, was.ready_by + by, None, was.strike_from + by, was.out_by + by)
    return changes.move(event.pk, then, seen_version=now.version)


@pytest.fixture
def both(wickerlark: House) -> tuple[Event, Event]:
    """A bakery and a hall have one of the two covers each; the bakery's goes directly on to the hall."""
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall(COVER)
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        return first, second


@pytest.fixture
def on_lists(wickerlark: House) -> tuple[Event, Event]:
    """The bakery has two covers and a ring; one cover goes directly on to the hall, which has nothing else."""
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS, RING), hall()
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        agree(second, bill=(COVER,))
        second.refresh_from_db()
        return first, second
