"""Occupancy of reusable items: how many are out at once, and when enough are back.

Pure functions on half-open stays ``[start, end)``: a piece can leave again at the moment it comes back.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from studio.measures.times import Window


@dataclass(frozen=True, slots=True)
class Stay:
    """A quantity of one item that is out from ``start`` until ``end``, and what for."""

    start: datetime
    end: datetime
    quantity: int
    label: str = ""


def peak(stays: Iterable[Stay], window: Window) -> int:
    """The largest number out at any moment of ``window``."""
    return max((level for _, level in levels(stays, window)), default=0)


def levels(stays: Iterable[Stay], window: Window) -> list[tuple[datetime, int]]:
    """How many are out after each change within ``window``; the first entry is its start."""
    changes: dict[datetime, int] = {window.start: 0}
    for stay in stays:
        if stay.start < window.end and window.start < stay.end:
            begins = max(stay.start, window.start)
            changes[begins] = changes.get(begins, 0) + stay.quantity
            if stay.end < window.end:
                changes[stay.end] = changes.get(stay.end, 0) - stay.quantity
    level = 0
    found = []
    for moment in sorted(changes):
        level += changes[moment]
        found.append((moment, level))
    return found


def next_free(
    stays: Sequence[Stay], *, start: datetime, length: timedelta, owned: int, needed: int
) -> datetime | None:
    """The first moment from ``start`` on when ``needed`` of ``owned`` are available for ``length``; None if never."""
    if needed > owned:
        return None
    for moment in sorted({start, *(stay.end for stay in stays if stay.end > start)}):
        if peak(stays, Window(moment, moment + length)) + needed <= owned:
            return moment
    return None


def last_return(
    stays: Sequence[Stay], *, now: datetime, until: datetime, owned: int, needed: int
) -> Stay | None:
    """The stay whose return makes ``needed`` of ``owned`` available by ``until``; None if they always are."""
    if now >= until:
        return None
    steps = levels(stays, Window(now, until))
    ends = [moment for moment, _ in steps[1:]] + [until]
    lacking = [end for (_, away), end in zip(steps, ends, strict=True) if away > owned - needed]
    return next((stay for stay in stays if lacking and stay.end == lacking[-1]), None)


def excess(before: Iterable[Stay], after: Iterable[Stay], *, owned: int) -> int:
    """The largest excess of ``after`` over ``owned`` at any moment, beyond the excess of ``before``."""
    was, becomes = list(before), list(after)
    moments = {moment for stay in (*was, *becomes) for moment in (stay.start, stay.end)}
    return max((0, *(_level(becomes, at) - max(owned, _level(was, at)) for at in moments)))


def _level(stays: Iterable[Stay], at: datetime) -> int:
    return sum(stay.quantity for stay in stays if stay.start <= at < stay.end)
