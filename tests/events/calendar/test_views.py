"""The page of a week."""

from __future__ import annotations

from datetime import date

import pytest

from events.models import Event
from tests.events.conftest import address, days_ahead
from tests.people import House


@pytest.mark.parametrize("day", ["2027-02-30", "soon", "9999-12-31", "0001-01-01"])
def test_a_week_that_is_none_is_not_found(wickerlark: House, day: str) -> None:
    assert wickerlark.client().get(address(wickerlark, "week"), {"day": day}).status_code == 404


def test_the_week_shows_the_events_of_the_day_that_is_asked_for(wickerlark: House, enquired: Event) -> None:
    browser = wickerlark.client()
    there = browser.get(address(wickerlark, "week"), {"day": enquired.ready_by.date().isoformat()})
    elsewhere = browser.get(address(wickerlark, "week"), {"day": date(2030, 1, 7).isoformat()})
    assert enquired.title in there.content.decode()
    assert enquired.title not in elsewhere.content.decode()
    assert days_ahead(10).date() == enquired.ready_by.date()
