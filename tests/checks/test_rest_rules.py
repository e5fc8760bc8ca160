"""Rest and week after Directive 2003/88/EC, articles 3 and 6, as cases.

https://osha.europa.eu/en/legislation/directives/directive-2003-88-ec: daily rest of 11 consecutive hours in every
24-hour period; 48 hours in every seven days, overtime included.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import hypothesis.strategies as st
import pytest
from hypothesis import given

from events.day_plan import rest
from studio.measures.times import Window

ELEVEN = timedelta(hours=11)
MONDAY = datetime(2026, 12, 7, tzinfo=UTC)


def stretch(start_hour: float, end_hour: float) -> Window:
    return Window(MONDAY + timedelta(hours=start_hour), MONDAY + timedelta(hours=end_hour))


@pytest.mark.parametrize(
    ("stretches", "days_too_long"),
    [
        ([(8, 21)], 0),  # 13 h of work leave 11 of rest
        ([(8, 21.25)], 1),
        ([(6, 9), (16, 19)], 0),  # two stretches within 13 h
        ([(6, 9), (16, 19.5)], 1),
        ([(14, 22), (24 + 9, 24 + 17)], 0),  # from 22:00 to 09:00 are just 11 h
        ([(14, 22), (24 + 8, 24 + 17)], 1),  # ten are too few
        ([(20, 24), (24 + 2, 24 + 5)], 0),  # a night's work in two parts, then a day of rest
        ([(8, 12), (10, 14)], 0),  # called twice is another fault, not this one
        ([], 0),
    ],
)
def test_eleven_hours_in_one_piece_in_every_twenty_four(
    stretches: list[tuple[float, float]], days_too_long: int
) -> None:
    assert len(rest.too_little_rest([stretch(*each) for each in stretches], ELEVEN)) == days_too_long


spans = st.lists(
    st.tuples(st.integers(0, 24 * 6), st.integers(1, 14)).map(
        lambda pair: stretch(pair[0], pair[0] + pair[1])
    ),
    max_size=8,
)


def rests_everywhere(stretches: list[Window], hours: int) -> bool:
    """By trying: whether the 24 hours from the start of each day's work hold so many free hours in a row."""
    busy = set()
    for each in stretches:
        first = round((each.start - MONDAY) / timedelta(hours=1))
        busy |= set(range(first, first + round(each.length / timedelta(hours=1))))
    for start in sorted(busy):
        if any(hour in busy for hour in range(start - hours, start)):
            continue  # not the start of a day's work: less than the rest lies before it
        free = [
            begin
            for begin in range(start, start + 24 - hours + 1)
            if not any(hour in busy for hour in range(begin, begin + hours))
        ]
        if not free:
            return False
    return True


@given(spans)
def test_the_rule_agrees_with_trying_every_hour(stretches: list[Window]) -> None:
    assert (rest.too_little_rest(stretches, ELEVEN) == []) == rests_everywhere(stretches, 11)


def test_forty_eight_hours_are_allowed_and_one_more_is_seen() -> None:
    six_days = [stretch(24 * day + 8, 24 * day + 16) for day in range(6)]
    assert rest.fullest_week(six_days)[0] == timedelta(hours=48)
    assert rest.fullest_week([*six_days, stretch(24 * 6 + 8, 24 * 6 + 9)])[0] == timedelta(hours=49)


def test_the_week_runs_over_sunday_and_counts_what_overlaps_once() -> None:
    late = [stretch(24 * 4 + 8, 24 * 4 + 18), stretch(24 * 4 + 10, 24 * 4 + 12), stretch(24 * 9, 24 * 9 + 10)]
    assert rest.fullest_week(late)[0] == timedelta(hours=20)
    assert rest.fullest_week([]) == (timedelta(), None)
