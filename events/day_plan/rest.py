"""Work and rest by the clock: double calls, daily rest, the week. Pure.

Rest and week are those of Directive 2003/88/EC of the European Parliament and of the Council: article 3, eleven
consecutive hours in every period of 24; article 5, once in every seven days 24 hours on top of those; article 6, 48
hours in every seven days, overtime included (the directive lets a state average them; here every seven days count,
which is stricter). A studio sets its own figures; the law of its place decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from studio.measures.times import Window

DAY: Final = timedelta(hours=24)
WEEK: Final = timedelta(days=7)


def overlaps(shifts: Sequence[Window]) -> list[tuple[Window, Window]]:
    """Pairs of neighbours that share a moment."""
    return [(first, second) for first, second in pairwise(sorted(shifts)) if first.overlaps(second)]


def working_days(shifts: Sequence[Window], rest: timedelta) -> list[Window]:
    """Shifts joined wherever less than ``rest`` lies between them, in order."""
    found: list[tuple[datetime, datetime]] = []
    for shift in sorted(shifts):
        if found and shift.start - found[-1][1] < rest:
            start, end = found[-1]
            found[-1] = start, max(end, shift.end)
        else:
            found.append((shift.start, shift.end))
    return [Window(start, end) for start, end in found]


def too_little_rest(shifts: Sequence[Window], rest: timedelta, period: timedelta = DAY) -> list[Window]:
    """Find work in whose ``period`` no ``rest`` in one piece is left: what is longer than the period less the rest."""
    if not rest:
        return []
    return [block for block in working_days(shifts, rest) if block.length > period - rest]


def fullest_week(shifts: Sequence[Window]) -> tuple[timedelta, Window | None]:
    """The seven days in which most is worked, and how much; what overlaps counts once."""
    merged = working_days(shifts, timedelta(microseconds=1))
    best: tuple[timedelta, Window | None] = (timedelta(), None)
    for first in merged:
        span = Window(first.start, first.start + WEEK)
        worked = sum(
            (min(each.end, span.end) - each.start for each in merged if span.start <= each.start < span.end),
            timedelta(),
        )
        if worked > best[0]:
            best = (worked, span)
    return best
