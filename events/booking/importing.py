"""Bookings out of a table or a calendar: each becomes an enquiry of its day, with its client and venue."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from typing import Final

from babel.dates import ParseError, parse_date, parse_time
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.utils import timezone

from events.booking import calendar_file, event_times
from events.booking.enquiry import take_enquiry
from events.contacts import phone_numbers
from events.contacts.clients import region
from events.models import Client, Event, Venue
from studio.measures import times
from studio.models import entered_studio
from studio.paper.csv_table import CsvTable, read_table
from studio.paper.table_preview import Preview
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.ui.columns_form import TableFields

MOST_ROWS: Final = 200
"""Each makes an event with client, venue and history: more at once would keep a page waiting too long."""
MOST_BYTES: Final = 500_000
YEARS: Final = range(2000, 2100)
LONGEST: Final = {
    "title": Event._meta.get_field("title").max_length or 0,
    "client": Client._meta.get_field("name").max_length or 0,
    "venue": Venue._meta.get_field("name").max_length or 0,
}
FIELDS: Final = TableFields(
    labels={
        "title": "Title",
        "day": "Day",
        "ready_by": "Ready by",
        "client": "Client",
        "email": "E-mail address",
        "phone": "Telephone",
        "venue": "Venue",
        "address": "Venue address",
        "notes": "Note for the office",
        "reference": "Number or reference",
        "remark": "Why it is left out",
    },
    headers={
        "title": ("title", "event", "summary", "subject", "occasion", "titel", "anlass", "betreff"),
        "day": ("day", "date", "event date", "start date", "tag", "datum"),
        "ready_by": ("ready by", "time", "start", "start time", "uhrzeit", "zeit", "beginn", "fertig bis"),
        "client": ("client", "customer", "name", "client name", "kunde", "kundin"),
        "email": ("email", "e-mail", "mail", "e-mail-adresse"),
        "phone": ("phone", "telephone", "mobile", "telefon", "handy"),
        "venue": ("venue", "location", "place", "ort"),
        "address": ("venue address", "address", "adresse", "anschrift"),
        "notes": ("notes", "note", "description", "notiz", "notizen", "beschreibung"),
        "reference": ("reference", "number", "id", "booking number", "nummer", "referenz"),
        "remark": ("left out because",),
    },
    required=frozenset({"day"}),
)
"""What a column may say. How tables usually name their columns, in English and German: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Booking:
    """One entry, and what it would do. ``faults`` say why it can't be an event."""

    number: int
    """The line in the file, where the header is line 1, or the entry of a calendar."""
    title: str
    client: str
    ready_by: datetime | None
    email: str = ""
    phone: str = ""
    venue: str = ""
    address: str = ""
    notes: str = ""
    key: str = ""
    """The same reference, or the same title, time and client, is the same booking."""
    known: bool = False
    faults: tuple[str, ...] = ()


def read_bookings_table(content: bytes) -> CsvTable:
    """The table or calendar in the file. Raises :class:`~studio.paper.csv_table.UnreadableFile`."""
    if calendar_file.is_calendar(content):
        zone = entered_studio().tz
        return calendar_file.calendar_table(content, zone=zone, most_rows=MOST_ROWS, most_bytes=MOST_BYTES)
    return read_table(content, most_rows=MOST_ROWS, most_bytes=MOST_BYTES)


def preview(table: CsvTable, columns: Mapping[str, int], usual_time: time) -> Preview[Booking]:
    """What the table would add with these columns; ``usual_time`` is meant where no time is said.

    One query; nothing is written.
    """
    require(Right.EDIT_EVENTS)
    rows = [
        _read(number, row, columns, usual_time) for number, row in enumerate(table.rows, start=table.first)
    ]
    return Preview(tuple(_mark_known(rows)))


def import_bookings(table: CsvTable, columns: Mapping[str, int], usual_time: time) -> int:
    """Take an enquiry for each booking that is new and whole, all or none; returns how many.

    Who is written the same way twice in one file is one client. Twice adds none again. Raises ``ValidationError``.
    """
    require(Right.EDIT_EVENTS)
    new = preview(table, columns, usual_time).new
    clients: dict[tuple[str, str, str], int] = {}
    with transaction.atomic():
        for row in new:
            who = (row.client.casefold(), row.email, row.phone)
            clients[who] = _take(row, clients.get(who)).client_id
    return len(new)


# --- Private ---


def _read(number: int, cells: Sequence[str], columns: Mapping[str, int], usual_time: time) -> Booking:
    said = {field: cells[column] if column < len(cells) else "" for field, column in columns.items()}
    client = said.get("client", "") or said.get("title", "")
    title = said.get("title", "") or client
    faults = [said["remark"]] if said.get("remark") else []
    ready_by = _moment(said, usual_time, faults)
    booking = Booking(
        number,
        title,
        client,
        ready_by,
        said.get("email", "").lower(),
        _phone(said.get("phone", ""), faults),
        said.get("venue", ""),
        said.get("address", ""),
        said.get("notes", ""),
    )
    faults += _faults(booking)
    return replace(booking, key=_key(said.get("reference", ""), booking), faults=tuple(faults))


def _moment(said: Mapping[str, str], usual_time: time, faults: list[str]) -> datetime | None:
    """When it must be ready, by the studio's clocks; what is wrong with it goes to ``faults``."""
    day, clock = _day(said.get("day", "")), _clock(said.get("ready_by", ""), usual_time)
    if day is None or day.year not in YEARS:
        faults.append(f"“{said.get('day', '')}” is no day." if said.get("day") else "There is no day.")
    if clock is None:
        faults.append(f"“{said.get('ready_by', '')}” is no time of day.")
    if faults or day is None or clock is None:
        return None
    try:
        ready_by = times.local(day, clock, entered_studio().tz)
    except times.NoSuchTime as skipped:
        faults.append(str(skipped))
        return None
    if event_times.usual(ready_by=ready_by).out_by <= timezone.now():
        faults.append("This time is past.")
    return ready_by


def _day(text: str) -> date | None:
    """ISO, or numbers in the order in which the studio's language writes days."""
    try:
        return parse_date(text, locale=entered_studio().locale, format="short")
    except (ParseError, ValueError, IndexError):
        return None


def _clock(text: str, usual_time: time) -> time | None:
    if not text:
        return usual_time
    try:
        return parse_time(text, locale=entered_studio().locale, format="short")
    except (ParseError, ValueError, IndexError):
        return None


def _phone(text: str, faults: list[str]) -> str:
    try:
        return phone_numbers.e164(text, region=region())
    except phone_numbers.NotAPhoneNumber as fault:
        faults += fault.messages
        return ""


def _faults(booking: Booking) -> list[str]:
    faults = [] if booking.title else ["There is neither a title nor a client."]
    for field, longest in LONGEST.items():
        if len(getattr(booking, field)) > longest:
            faults.append(f"The {field} is too long.")
    if booking.email:
        try:
            validate_email(booking.email)
        except ValidationError:
            faults.append(f"“{booking.email}” is no e-mail address.")
    return faults


def _key(reference: str, booking: Booking) -> str:
    said = reference or f"{booking.title.casefold()}\n{booking.ready_by}\n{booking.client.casefold()}"
    return f"table-{hashlib.sha256(said.encode()).hexdigest()[:40]}"


def _mark_known(rows: Sequence[Booking]) -> list[Booking]:
    keys = [row.key for row in rows if not row.faults]
    known = set(Event.objects.filter(asked_under__in=keys).values_list("asked_under", flat=True))
    marked = []
    for row in rows:
        marked.append(replace(row, known=row.key in known and not row.faults))
        if not row.faults:
            known.add(row.key)
    return marked


def _take(row: Booking, client_id: int | None) -> Event:
    """Of a client that the file named before, or finds or makes.

    Raises ``ValidationError`` with the number of the entry before each fault.
    """
    assert row.ready_by, "an entry without a time is left out before"
    try:
        return take_enquiry(
            title=row.title,
            client_id=client_id,
            event_windows=event_times.usual(ready_by=row.ready_by),
            client_name=row.client,
            client_email=row.email,
            client_phone=row.phone,
            venue_name=row.venue,
            venue_address=row.address,
            said=row.notes,
            key=row.key,
        )
    except ValidationError as fault:
        raise ValidationError([f"Entry {row.number}: {words}" for words in fault.messages]) from None
