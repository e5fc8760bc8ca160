"""How long the month with 200 events and the week with 60 take, beside the smallest authenticated answer: at most 8
times as long in 95 of 100, and 40 kB compressed.

Measured at the test client, without a web server in between. Every event is agreed or tentative, has its three
shifts with a van and two people on each, and one in ten lies over another one's crew, so that conflicts are found.
"""

from __future__ import annotations

import gzip
import time
from datetime import UTC, datetime, timedelta
from statistics import quantiles

import pytest
from django.test import Client as Browser

from events.calendar.lanes import Lanes
from events.contacts import venues
from events.crew import people
from events.models import Answer, BillRow, Client, CrewCall, Event, Shift, ShiftKind, Stage, Status, Van
from studio.models import Membership
from tests.bench.figures import Figure, Figures
from tests.events.conftest import stock_up
from tests.people import House
from tests.quoting import scenes

pytestmark = pytest.mark.bench


TIMES = 25
PEOPLE = ("owner", "staff", "crew")
HOUR = timedelta(hours=1)


def season(house: House, monday: datetime, events: int, days: int) -> None:
    """So many events over so many days from that Monday on."""
    with house.enter():
        place = venues.add_venue(name="Hall", drive_minutes=25)
        client = Client.objects.create(name="Guild")
        vans = [people.save_van(Van(), name=f"Van {number}", seats=3) for number in range(4)]
        members = [
            people.saved_member(people.find_person(Membership.objects.get(person=house.person(role)).pk))
            for role in PEOPLE
        ]
        rows = []
        for number in range(events):
            ready = monday + timedelta(days=number % days, hours=9 + number % 10)
            rows.append(
                Event(
                    title=f"Event {number} of the guild's long and busy season",
                    client=client, venue=place, zone="UTC",
                    status=Status.CONFIRMED if number % 3 else Status.TENTATIVE,
                    stage=Stage.AGREED if number % 3 else Stage.OFFERED,
                    load_out_at=ready - 5 * HOUR, access_from=ready - 4 * HOUR, ready_by=ready,
                    strike_from=ready + 5 * HOUR, out_by=ready + 7 * HOUR, back_at=ready + 9 * HOUR,
                )
            )  # fmt: skip
        made = Event.objects.bulk_create(rows)
        stock_up()
        BillRow.objects.bulk_create(
            BillRow(event=event, code="ring-6ft", label="Ring 6 ft", quantity=1, group="frames")
            for event in made
        )
        shifts = Shift.objects.bulk_create(
            Shift(
                event=event, kind=kind, starts_at=event.ready_by + begin * HOUR,
                ends_at=event.ready_by + (begin + 2) * HOUR,
                van=None if kind == ShiftKind.PREP else vans[number % len(vans)],
            )
            for number, event in enumerate(made)
            for kind, begin in ((ShiftKind.PREP, -9), (ShiftKind.INSTALL, -4), (ShiftKind.STRIKE, 5))
        )  # fmt: skip
        CrewCall.objects.bulk_create(
            CrewCall(shift=shift, member=member, answer=Answer.NOT_ASKED)
            for number, shift in enumerate(shifts)
            for member in (members[number % 3], members[(number + 1) % 3])
        )


@pytest.mark.parametrize(("events", "days", "page"), [(200, 28, "month"), (60, 7, "week")])
def test_the_calendar_opens(wickerlark: House, figures: Figures, events: int, days: int, page: str) -> None:
    monday = datetime(2027, 2, 1, tzinfo=UTC)
    season(wickerlark, monday, events, days)
    with wickerlark.enter():
        pulse = wickerlark.url("quoting:quote-pulse", scenes.quote(wickerlark).pk)
    browser = wickerlark.client()
    for by in Lanes.values if page == "week" else [""]:
        address = f"{wickerlark.url(f'events:{page}')}?day=2027-02-03&by={by}"
        shown = browser.get(address).content
        assert shown.decode().count("Event ") >= events
        took, floor = [], []
        for _ in range(TIMES):
            took.append(_seconds(browser, address))
            floor.append(_seconds(browser, pulse))
        name = f"{page} {by}".strip()
        figures.milliseconds(
            f"{name}, {events} events, p95",
            quantiles(took, n=20)[-1],
            floor=quantiles(floor, n=20)[-1],
            bar=8,
        )
        kilobytes = len(gzip.compress(shown, 6)) / 1000
        figures.add(Figure(f"{name}, {events} events, sent", kilobytes, "kB", bar=40))


def _seconds(browser: Browser, address: str) -> float:
    began = time.perf_counter()
    browser.get(address)
    return time.perf_counter() - began
