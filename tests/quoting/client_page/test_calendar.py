"""The event in the client's own calendar, read back by a calendar library."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from icalendar import Calendar

from events.models import Event
from quoting.models import Quote
from tests.people import House
from tests.quoting.offer_scenes import offered, open_link

pytestmark = pytest.mark.django_db


def entry_of(content: bytes) -> Any:
    (entry,) = Calendar.from_ical(content).walk("VEVENT")
    return entry


def test_it_has_the_event_s_times_and_place_and_follows_a_move(wickerlark: House) -> None:
    """RFC 5545: 3.8.4.7 UID stays, 3.8.7.4 SEQUENCE grows, 3.3.5 times in UTC."""
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    answer = browser.get(address + "event.ics")
    assert (answer.status_code, answer["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    entry = entry_of(answer.content)
    with wickerlark.enter():
        event = Event.objects.select_related("venue").get(
            pk=Quote.objects.get(pk=made.offer.quote_id).event_id
        )
    assert entry["SUMMARY"] == event.title
    assert entry["DTSTART"].dt == (event.guests_from or event.ready_by).replace(microsecond=0)
    assert entry["DTEND"].dt == event.strike_from.replace(microsecond=0)
    assert entry["STATUS"] == "TENTATIVE"
    if event.venue:
        assert str(entry["LOCATION"]).startswith(event.venue.name)
    assert b"Billowbook" not in answer.content.split(b"UID")[0]
    with wickerlark.enter():
        Event.objects.filter(pk=event.pk).update(
            version=event.version + 1, strike_from=event.strike_from + timedelta(minutes=1)
        )
    moved = entry_of(browser.get(address + "event.ics").content)
    assert moved["UID"] == entry["UID"]
    assert moved["SEQUENCE"] == entry["SEQUENCE"] + 1


def test_without_the_link_there_is_none(wickerlark: House) -> None:
    _, address = open_link(offered(wickerlark).address)
    assert Client().get(address + "event.ics").status_code == 404
