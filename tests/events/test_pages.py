"""All pages of the events room: who may open them, what they show to crew, and how many queries they need."""

from __future__ import annotations

import uuid
from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from events.booking import log
from events.contacts import clients, venues
from events.loadout import ticks
from events.models import Event, Stage
from tests.events.conftest import BILL, address, agree, said_by, stock_up, take
from tests.people import House

GETS = ("week", "events", "enquiry-add", "clients", "client-add", "venues", "venue-add", "crew")


EVENT_GETS = (
    "event",
    "event-change",
    "event-move",
    "load-out",
    "ticks",
    "return-list",
)


EVENT_POSTS = ("event-note-add", "event-call-off", "event-take-up-again")


CREW_MAY = {"week", "events", "venues", "crew", "event", "load-out", "ticks", "return-list"}


@pytest.mark.parametrize("role", ["owner", "staff", "crew"])
def test_each_role_opens_what_it_may_and_nothing_else(wickerlark: House, agreed: Event, role: str) -> None:
    browser = wickerlark.client(role)
    for name in (*GETS, *EVENT_GETS):
        page = browser.get(address(wickerlark, name, agreed if name in EVENT_GETS else None))
        assert page.status_code == (200 if role != "crew" or name in CREW_MAY else 403), name
    for name in EVENT_POSTS:
        page = browser.post(address(wickerlark, name, agreed), {"text": "said"})
        assert page.status_code == (302 if role != "crew" else 403), name


def test_whoever_is_not_signed_in_is_asked_to(wickerlark: House, agreed: Event) -> None:
    for name in (*GETS, *EVENT_GETS):
        page = Browser().get(address(wickerlark, name, agreed if name in EVENT_GETS else None))
        assert (page.status_code, page["Location"].split("?")[0]) == (302, "/account/login/"), name


def test_another_studios_things_are_not_found(wickerlark: House, federkorn: House, agreed: Event) -> None:
    with wickerlark.enter():
        hall = venues.add_venue(name="Hall")
    browser = federkorn.client()
    for name in EVENT_GETS:
        assert browser.get(address(federkorn, name, agreed)).status_code == 404, name
        assert browser.get(address(wickerlark, name, agreed)).status_code == 404, name
    for name in EVENT_POSTS:
        assert browser.post(address(federkorn, name, agreed), {"text": "x"}).status_code == 404, name
    assert browser.post(address(federkorn, "event-stage-change", agreed, "prepared")).status_code == 404
    assert browser.get(federkorn.url("events:client", agreed.client_id)).status_code == 404
    for name in ("venue", "venue-change"):
        assert browser.get(federkorn.url(f"events:{name}", hall.pk)).status_code == 404
    with wickerlark.enter():
        assert Event.objects.get().stage == Stage.AGREED


def test_nothing_is_changed_by_a_get(wickerlark: House, agreed: Event) -> None:
    browser = wickerlark.client()
    for name in EVENT_POSTS:
        assert browser.get(address(wickerlark, name, agreed)).status_code == 405
    assert browser.get(address(wickerlark, "event-stage-change", agreed, "prepared")).status_code == 405


def fill(house: House, number: int) -> Event:
    """Several agreed and tentative events this week, each with its own client and place."""
    with house.enter():
        made: Event | None = None
        for count in range(number):
            place = venues.add_venue(name=f"Hall {number}-{count}", address="Quay")
            event = take(
                f"Event {count}", days=1, venue_id=place.pk, client_email=f"{number}-{count}@b.example"
            )
            if count % 2:
                agree(event, key=f"k-{number}-{count}", bill=(BILL[0], BILL[0], BILL[1]))
                line = event.load_out.first()
                assert line is not None
                ticks.save_ticks(event.pk, [ticks.TickOp(uuid.uuid4(), line.pk, 1, timezone.now())])
                made = event
        assert made is not None
        return made


def counted(browser: Browser, path: str) -> int:
    """Queries of one page; the marks of a transaction's begin and end are none."""
    return _counted(lambda: browser.get(path).status_code, 200)


def counted_post(browser: Browser, path: str) -> int:
    """Queries of one press of a button that leads to another page."""
    return _counted(lambda: browser.post(path).status_code, 302)


def _counted(asked: Callable[[], int], status: int) -> int:
    with CaptureQueriesContext(connection) as queries:
        assert asked() == status
    marks = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE")
    return sum(not query["sql"].startswith(marks) for query in queries.captured_queries)


@pytest.mark.parametrize("name", ["week", "events", "enquiry-add", "clients", "venues", "crew"])
def test_lists_need_no_more_queries_with_more_rows(wickerlark: House, name: str) -> None:
    with wickerlark.enter():
        stock_up()
    browser, path = wickerlark.client(), address(wickerlark, name)
    fill(wickerlark, 4)
    few = counted(browser, path)
    fill(wickerlark, 12)
    many = counted(browser, path)
    assert few == many


@pytest.mark.parametrize("name", [*EVENT_GETS, "client", "venue"])
def test_pages_of_one_thing_need_no_more_queries_with_more_rows(wickerlark: House, name: str) -> None:
    with wickerlark.enter():
        stock_up()
    event = fill(wickerlark, 6)
    thing = {"client": event.client_id, "venue": event.venue_id}.get(name, event.pk)
    browser, path = wickerlark.client(), wickerlark.url(f"events:{name}", thing)
    few = counted(browser, path)
    with wickerlark.enter():
        add_rows(event)
    assert counted(browser, path) == few


def add_rows(event: Event) -> None:
    """More of everything that the pages of one event, its client and its venue list."""
    agree(event, key="more", bill=BILL)
    for number in range(5):
        log.add_note(event, f"Note {number}")
        clients.add_way(event.client, who=f"Caretaker {number}", way="other", address=f"Desk {number}")
        later = take(f"Later {number}", days=3, client_id=event.client_id, venue_id=event.venue_id)
        assert (later.client_id, later.venue_id) == (event.client_id, event.venue_id)


def test_crew_see_no_money_on_any_page(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        from stock.models import Item

        Item.objects.update(unit_cost="77.77", price_per_use="88.88", bag_price="99.99")
    browser = wickerlark.client("crew")
    for name in CREW_MAY:
        text = said_by(browser.get(address(wickerlark, name, agreed if name in EVENT_GETS else None)))
        for words in ("77.77", "88.88", "99.99", "$", "USD"):  # no clock shows so many seconds
            assert words not in text.replace("$/", ""), (name, words)
