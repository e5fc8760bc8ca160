"""The studio's working hours as a clock of their own: minutes that count only while the door is open. Pure."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from studio.measures import times
from studio.measures.times import Window


@dataclass(frozen=True, slots=True)
class WorkingHours:
    """Windows in order that share no moment. Aware moments in, UTC out."""

    windows: tuple[Window, ...]

    def minutes_between(self, start: datetime, end: datetime) -> float:
        """How many working minutes lie between; nought where ``end`` is earlier."""
        found = timedelta()
        for window in self.windows:
            shared = min(window.end, end) - max(window.start, start)
            found += max(shared, timedelta())
        return found / timedelta(minutes=1)

    def back(self, moment: datetime, minutes: float) -> datetime:
        """The latest moment after which ``minutes`` of work fit before ``moment``."""
        left = timedelta(minutes=minutes)
        moment = moment.astimezone(UTC)
        place = bisect_right(self.windows, moment, key=lambda window: window.start)
        for window in reversed(self.windows[:place]):
            end = min(window.end, moment)
            if end - window.start >= left:
                return end - left
            left -= end - window.start
        return (self.windows[0].start if self.windows else moment) - left


def daily(first: date, last: date, starts: time, ends: time, zone: ZoneInfo) -> WorkingHours:
    """The same hours every day, by the clocks of ``zone``; a skipped hour moves to the next that exists."""
    windows = []
    for number in range((last - first).days + 1):
        day = first + timedelta(days=number)
        windows.append(Window(_moment(day, starts, zone), _moment(day, ends, zone)))
    return WorkingHours(tuple(windows))


def whole_days(first: date, last: date, zone: ZoneInfo) -> WorkingHours:
    """Every day from midnight to midnight by the clocks of ``zone``, 23 or 25 hours long when they change."""
    days = [first + timedelta(days=number) for number in range((last - first).days + 2)]
    starts = [_moment(day, time(), zone) for day in days]
    return WorkingHours(tuple(Window(start, end) for start, end in pairwise(starts)))


def _moment(day: date, at: time, zone: ZoneInfo) -> datetime:
    try:
        return times.local(day, at, zone)
    except times.NoSuchTime:
        # Reading the skipped time as if clocks had not changed yet gives the moment they jump over.
        return datetime.combine(day, at, zone).astimezone(UTC)
