"""The week strip: where bars stand, in how many rows, and what is due."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.booking import stages
from events.calendar import agenda, week
from events.calendar.agenda import DueItem
from events.calendar.month import monday_of
from events.calendar.week import SLOTS, find_week, packed, slot
from events.jobs import calling_off
from events.loadout import returns
from events.models import Event, Stage
from studio import tenancy
from studio.measures import times
from studio.measures.times import Window
from tests.events.conftest import BILL, agree, days_ahead, stock_up, take
from tests.people import House

NEW_YORK = ZoneInfo("America/New_York")
MONDAY = date(2027, 3, 8)
"""The week in which New York's clocks go forward, on Sunday 14 March (IANA time zone database)."""


@pytest.mark.parametrize(
    ("shown", "end", "expected"),
    [
        (datetime(2027, 3, 8, 0, 0), False, 0),
        (datetime(2027, 3, 8, 2, 59), False, 0),
        (datetime(2027, 3, 8, 3, 0), False, 1),
        (datetime(2027, 3, 8, 3, 0), True, 1),
        (datetime(2027, 3, 8, 3, 1), True, 2),
        (datetime(2027, 3, 10, 13, 30), False, 20),
        (datetime(2027, 3, 14, 0, 30), False, 48),
        (datetime(2027, 3, 14, 12, 0), False, 52),
        (datetime(2027, 3, 14, 23, 59), True, 56),
        (datetime(2027, 3, 7, 12, 0), False, 0),
        (datetime(2027, 3, 20, 12, 0), True, 56),
    ],
)
def test_a_moment_stands_where_the_clock_on_the_wall_says(shown: datetime, end: bool, expected: int) -> None:
    moment = times.local(shown.date(), shown.time(), NEW_YORK).astimezone(UTC)
    assert slot(moment, MONDAY, NEW_YORK, end=end) == expected


def test_weeks_begin_on_monday_as_iso_8601_has_it() -> None:
    for day in (date(2026, 12, 31), date(2027, 1, 3), date(2027, 3, 14)):
        year, number, _ = day.isocalendar()
        assert monday_of(day) == date.fromisocalendar(year, number, 1)


# Interval partitioning: the fewest rows are the depth, the most intervals over any one point
# (Kleinberg and Tardos, Algorithm Design, 2005, section 4.1, theorem 4.5 and 4.6).
@given(st.lists(st.tuples(st.integers(0, 50), st.integers(1, 6)), max_size=30))
def test_bars_take_the_fewest_rows_and_never_overlap(drawn: list[tuple[int, int]]) -> None:
    spans = sorted((start, start + length) for start, length in drawn)
    rows = packed(spans)
    for one, (start, end) in enumerate(spans):
        for other in range(one):
            if rows[one] == rows[other]:
                assert spans[other][1] <= start or end <= spans[other][0]
    depth = max((sum(start <= place < end for start, end in spans) for place in range(SLOTS)), default=0)
    assert max(rows, default=0) == depth


def strip_of(house: House, event: Event, role: str = "owner") -> week.Week:
    """The week in which the event leaves."""
    with house.enter(role):
        return find_week(event.load_out_at.astimezone(house.studio.tz).date(), house.studio)


def test_agreed_and_tentative_events_stand_in_their_lanes(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        take("Rowing club supper", ready_by=agreed.ready_by)
        gone = take("Bakery opening", ready_by=agreed.ready_by)
        calling_off.call_off(gone.pk)
    strip = strip_of(wickerlark, agreed)
    assert [(lane.name, [bar.event.title for bar in lane.bars]) for lane in strip.lanes] == [
        ("Agreed", ["Library centenary"]),
        ("Tentative", ["Rowing club supper"]),
    ]


def test_a_bar_runs_from_load_out_to_return(wickerlark: House, agreed: Event) -> None:
    strip = strip_of(wickerlark, agreed)
    (bar,) = strip.lanes[0].bars
    zone = wickerlark.studio.tz
    leaves = datetime.combine(strip.first_day, time(), zone) + timedelta(hours=3 * bar.from_slot)
    back = datetime.combine(strip.first_day, time(), zone) + timedelta(hours=3 * bar.to_slot)
    assert leaves <= agreed.load_out_at < leaves + timedelta(hours=3)
    assert bar.to_slot == SLOTS or back - timedelta(hours=3) < agreed.back_at <= back


def test_an_event_stands_in_any_seven_days_that_it_touches(wickerlark: House) -> None:
    with wickerlark.enter():
        evening = days_ahead(14).date()
        event = take(ready_by=times.local(evening, time(19), NEW_YORK))
        left, back = (moment.astimezone(NEW_YORK).date() for moment in (event.load_out_at, event.back_at))
        assert find_week(left - timedelta(days=7), wickerlark.studio).lanes == ()
        assert find_week(back + timedelta(days=1), wickerlark.studio).lanes == ()
        for day in (left - timedelta(days=6), left, back):
            strip = find_week(day, wickerlark.studio)
            assert [bar.event.pk for lane in strip.lanes for bar in lane.bars] == [event.pk]


def test_what_is_back_and_not_counted_is_due_until_it_is_counted(wickerlark: House) -> None:
    with tenancy.entered(wickerlark.studio.pk):
        event = take(ready_by=days_ahead(-3))
        agree(event, bill=())
    with wickerlark.enter("crew"):
        strip = find_week(date.today(), wickerlark.studio)  # noqa: DTZ011 -- any day of this week
        assert [(item.what, item.about) for item in strip.due] == [("Count back", "Library centenary")]
        for stage in (Stage.PREPARED, Stage.INSTALLED):
            stages.reach(event.pk, stage)
        returns.count_back(event.pk)
        assert find_week(date.today(), wickerlark.studio).due == ()  # noqa: DTZ011


def test_shortages_are_due_for_the_office_and_not_for_crew(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take(days=5)
        agree(event, bill=(BILL[0], BILL[0]))
        event.refresh_from_db()
    strip = strip_of(wickerlark, event)
    assert [(item.what, item.event_id) for item in strip.due] == [("Short: 40 Oat 11 in", event.pk)]
    assert strip.lanes[0].bars[0].is_due
    assert strip_of(wickerlark, event, "crew").due == ()


def test_other_rooms_may_say_what_is_due(wickerlark: House, monkeypatch: pytest.MonkeyPatch) -> None:
    item = DueItem(days_ahead(1), "Offer lapses", "Library centenary", "/x")
    monkeypatch.setattr(agenda.agenda, "_providers", [])
    provider = agenda.register(lambda span: [item] if span.start < item.at else [])
    agenda.register(provider)
    with wickerlark.enter():
        assert agenda.due(Window(days_ahead(-1), days_ahead(7))) == [item]
