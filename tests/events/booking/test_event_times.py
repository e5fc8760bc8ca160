"""The moments of an event stand in order, in the form's words and in the database."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from events.booking import event_times
from events.booking.event_times import EventWindows, WindowsOutOfOrder
from events.models import Event, LogEntry, StageReached
from tests.people import House

READY = datetime(2027, 5, 8, 16, tzinfo=UTC)
GOOD = event_times.usual(ready_by=READY, guests_from=READY + timedelta(minutes=30))


def hours(number: float) -> timedelta:
    """So many hours."""
    return timedelta(hours=number)


def test_where_nothing_is_said_sensible_moments_stand() -> None:
    usual = event_times.usual(ready_by=READY)
    assert usual == EventWindows(READY - hours(4), READY, None, READY + hours(5), READY + hours(7))
    usual.check()


def test_what_is_said_stays_and_the_rest_follows_it() -> None:
    said = event_times.usual(ready_by=READY, guests_from=READY + hours(2), access_from=READY - hours(30))
    assert said.access_from == READY - hours(30)
    assert said.strike_from == READY + hours(7)


def test_the_journey_is_loading_and_the_drive_on_both_sides() -> None:
    journey = event_times.journey(GOOD, drive_minutes=25)
    assert journey.load_out_at == GOOD.access_from - timedelta(minutes=85)
    assert journey.back_at == GOOD.out_by + timedelta(minutes=85)


@pytest.mark.parametrize(
    ("field", "moment", "message"),
    [
        ("access_from", READY, "Access must come before it has to be ready."),
        ("guests_from", READY - hours(1), "Guests can't come before it has to be ready."),
        ("strike_from", READY - hours(1), "The strike must start after it was ready."),
        ("strike_from", READY + timedelta(minutes=30), "The strike must start after the guests came."),
        ("out_by", READY + hours(1), "Out by must come after the strike starts."),
        ("out_by", READY + timedelta(days=61), "That is more than 60 days after access"),
        ("access_from", datetime(1999, 12, 31, tzinfo=UTC), "Write a day between 2000 and 2099."),
        ("out_by", datetime(2100, 1, 1, tzinfo=UTC), "more than 60 days after access"),
    ],
)
def test_each_fault_stands_at_its_field(field: str, moment: datetime, message: str) -> None:
    with pytest.raises(WindowsOutOfOrder) as refusal:
        replace(GOOD, **{field: moment}).check()
    assert message in refusal.value.message_dict[field][0]


def test_every_fault_is_told_at_once() -> None:
    with pytest.raises(WindowsOutOfOrder) as refusal:
        EventWindows(READY, READY, READY - hours(1), READY - hours(2), READY - hours(3)).check()
    assert refusal.value.message_dict.keys() == {"access_from", "guests_from", "strike_from", "out_by"}


@pytest.mark.parametrize(
    ("field", "shift", "constraint"),
    [
        ("load_out_at", hours(100), "events_event_load_out_before_access"),
        ("access_from", hours(100), "events_event_access_before_ready"),
        ("guests_from", hours(-100), "events_event_guests_between_ready_and_strike"),
        ("guests_from", hours(100), "events_event_guests_between_ready_and_strike"),
        ("strike_from", hours(-100), "events_event_ready_before_strike"),
        ("out_by", hours(-100), "events_event_strike_before_out"),
        ("back_at", hours(-100), "events_event_out_before_back"),
    ],
)
def test_the_database_itself_refuses_moments_out_of_order(
    wickerlark: House, enquired: Event, field: str, shift: timedelta, constraint: str
) -> None:
    with wickerlark.enter():
        moment = (getattr(enquired, field) or enquired.ready_by) + shift
        with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
            Event.objects.filter(pk=enquired.pk).update(**{field: moment})


@pytest.mark.parametrize(
    "wrong",
    [
        {"title": ""},
        {"status": "MAYBE"},
        {"stage": "lost"},
        {"status": "CONFIRMED"},
        {"stage": "agreed"},
        {"width_m": 0},
        {"ceiling_m": -1},
        {"height_m": 201},
    ],
    ids=str,
)
def test_the_database_itself_refuses_what_no_event_is(
    wickerlark: House, enquired: Event, wrong: dict[str, object]
) -> None:
    with wickerlark.enter(), pytest.raises(IntegrityError, match="events_event_"), transaction.atomic():
        Event.objects.filter(pk=enquired.pk).update(**wrong)


@pytest.mark.parametrize("model", [LogEntry, StageReached])
def test_the_log_and_the_thread_are_written_once(
    wickerlark: House, enquired: Event, model: type[LogEntry] | type[StageReached]
) -> None:
    with wickerlark.enter():
        rows = model.objects.filter(event=enquired)
        assert rows.exists()
        with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
            rows.update(person=None)
        with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
            rows.delete()


# Clock changes by the IANA time zone database: New York 14 March 2027, 02:00 to 03:00; Berlin 28 March 2027,
# 02:00 to 03:00; Berlin back on 31 October 2027, 03:00 to 02:00.
@pytest.mark.parametrize(
    ("zone", "day"),
    [("America/New_York", date(2027, 3, 14)), ("Europe/Berlin", date(2027, 3, 28))],
)
def test_a_strike_across_the_clock_change_lasts_as_long_as_it_lasts(zone: str, day: date) -> None:
    clocks = ZoneInfo(zone)
    evening = datetime.combine(day - timedelta(days=1), time(18), clocks)
    strike = datetime.combine(day, time(1), clocks)
    event_windows = event_times.usual(ready_by=evening, strike_from=strike)
    event_windows.check()
    assert event_windows.out_by.astimezone(clocks).time() == time(4)
    assert event_windows.out_by.astimezone(UTC) - strike.astimezone(UTC) == event_times.USUAL_STRIKE


def test_the_hours_that_are_filled_in_are_hours_even_when_the_clocks_change() -> None:
    clocks = ZoneInfo("America/New_York")
    ready_by = datetime(2027, 3, 14, 1, tzinfo=clocks)
    usual = event_times.usual(ready_by=ready_by)
    assert usual.strike_from - usual.ready_by == event_times.USUAL_PARTY
    assert usual.strike_from.astimezone(clocks).time() == time(7)


def test_an_hour_that_comes_twice_is_in_order_by_what_really_passes() -> None:
    # Berlin, 31 October 2027: clocks go back from 03:00 to 02:00.
    clocks = ZoneInfo("Europe/Berlin")
    strike = datetime(2027, 10, 31, 2, 45, tzinfo=clocks)
    out = datetime(2027, 10, 31, 2, 15, fold=1, tzinfo=clocks)
    kept = EventWindows(strike - hours(20), strike - hours(10), None, strike, out)
    kept.check()
    assert kept.out_by - kept.strike_from == timedelta(minutes=30)
