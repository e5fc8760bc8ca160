"""Days and times as the entered studio writes them; as in the United States where no studio is entered."""

from __future__ import annotations

from datetime import date, datetime, time

from studio.measures import times
from studio.models.studio import written_locale


def day_written(moment: datetime | date) -> str:
    """``Sat Dec 12``, ``Sat 12 Dec`` or ``Sa., 12. Dez.``; the year is added where it isn't this one."""
    return times.day_written(moment, written_locale())


def time_written(moment: datetime | time) -> str:
    """``4:00 pm`` or ``16:00``."""
    return times.time_written(moment, written_locale())


def moment_written(moment: datetime) -> str:
    """``Sat Dec 12, 4:00 pm``."""
    return f"{day_written(moment)}, {time_written(moment)}"


def weekday_written(moment: datetime | date, *, whole: bool = False) -> str:
    """``Sat``, or ``Saturday`` as a whole."""
    return times.weekday_written(moment, written_locale(), whole=whole)


def date_written(moment: datetime | date) -> str:
    """``Dec 12``: without its weekday."""
    return times.date_written(moment, written_locale())


def month_written(moment: datetime | date, *, year: bool = True) -> str:
    """``December 2026``, or ``December`` without its year."""
    return times.month_written(moment, written_locale(), year=year)
