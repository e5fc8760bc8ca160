"""Moments and windows across clock changes."""

from __future__ import annotations

import zoneinfo
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.measures import times
from studio.measures.times import Window

BERLIN, NEW_YORK = ZoneInfo("Europe/Berlin"), ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    ("day", "at", "zone", "utc_hour"),
    [
        # IANA time zone database 2026: clocks go back at 03:00 in Berlin on 25 Oct 2026; the first 02:30 is 00:30 UTC.
        (date(2026, 10, 25), time(2, 30), BERLIN, (0, 30)),
        (date(2026, 7, 1), time(16, 0), BERLIN, (14, 0)),
        (date(2026, 12, 12), time(16, 0), NEW_YORK, (21, 0)),
    ],
)
def test_a_local_time_is_the_moment_that_the_zone_says(
    day: date, at: time, zone: ZoneInfo, utc_hour: tuple[int, int]
) -> None:
    moment = times.local(day, at, zone).astimezone(UTC)
    assert (moment.hour, moment.minute) == utc_hour


@pytest.mark.parametrize(
    ("day", "zone", "hint"),
    [(date(2027, 3, 28), BERLIN, "03:30"), (date(2027, 3, 14), NEW_YORK, "03:30")],
)
def test_an_hour_that_clocks_skip_is_refused_with_the_hour_meant(
    day: date, zone: ZoneInfo, hint: str
) -> None:
    with pytest.raises(times.NoSuchTime, match=f"skip 02:30.*{hint} is the same moment"):
        times.local(day, time(2, 30), zone)


def test_a_window_must_end_after_it_starts() -> None:
    start = datetime(2026, 12, 12, 16, tzinfo=UTC)
    for end in (start, start - timedelta(hours=1)):
        with pytest.raises(times.WindowReversed, match="must come after"):
            Window(start, end)


def test_a_night_on_which_clocks_go_back_is_an_hour_longer() -> None:
    # IANA time zone database 2026: Berlin goes from summer to winter time on 25 Oct 2026.
    night = Window(datetime(2026, 10, 24, 22, tzinfo=BERLIN), datetime(2026, 10, 25, 4, tzinfo=BERLIN))
    assert night.length == timedelta(hours=7)
    party = times.local(date(2026, 10, 25), time(4), BERLIN) - times.local(
        date(2026, 10, 24), time(22), BERLIN
    )
    assert party == timedelta(hours=7)


def test_a_window_needs_aware_times() -> None:
    with pytest.raises(ValueError, match="aware"):
        Window(datetime(2026, 1, 1), datetime(2026, 1, 2))


moments = st.datetimes(datetime(2026, 1, 1), datetime(2027, 1, 1), timezones=st.just(UTC))


@given(st.lists(moments, min_size=4, max_size=4, unique=True))
def test_overlap_is_symmetric_and_touching_windows_share_nothing(four: list[datetime]) -> None:
    a, b, c, d = sorted(four)
    assert Window(a, c).overlaps(Window(b, d))
    assert Window(b, d).overlaps(Window(a, c))
    assert not Window(a, b).overlaps(Window(b, c))
    assert not Window(a, b).overlaps(Window(c, d))


@pytest.mark.parametrize(
    ("locale", "day", "clock", "month"),
    [
        # The order, dots and names of the Unicode Common Locale Data Repository, version 46.
        ("en_US", "Sat Dec 14, 2030", "4:05\u00a0pm", "December 2030"),
        ("en_GB", "Sat 14 Dec 2030", "16:05", "December 2030"),
        ("en_AU", "Sat 14 Dec 2030", "4:05\u00a0pm", "December 2030"),
        ("de_DE", "Sa., 14. Dez. 2030", "16:05", "Dezember 2030"),
    ],
)
def test_days_and_clocks_follow_the_locale(locale: str, day: str, clock: str, month: str) -> None:
    assert times.day_written(date(2030, 12, 14), locale) == day
    assert times.time_written(time(16, 5), locale) == clock
    assert times.month_written(date(2030, 12, 14), locale) == month


def test_this_years_days_go_without_their_year() -> None:
    assert times.day_written(date(datetime.now(UTC).year, 11, 14), "en_US").endswith("Nov 14")


def test_zones_are_those_of_the_machine_and_pages_offer_those_named_for_a_place() -> None:
    assert times.zone_names() == zoneinfo.available_timezones()
    offered = times.zones_of_places()
    assert list(offered) == sorted(offered)
    assert {"America/New_York", "Europe/Berlin", "UTC"} <= set(offered) <= times.zone_names()
    assert not {"EST", "Factory"} & set(offered)
