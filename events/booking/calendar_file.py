"""Calendar files that people bring (iCalendar, RFC 5545), as a table of bookings."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Final
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event

from studio.paper.csv_table import CsvTable, UnreadableFile, file_text

COLUMNS: Final = (
    "title",
    "day",
    "ready by",
    "e-mail",
    "venue",
    "address",
    "notes",
    "reference",
    "left out because",
)
MAILTO: Final = "mailto:"


def is_calendar(content: bytes) -> bool:
    """Whether a file begins as calendars do.

    >>> is_calendar(b"BEGIN:VCALENDAR")
    True
    """
    return content.removeprefix(b"\xef\xbb\xbf").lstrip()[:15].upper() == b"BEGIN:VCALENDAR"


def calendar_table(content: bytes, *, zone: ZoneInfo, most_rows: int, most_bytes: int) -> CsvTable:
    """The entries of a calendar with :data:`COLUMNS`; times as clocks in ``zone`` show them.

    Raises :class:`~studio.paper.csv_table.UnreadableFile`.
    """
    text = file_text(content, most_bytes=most_bytes)
    try:
        calendars = Calendar.from_ical(text, multiple=True)
        rows = tuple(_row(entry, zone) for calendar in calendars for entry in _entries(calendar))
    except (ValueError, KeyError, IndexError):
        raise UnreadableFile(
            "This calendar file can’t be read. Export it again as iCalendar (.ics)."
        ) from None
    if len(rows) > most_rows:
        raise UnreadableFile(f"{len(rows):,} entries are too many. Import at most {most_rows:,} at once.")
    return CsvTable(COLUMNS, rows, first=1)


# --- Private ---


def _entries(calendar: Calendar) -> Iterator[Event]:
    """Entries of days; one that changes a single day of a repeated entry is that entry's matter."""
    for entry in calendar.walk("VEVENT"):
        if isinstance(entry, Event) and "DTSTART" in entry and "RECURRENCE-ID" not in entry:
            yield entry


def _row(entry: Event, zone: ZoneInfo) -> tuple[str, ...]:
    day, clock = _start(entry.start, zone)
    place, _, address = _said(entry, "LOCATION").replace("\n", ", ").partition(",")
    return (
        _said(entry, "SUMMARY"),
        day,
        clock,
        _address(entry),
        place.strip(),
        address.strip(),
        _said(entry, "DESCRIPTION"),
        _said(entry, "UID"),
        _remark(entry),
    )


def _start(start: date | datetime, zone: ZoneInfo) -> tuple[str, str]:
    """ISO day and clock; an entry of a whole day has no clock. A time without a zone is meant at the studio."""
    if not isinstance(start, datetime):
        return start.isoformat(), ""
    there = start.astimezone(zone) if start.tzinfo else start
    return there.date().isoformat(), f"{there:%H:%M}"


def _said(entry: Event, name: str) -> str:
    return str(entry.get(name, "")).strip()


def _address(entry: Event) -> str:
    """The address of the only guest; of several, nobody knows which is the client."""
    guests = entry.get("ATTENDEE", [])
    addresses = [str(guest) for guest in (guests if isinstance(guests, list) else [guests])]
    if len(addresses) != 1 or not addresses[0].lower().startswith(MAILTO):
        return ""
    return addresses[0][len(MAILTO) :]


def _remark(entry: Event) -> str:
    """Why an entry can't be a booking as it stands."""
    if _said(entry, "STATUS").upper() == "CANCELLED":
        return "This one was called off."
    if "RRULE" in entry or "RDATE" in entry:
        return "It is repeated. Add each day on its own."
    return ""
