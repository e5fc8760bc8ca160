"""Bookings come out of tables and calendars: each an enquiry, known ones once, wrong ones said and left out."""

from __future__ import annotations

import csv
import io
from datetime import datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import vobject
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from events.booking import importing
from events.booking.calendar_file import COLUMNS, calendar_table
from events.booking.enquiry import take_enquiry
from events.models import Client, Event, Status, Venue
from studio.models import Studio
from studio.paper.csv_table import CsvTable, UnreadableFile
from studio.paper.table_preview import Preview
from tests.people import House

pytestmark = pytest.mark.django_db

NEW_YORK = ZoneInfo("America/New_York")
FOUR = time(16)
NEXT_YEAR = timezone.now().year + 1
# RFC 5545, section 3.6.1, two of its examples: a review by the clock, and a day that is taken every year.
EXAMPLES = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//ABC Corporation//NONSGML My Product//EN
BEGIN:VEVENT
UID:19970901T130000Z-123401@example.com
DTSTAMP:19970901T130000Z
DTSTART:19970903T163000Z
DTEND:19970903T190000Z
SUMMARY:Annual Employee Review
CLASS:PRIVATE
CATEGORIES:BUSINESS,HUMAN RESOURCES
END:VEVENT
BEGIN:VEVENT
UID:19970901T130000Z-123403@example.com
DTSTAMP:19970901T130000Z
DTSTART;VALUE=DATE:19971102
SUMMARY:Our Blissful Anniversary
TRANSP:TRANSPARENT
CLASS:CONFIDENTIAL
CATEGORIES:ANNIVERSARY,PERSONAL,SPECIAL OCCASION
RRULE:FREQ=YEARLY
END:VEVENT
END:VCALENDAR
"""


def written(*rows: tuple[str, ...], head: tuple[str, ...]) -> bytes:
    # Written by the standard library, not by us.
    out = io.StringIO()
    csv.writer(out).writerows([head, *rows])
    return out.getvalue().encode()


def found_in(table: CsvTable) -> Preview[importing.Booking]:
    return importing.preview(table, importing.FIELDS.guess(table.names), FOUR)


def send(house: House, content: bytes, role: str = "owner") -> Any:
    upload = SimpleUploadedFile("bookings.csv", content, "text/csv")
    return house.client(role).post(house.url("events:bookings-import"), {"file": upload})


def test_a_table_of_bookings_is_looked_at_first_and_then_added(wickerlark: House) -> None:
    head = ("Date", "Time", "Customer", "E-mail", "Venue", "Notes", "Number")
    content = written(
        (f"6/12/{NEXT_YEAR}", "2:30 pm", "Hanna Weiss", "hanna@weiss.example", "Boathouse", "sage", "B-7"),
        (f"{NEXT_YEAR}-06-13", "", "Tam Reed", "", "boathouse", "", "B-8"),
        head=head,
    )
    page = " ".join(send(wickerlark, content).content.decode().split())
    assert "2 new, 0 known already" in page
    assert "2:30 pm" in page
    with wickerlark.enter():
        assert not Event.objects.exists()
    columns = {
        "day": "0",
        "ready_by": "1",
        "client": "2",
        "email": "3",
        "venue": "4",
        "notes": "5",
        "reference": "6",
    }
    said = {"table": content.decode(), **columns, "usual_time": "16:00", "import": "1"}
    assert wickerlark.client().post(wickerlark.url("events:bookings-import"), said).status_code == 302
    with wickerlark.enter():
        hanna, tam = Event.objects.order_by("ready_by")
        assert (hanna.title, hanna.client.email, hanna.status) == (
            "Hanna Weiss", "hanna@weiss.example", Status.TENTATIVE,
        )  # fmt: skip
        assert hanna.ready_by == datetime(NEXT_YEAR, 6, 12, 14, 30, tzinfo=NEW_YORK)
        assert tam.ready_by == datetime(NEXT_YEAR, 6, 13, 16, tzinfo=NEW_YORK)
        assert hanna.venue == tam.venue == Venue.objects.get()
        assert any("sage" in entry.text for entry in hanna.log.all())


def test_the_studios_language_says_which_number_is_the_month(wickerlark: House) -> None:
    table = CsvTable(("Date", "Client"), ((f"03.04.{NEXT_YEAR}", "Hanna"),))
    with wickerlark.enter():
        assert found_in(table).rows[0].ready_by == datetime(NEXT_YEAR, 3, 4, 16, tzinfo=NEW_YORK)
        Studio.objects.filter(pk=wickerlark.studio.pk).update(locale="de_DE")
    with wickerlark.enter():
        assert found_in(table).rows[0].ready_by == datetime(NEXT_YEAR, 4, 3, 16, tzinfo=NEW_YORK)


def test_the_examples_of_the_calendar_standard_are_read() -> None:
    table = calendar_table(EXAMPLES.encode(), zone=NEW_YORK, most_rows=9, most_bytes=9_999)
    review, anniversary = (dict(zip(COLUMNS, row, strict=True)) for row in table.rows)
    assert (review["title"], review["day"], review["ready by"]) == (
        "Annual Employee Review", "1997-09-03", "12:30",
    )  # fmt: skip
    assert (anniversary["day"], anniversary["ready by"]) == ("1997-11-02", "")
    assert "repeated" in anniversary["left out because"]


def calendar_of(*entries: dict[str, Any]) -> bytes:
    # Written by vobject, an independent library.
    calendar = vobject.iCalendar()
    for entry in entries:
        event = calendar.add("vevent")
        for name, value in entry.items():
            event.add(name).value = value
    return str(calendar.serialize()).encode()


def test_a_calendar_becomes_enquiries_once(wickerlark: House) -> None:
    start = datetime(NEXT_YEAR, 7, 3, 18, tzinfo=vobject.icalendar.utc)
    content = calendar_of(
        {"summary": "Rowing supper", "dtstart": start, "uid": "a-1", "location": "Boathouse, Quay Street 3"},
        {"summary": "Called off", "dtstart": start, "uid": "a-2", "status": "CANCELLED"},
        {"summary": "All day", "dtstart": (start + timedelta(days=9)).date(), "uid": "a-3"},
    )
    with wickerlark.enter():
        table = importing.read_bookings_table(content)
        columns = importing.FIELDS.guess(table.names)
        assert [row.faults for row in found_in(table).wrong] == [("This one was called off.",)]
        assert importing.import_bookings(table, columns, FOUR) == 2
        assert importing.import_bookings(table, columns, FOUR) == 0
        supper, whole_day = Event.objects.order_by("ready_by")
        assert supper.venue
        assert (supper.title, supper.ready_by) == ("Rowing supper", start)
        assert (supper.venue.name, supper.venue.address) == ("Boathouse", "Quay Street 3")
        assert whole_day.ready_by.astimezone(NEW_YORK).time() == FOUR


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (("", "Hanna", "", ""), "There is no day."),
        (("soon", "Hanna", "", ""), "“soon” is no day."),
        (("2001-01-05", "Hanna", "", ""), "This time is past."),
        ((f"{NEXT_YEAR}-02-30", "Hanna", "", ""), "is no day."),
        ((f"{NEXT_YEAR}-02-03", "Hanna", "late", ""), "“late” is no time of day."),
        ((f"{NEXT_YEAR}-02-03", "", "", ""), "There is neither a title nor a client."),
        ((f"{NEXT_YEAR}-02-03", "H" * 121, "", ""), "The client is too long."),
        ((f"{NEXT_YEAR}-02-03", "Hanna", "", "nowhere"), "is no e-mail address."),
    ],
)
def test_an_entry_that_is_no_booking_says_why_and_is_left_out(
    wickerlark: House, row: tuple[str, ...], said: str
) -> None:
    good = (f"{NEXT_YEAR}-02-04", "Tam", "", "")
    with wickerlark.enter():
        found = found_in(CsvTable(("Day", "Client", "Time", "E-mail"), (row, good)))
        assert [each.client for each in found.new] == ["Tam"]
        assert said in " ".join(found.wrong[0].faults)


def test_an_entry_that_is_refused_takes_all_back(wickerlark: House, monkeypatch: pytest.MonkeyPatch) -> None:
    table = CsvTable(("Day", "Client"), ((f"{NEXT_YEAR}-02-03", "Hanna"), (f"{NEXT_YEAR}-02-04", "Tam")))

    def refusing(**facts: Any) -> Event:
        if facts["client_name"] == "Tam":
            raise ValidationError("Not this one.")
        return take_enquiry(**facts)

    monkeypatch.setattr(importing, "take_enquiry", refusing)
    with wickerlark.enter():
        with pytest.raises(ValidationError, match="Entry 3: Not this one"):
            importing.import_bookings(table, importing.FIELDS.guess(table.names), FOUR)
        assert not Event.objects.exists()
        assert not Client.objects.exists()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"BEGIN:VCALENDAR\nBEGIN:VEVENT\nDTSTART:whenever\nEND:VEVENT\nEND:VCALENDAR\n", "can’t be read"),
        (b"BEGIN:VCALENDAR\nno", "can’t be read"),
        (b"BEGIN:VCALENDAR\xff", "UTF-8"),
    ],
)
def test_what_is_no_calendar_is_refused_in_words(wickerlark: House, content: bytes, said: str) -> None:
    answer = send(wickerlark, content)
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_too_many_entries_are_refused() -> None:
    content = calendar_of(
        *(
            {"summary": str(n), "dtstart": datetime(2030, 1, 1, tzinfo=vobject.icalendar.utc)}
            for n in range(3)
        )
    )
    with pytest.raises(UnreadableFile, match="3 entries are too many"):
        calendar_table(content, zone=NEW_YORK, most_rows=2, most_bytes=9_999)


def test_crew_import_nothing(wickerlark: House) -> None:
    assert (
        send(wickerlark, written(("2030-01-01", "Hanna"), head=("Day", "Client")), "crew").status_code == 403
    )


def test_a_booking_that_stands_twice_is_one(wickerlark: House) -> None:
    row = (f"{NEXT_YEAR}-02-04", "Tam")
    with wickerlark.enter():
        found = found_in(CsvTable(("Day", "Client"), (row, row)))
        assert (len(found.new), found.known_count) == (1, 1)


def test_who_is_written_the_same_way_twice_is_one_client(wickerlark: House) -> None:
    rows = (
        (f"{NEXT_YEAR}-02-04", "Tam Reed"),
        (f"{NEXT_YEAR}-03-04", "tam reed"),
        (f"{NEXT_YEAR}-04-04", "Ada"),
    )
    with wickerlark.enter():
        table = CsvTable(("Day", "Client"), rows)
        assert importing.import_bookings(table, importing.FIELDS.guess(table.names), FOUR) == 3
        assert sorted(Client.objects.values_list("name", flat=True)) == ["Ada", "Tam Reed"]


def test_times_are_by_the_studios_clocks_also_at_a_venue_in_another_zone(wickerlark: House) -> None:
    with wickerlark.enter():
        Venue.objects.create(name="Pier", zone="America/Los_Angeles")
        table = CsvTable(("Day", "Client", "Venue"), ((f"{NEXT_YEAR}-06-12", "Hanna", "Pier"),))
        (shown,) = found_in(table).rows
        importing.import_bookings(table, importing.FIELDS.guess(table.names), FOUR)
        event = Event.objects.get()
        assert event.ready_by == shown.ready_by == datetime(NEXT_YEAR, 6, 12, 16, tzinfo=NEW_YORK)
        assert event.zone == "America/Los_Angeles"
