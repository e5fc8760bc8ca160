"""Dates and times: aware inside; on the page in the zone of the studio or of the venue."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_time


class NoSuchTime(ValueError):
    """A time that a zone's clocks never show: daylight saving skips it."""


class WindowReversed(ValueError):
    """A window whose end isn't after its start."""


@dataclass(frozen=True, order=True)
class Window:
    """A span of time, aware, half open: ``start`` belongs to it, ``end`` doesn't."""

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        if self.start.tzinfo is None or self.end.tzinfo is None:
            raise ValueError("A window needs aware times: give both a zone.")
        if self.end <= self.start:
            raise WindowReversed(f"The end ({self.end:%d %b %H:%M}) must come after the start ({self.start:%d %b %H:%M}).")

    def overlaps(self, other: Window) -> bool:
        """Whether the two share a moment; touching ends share none."""
        return self.start < other.end and other.start < self.end

    @property
    def length(self) -> timedelta:
        """How long it lasts."""
        return self.end - self.start


def local(day: date, at: time, zone: ZoneInfo) -> datetime:
    """The moment at which a zone's clocks show ``at`` on ``day``.

    An hour that comes twice means the first; one that is skipped raises :class:`NoSuchTime`.
    """
    moment = datetime.combine(day, at.replace(tzinfo=None, fold=0), zone)
    if moment.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != moment.replace(tzinfo=None):
        after = moment.astimezone(UTC).astimezone(zone)
        raise NoSuchTime(
            f"Clocks in {zone.key} skip {at:%H:%M} on {day:%a %d %b %Y} (daylight saving): "
            f"{after:%H:%M} is the same moment."
        )
    return moment


def comes_twice(day: date, at: time, zone: ZoneInfo) -> bool:
    """Whether daylight saving shows ``at`` twice on ``day``."""
    first = datetime.combine(day, at.replace(tzinfo=None, fold=0), zone)
    second = first.replace(fold=1)
    return first.utcoffset() > second.utcoffset()  # type: ignore[operator]


def day_written(moment: datetime | date, locale: str = "en_US") -> str:
    """``Sat 14 Nov``: never digits alone; the year is added where it isn't this one."""
    pattern = "EEE d MMM" if moment.year == datetime.now(UTC).year else "EEE d MMM y"
    return format_date(moment, pattern, locale=locale)


def time_written(moment: datetime | time, locale: str = "en_US") -> str:
    """``16:00``."""
    return format_time(moment, "HH:mm", locale=locale)
