"""Search over everything, and the several ways to reach a client."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from events.booking import log
from events.contacts import clients, venues
from events.jobs import search
from events.models import Event, WayToReach
from stock.catalogue import barcodes
from stock.models import Kind
from tests import shelf
from tests.events.conftest import take
from tests.people import House


def names(house: House, asked: str, role: str = "owner") -> dict[str, list[str]]:
    with house.enter(role):
        found = search.search(asked, house.studio)
        return {
            "events": [event.title for event in found.events],
            "clients": [client.name for client in found.clients],
            "venues": [venue.name for venue in found.venues],
            "log": [entry.text for entry in found.log],
        }


@pytest.fixture
def season(wickerlark: House) -> Event:
    with wickerlark.enter():
        hall = venues.add_venue(name="Reading room", house_rules="No tape on the panelling")
        event = take(venue_id=hall.pk, client_phone="(202) 555-0101", notes="Mind the portrait")
        clients.add_way(
            event.client, who="Caretaker Quill", way="phone", address="202 555 0177", on_the_day=True
        )
        log.add_note(event, "Wants it to feel like paper and ink.")
    return event


@pytest.mark.parametrize(
    ("asked", "where", "what"),
    [
        ("centenary", "events", "Library centenary"),
        ("portrait", "events", "Library centenary"),
        ("reading CENTENARY", "events", "Library centenary"),
        ("adeyo", "clients", "Mrs Adeyo"),
        ("quill", "clients", "Mrs Adeyo"),
        ("(202) 555-0101", "clients", "Mrs Adeyo"),
        ("555 0177", "clients", "Mrs Adeyo"),
        ("panelling", "venues", "Reading room"),
        ("paper ink", "log", "Wants it to feel like paper and ink."),
    ],
)
def test_it_finds_what_somebody_remembers(
    wickerlark: House, season: Event, asked: str, where: str, what: str
) -> None:
    assert what in names(wickerlark, asked)[where]


@pytest.mark.parametrize("asked", ["", "x", "centenary nowhere", "%", "__"])
def test_too_little_and_what_fits_nothing_find_nothing(wickerlark: House, season: Event, asked: str) -> None:
    assert not any(names(wickerlark, asked).values())


def test_crew_find_no_clients_and_no_log(wickerlark: House, season: Event) -> None:
    assert names(wickerlark, "adeyo", "crew")["clients"] == []
    assert names(wickerlark, "paper ink", "crew")["log"] == []
    assert wickerlark.client("crew").get(wickerlark.url("events:search") + "?find=quill").status_code == 200


def test_another_studio_finds_nothing_of_it(federkorn: House, season: Event) -> None:
    assert not any(names(federkorn, "centenary").values())


@pytest.mark.parametrize(
    ("way", "address", "words"),
    [("phone", "12", "is no telephone number"), ("email", "nobody", "valid email"), ("other", " ", "blank")],
)
def test_a_way_that_leads_nowhere_is_refused(
    wickerlark: House, season: Event, way: str, address: str, words: str
) -> None:
    with wickerlark.enter(), pytest.raises(ValidationError, match=words):
        clients.add_way(season.client, who="Somebody", way=way, address=address)
    page = wickerlark.client().post(
        wickerlark.url("events:client-way-add", season.client_id),
        {"who": "Somebody", "way": way, "address": address},
    )
    assert page.status_code == 422
    assert b"Somebody" in page.content


def test_whoever_answers_on_the_day_stands_on_the_run_sheet(wickerlark: House, season: Event) -> None:
    path = wickerlark.url("events:run-sheet-contacts", season.pk)
    assert b"Caretaker Quill" in wickerlark.client("staff").get(path).content
    assert b"Caretaker Quill" not in wickerlark.client("crew").get(path).content  # ten days before
    browser = wickerlark.client()
    with wickerlark.enter():
        row = WayToReach.objects.get()
    assert browser.post(wickerlark.url("events:client-way-remove", row.pk)).status_code == 302
    assert b"Caretaker Quill" not in wickerlark.client("staff").get(path).content


def test_what_is_known_of_a_venue_is_typed_and_shown(wickerlark: House) -> None:
    typed = {
        "name": "Customs hall", "setting": "indoor", "drive_minutes": "15", "stairs": "12", "dock": "behind the tower",
        "fire_rules": "Papers for every cloth", "altitude_m": "5000", "access_hours": "from seven",
        "carry_m": "120 ft", "lift_takes_loads": "on",
    }  # fmt: skip
    browser = wickerlark.client()
    page = browser.post(wickerlark.url("events:venue-add"), typed, follow=True)
    text = page.content.decode()
    for words in (
        "behind the tower",
        "12 steps",
        "Papers for every cloth",
        "from seven",
        "5,000 ft",
        "120 ft",
        "takes the loads",
    ):
        assert words in text


def further(house: House, asked: str, role: str = "owner") -> dict[str, list[str]]:
    with house.enter(role):
        found = search.search(asked, house.studio)
        return {section.title: [row.title for row in section.rows] for section in found.further}


def test_items_are_found_by_name_code_and_barcode_number(wickerlark: House) -> None:
    with wickerlark.enter():
        # The example of an EAN-13 and its check digit that handbooks print (from memory).
        clip = shelf.thing(
            Kind.HARDWARE, "Binder clip", code="clip-binder", gtin=barcodes.parse_gtin("4006381333931")
        )
        shelf.put([(clip, 3)])
    for asked in ("binder", "clip-binder", "4006381333931", clip.gtin):
        assert further(wickerlark, asked) == {"Stock": ["Binder clip"]}
