"""Clock changes against the IANA time zone database, read twice: by Python's zoneinfo and by PostgreSQL."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import psycopg
import pytest

from studio.measures import times
from tests import database

# IANA time zone database 2026: zone, UTC moment, what the clocks show. Pairs straddle a change.
SHOWN = [
    ("Europe/Berlin", "2026-10-25 00:30", "2026-10-25 02:30"),
    ("Europe/Berlin", "2026-10-25 01:30", "2026-10-25 02:30"),
    ("Europe/Berlin", "2026-03-29 00:59", "2026-03-29 01:59"),
    ("Europe/Berlin", "2026-03-29 01:00", "2026-03-29 03:00"),
    ("America/New_York", "2026-11-01 05:30", "2026-11-01 01:30"),
    ("America/New_York", "2026-11-01 06:30", "2026-11-01 01:30"),
    ("America/New_York", "2026-03-08 07:00", "2026-03-08 03:00"),
    ("Europe/London", "2026-03-29 01:00", "2026-03-29 02:00"),
    ("Australia/Lord_Howe", "2026-04-04 14:59", "2026-04-05 01:59"),
    ("Australia/Lord_Howe", "2026-04-04 15:15", "2026-04-05 01:45"),
    ("Asia/Kathmandu", "2026-06-01 12:00", "2026-06-01 17:45"),
    ("America/Phoenix", "2026-07-01 12:00", "2026-07-01 05:00"),
]

# Zone, day and time that the clocks skip.
SKIPPED = [
    ("Europe/Berlin", date(2026, 3, 29), time(2, 30)),
    ("America/New_York", date(2026, 3, 8), time(2, 15)),
    ("Australia/Lord_Howe", date(2026, 10, 4), time(2, 15)),
]

# Zone, day and time that come twice, and the first of the two in UTC.
TWICE = [
    ("Europe/Berlin", date(2026, 10, 25), time(2, 30), "2026-10-25 00:30"),
    ("America/New_York", date(2026, 11, 1), time(1, 30), "2026-11-01 05:30"),
    ("Australia/Lord_Howe", date(2026, 4, 5), time(1, 45), "2026-04-04 14:45"),
]


@pytest.mark.parametrize(("zone", "utc", "shown"), SHOWN)
def test_zoneinfo_shows_what_the_database_of_zones_says(zone: str, utc: str, shown: str) -> None:
    moment = datetime.fromisoformat(utc).replace(tzinfo=UTC)
    assert moment.astimezone(ZoneInfo(zone)).replace(tzinfo=None) == datetime.fromisoformat(shown)


def test_postgresql_reads_the_same_from_its_own_copy() -> None:
    with psycopg.connect(database.admin_url()) as server:
        read = [
            server.execute("SELECT %s::timestamptz AT TIME ZONE %s", [f"{utc}+00", zone]).fetchone()
            for zone, utc, _ in SHOWN
        ]
    assert read == [(datetime.fromisoformat(shown),) for _, _, shown in SHOWN]


@pytest.mark.parametrize(("zone", "day", "at", "first"), TWICE)
def test_an_hour_that_comes_twice_means_the_first(zone: str, day: date, at: time, first: str) -> None:
    """Europe/Berlin 2026-10-25 02:30 is 00:30 UTC the first time, 01:30 the second."""
    # Compared in UTC: across zones Python calls a moment of a doubled hour equal to nothing (PEP 495).
    in_utc = times.local(day, at, ZoneInfo(zone)).astimezone(UTC)
    assert in_utc.replace(tzinfo=None) == datetime.fromisoformat(first)


@pytest.mark.parametrize(("zone", "day", "at"), SKIPPED)
def test_an_hour_that_is_skipped_is_refused(zone: str, day: date, at: time) -> None:
    with pytest.raises(times.NoSuchTime, match=f"skip {at:%H:%M}"):
        times.local(day, at, ZoneInfo(zone))


def test_a_party_over_the_autumn_change_lasts_an_hour_longer_than_its_clocks_say() -> None:
    """Europe/Berlin, 24 October 2026 22:00 to 25 October 04:00: seven hours."""
    zone = ZoneInfo("Europe/Berlin")
    night = times.Window(
        times.local(date(2026, 10, 24), time(22), zone).astimezone(UTC),
        times.local(date(2026, 10, 25), time(4), zone).astimezone(UTC),
    )
    assert night.length.total_seconds() == 7 * 3600
