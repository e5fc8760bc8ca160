"""Dates and times: aware inside; on the page in the zone of the studio or of the venue."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cache, lru_cache
from zoneinfo import ZoneInfo, available_timezones

from babel.dates import format_date, format_skeleton, format_time


class NoSuchTime(ValueError):
    """A time that a zone's clocks never show: daylight saving skips it."""


class WindowReversed(ValueError):
    """A window whose end isn't after its start."""


@cache
def zone_names() -> frozenset[str]:
    """Every name of the IANA time-zone database; the machine's files are read the first time only."""
    return frozenset(available_timezones())


@cache
def zones_of_places() -> tuple[str, ...]:
    """The zones that a page offers, in order: those named for a place, and UTC."""
    return tuple(sorted(name for name in zone_names() if "/" in name or name == "UTC"))


@dataclass(frozen=True, order=True)
class Window:
    """A span of time, aware, half open: ``start`` belongs to it, ``end`` doesn't.

    Both ends are kept in UTC: Python compares and subtracts times of one zone by the clock on the wall, which is an
    hour out on the nights when clocks change.
    """

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        if self.start.tzinfo is None or self.end.tzinfo is None:
            raise ValueError("A window needs aware times: give both a zone.")
        object.__setattr__(self, "start", self.start.astimezone(UTC))
        object.__setattr__(self, "end", self.end.astimezone(UTC))
        if self.end <= self.start:
            raise WindowReversed("The end must come after the start.")

    def overlaps(self, other: Window) -> bool:
        """Whether the two share a moment; touching ends share none."""
        return self.start < other.end and other.start < self.end

    @property
    def length(self) -> timedelta:
        """How long it lasts."""
        return self.end - self.start


def local(day: date, at: time, zone: ZoneInfo) -> datetime:
    """The moment, in UTC, at which a zone's clocks show ``at`` on ``day``.

    An hour that comes twice means the first; one that is skipped raises :class:`NoSuchTime`.
    """
    wanted = datetime.combine(day, at.replace(tzinfo=None, fold=0), zone)
    moment = wanted.astimezone(UTC)
    after = moment.astimezone(zone)
    if after.replace(tzinfo=None) != wanted.replace(tzinfo=None):
        raise NoSuchTime(
            f"Clocks in {zone.key} skip {at:%H:%M} on {day:%a %d %b %Y} (daylight saving): "
            f"{after:%H:%M} is the same moment."
        )
    return moment


def day_written(moment: datetime | date, locale: str) -> str:
    """``Sat Dec 12``, ``Sat 12 Dec`` or ``Sa., 12. Dez.``: the year is added where it isn't this one.

    The order, the words and the dots are those of the Unicode Common Locale Data Repository; English goes without the
    comma after the weekday.

    >>> day_written(date(2001, 12, 15), "en_US"), day_written(date(2001, 12, 15), "de_DE")
    ('Sat Dec 15, 2001', 'Sa., 15. Dez. 2001')
    """
    skeleton = "MMMEd" if moment.year == datetime.now(UTC).year else "yMMMEd"
    return _date_in(_day_of(moment), skeleton, locale)


def date_written(moment: datetime | date, locale: str) -> str:
    """``Dec 12`` or ``12 Dec``: without its weekday."""
    return _date_in(_day_of(moment), "MMMd", locale)


def month_written(moment: datetime | date, locale: str, *, year: bool = True) -> str:
    """``December 2026``, or ``December`` without its year."""
    day = _day_of(moment)
    return _date_in(day, "yMMMM", locale) if year else _named_in(day, "LLLL", locale)


def weekday_written(moment: datetime | date, locale: str, *, whole: bool = False) -> str:
    """``Sat``, or ``Saturday`` as a whole."""
    return _named_in(_day_of(moment), "EEEE" if whole else "EEE", locale)


def time_written(moment: datetime | time, locale: str) -> str:
    """``4:00 pm`` or ``16:00``; the space never breaks.

    >>> time_written(time(16), "en_GB")
    '16:00'
    """
    return _time_in(time(moment.hour, moment.minute), locale)


# --- Private ---


def _day_of(moment: datetime | date) -> date:
    return moment.date() if isinstance(moment, datetime) else moment


# A calendar writes the same days and hours over and over.
@lru_cache(maxsize=4096)
def _date_in(day: date, skeleton: str, locale: str) -> str:
    written = format_skeleton(skeleton, day, locale=locale)
    return re.sub(r"^(\w+), ", r"\1 ", written) if locale.startswith("en") else written


@lru_cache(maxsize=4096)
def _named_in(day: date, pattern: str, locale: str) -> str:
    return format_date(day, pattern, locale=locale)


@lru_cache(maxsize=4096)
def _time_in(clock: time, locale: str) -> str:
    written = format_time(clock, "short", locale=locale).replace("\u202f", "\u00a0")
    return written.lower() if locale.startswith("en") else written
