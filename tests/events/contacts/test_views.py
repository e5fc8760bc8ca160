"""The pages of venues."""

from __future__ import annotations

from events.contacts import venues
from events.models import Venue
from tests.people import House


def test_venues_are_refused_at_the_field(wickerlark: House) -> None:
    with wickerlark.enter():
        venues.add_venue(name="Hall")
    sent = {"name": "HALL", "setting": "indoor", "drive_minutes": "30"}
    browser, path = wickerlark.client(), wickerlark.url("events:venue-add")
    for typed, field in (
        ({}, "name"),
        ({"name": "X", "drive_minutes": "-5"}, "drive_minutes"),
        ({"name": "X", "zone": "Mars/Olympus"}, "zone"),
        ({"name": "X", "door_width_m": "1 furlong"}, "door_width_m"),
        ({"name": "X", "carry_m": "9000 ft"}, "carry_m"),
    ):
        page = browser.post(path, {**sent, **typed})
        assert (page.status_code, list(page.context["form"].errors)) == (422, [field])
    with wickerlark.enter():
        assert Venue.objects.count() == 1
