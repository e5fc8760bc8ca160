"""The calendar feed, read by icalendar and by vobject, an independent reader, and held against RFC 5545."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import vobject
from django.core.exceptions import PermissionDenied
from django.test import Client as Browser
from django.utils import timezone
from icalendar import Calendar

from events.booking.event_times import EventWindows
from events.contacts import venues
from events.crew import assigning, calls, feed
from events.jobs import calling_off, changes
from events.models import CrewCall, Event, ShiftKind
from studio import tenancy
from studio.models import LinkPurpose, Membership, PublicLink, Studio
from studio.people import membership, public_links
from studio.tenancy.rights import Role
from tests.events.conftest import agree, stock_up, take
from tests.people import House

# vobject asks the clock the old way.
pytestmark = pytest.mark.filterwarnings("ignore:datetime.datetime.utc:DeprecationWarning")


def path_of(house: House, membership_id: int | None = None, role: str = "owner") -> str:
    with house.enter(role):
        return "/" + feed.open_feed(membership_id).split("/", 3)[3]


def text_of(path: str) -> str:
    page = Browser().get(path)
    assert (page.status_code, page["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    return page.content.decode()


def by_icalendar(text: str) -> dict[str, dict[str, Any]]:
    return {
        str(entry["UID"]): {
            "start": entry.decoded("DTSTART"),
            "end": entry.decoded("DTEND"),
            "summary": str(entry["SUMMARY"]),
            "location": str(entry.get("LOCATION", "")),
            "status": str(entry["STATUS"]),
            "sequence": int(str(entry["SEQUENCE"])),
        }
        for entry in Calendar.from_ical(text).walk("VEVENT")
    }


def by_vobject(text: str) -> dict[str, dict[str, Any]]:
    return {
        entry.uid.value: {
            "start": entry.dtstart.value,
            "end": entry.dtend.value,
            "summary": entry.summary.value,
            "location": entry.location.value if hasattr(entry, "location") else "",
            "status": entry.status.value,
            "sequence": int(entry.sequence.value),
        }
        for entry in vobject.readOne(text).contents.get("vevent", [])
    }


def both(text: str) -> dict[str, dict[str, Any]]:
    """What the feed says, if both readers read the same."""
    found, again = by_icalendar(text), by_vobject(text)
    assert found == again
    return found


def only(text: str) -> dict[str, Any]:
    (entry,) = both(text).values()
    return entry


def test_it_keeps_to_the_shape_of_rfc_5545(wickerlark: House, agreed: Event) -> None:
    """Sections 3.1 (lines of at most 75 octets, CRLF, folding), 3.6 and 3.6.1 (what stands once)."""
    with wickerlark.enter():
        Event.objects.filter(pk=agreed.pk).update(title="Goldene Hochzeit, Łucja; süß " * 5)
    text = text_of(path_of(wickerlark))
    lines = text.encode().split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 for line in lines)
    assert b"\n" not in text.encode().replace(b"\r\n", b"")
    assert any(line.startswith(b" ") for line in lines)
    for name, times in (
        ("PRODID:", 1),
        ("VERSION:2.0", 1),
        ("BEGIN:VEVENT", 1),
        ("UID:", 1),
        ("DTSTAMP:", 1),
    ):
        assert sum(line.decode(errors="ignore").startswith(name) for line in lines) == times
    assert only(text)["summary"] == ("Goldene Hochzeit, Łucja; süß " * 5)[:160]


def test_text_is_escaped_as_section_3_3_11_says(wickerlark: House, agreed: Event) -> None:
    title = "Project; XYZ, Final\\Review"
    with wickerlark.enter():
        Event.objects.filter(pk=agreed.pk).update(title=title)
    text = text_of(path_of(wickerlark))
    assert r"SUMMARY:Project\; XYZ\, Final\\Review" in text
    assert only(text)["summary"] == title


@pytest.mark.parametrize(
    ("zone", "shown", "utc"),
    [
        # IANA time zone database 2026: the night of 24 to 25 October 2026 in Berlin shows 02:30 twice.
        ("Europe/Berlin", datetime(2027, 3, 28, 1, 30), datetime(2027, 3, 28, 0, 30)),
        ("Europe/Berlin", datetime(2027, 3, 28, 3, 30), datetime(2027, 3, 28, 1, 30)),
        ("America/New_York", datetime(2027, 3, 14, 3, 30), datetime(2027, 3, 14, 7, 30)),
        ("America/New_York", datetime(2027, 7, 1, 16), datetime(2027, 7, 1, 20)),
    ],
)
def test_times_are_right_across_daylight_saving(
    wickerlark: House, zone: str, shown: datetime, utc: datetime
) -> None:
    with wickerlark.enter():
        stock_up()
        venue = venues.add_venue(name="Hall", zone=zone)
        ready = shown.replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)
        event = take(ready_by=ready, venue_id=venue.pk)
    entry = only(text_of(path_of(wickerlark)))
    assert entry["start"] == event.load_out_at
    assert ready == utc.replace(tzinfo=UTC)
    clock = f"{shown:%-I:%M}\u00a0{shown:%p}".lower()
    assert f"Ready by {clock} on {shown:%a %b %-d, %Y}" in re.sub(
        r"\r\n ", "", text_of(path_of(wickerlark))
    ).replace("\\,", ",")


def test_tentative_agreed_and_called_off_are_the_three_states_of_section_3_8_1_11(wickerlark: House) -> None:
    path = path_of(wickerlark)
    with wickerlark.enter():
        stock_up()
        event = take()
    states = [only(text_of(path))["status"]]
    with wickerlark.enter():
        agree(event)
    states.append(only(text_of(path))["status"])
    with wickerlark.enter():
        calling_off.call_off(event.pk)
    states.append(only(text_of(path))["status"])
    assert states == ["TENTATIVE", "CONFIRMED", "CANCELLED"]


def test_a_moved_event_keeps_its_uid_and_raises_its_sequence(wickerlark: House, agreed: Event) -> None:
    path = path_of(wickerlark)
    ((uid, before),) = both(text_of(path)).items()
    later = timedelta(hours=2)
    with wickerlark.enter():
        windows = EventWindows(
            agreed.access_from + later, agreed.ready_by + later, None, agreed.strike_from + later,
            agreed.out_by + later,
        )  # fmt: skip
        changes.move(agreed.pk, windows, seen_version=agreed.version)
    ((same, after),) = both(text_of(path)).items()
    assert same == uid
    assert after["sequence"] > before["sequence"]
    assert after["start"] - before["start"] == later


def test_a_persons_feed_holds_their_calls_and_follows_their_answer(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        number = Membership.objects.get(person=wickerlark.crew).pk
        call = assigning.assign_person(agreed.pk, ShiftKind.INSTALL, number)
    path = path_of(wickerlark, number, "crew")
    first = only(text_of(path))
    assert (first["status"], first["start"], first["end"]) == (
        "TENTATIVE", call.shift.starts_at, call.shift.ends_at,
    )  # fmt: skip
    said = []
    for yes in (True, False):
        with wickerlark.enter("crew"):
            calls.answer(call.pk, yes=yes)
        said.append(only(text_of(path)))
    assert [each["status"] for each in said] == ["CONFIRMED", "CANCELLED"]
    assert first["sequence"] < said[0]["sequence"] < said[1]["sequence"]
    with wickerlark.enter():
        assert CrewCall.objects.count() == 1


def test_prep_is_done_at_the_studio_and_the_rest_at_the_venue(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        Studio.objects.filter(pk=wickerlark.studio.pk).update(address="Rope Walk 12\nPort Ellery")
        venue = venues.find_or_add_venue(name="Boathouse", address="Quay Street 3")
        Event.objects.filter(pk=agreed.pk).update(venue=venue)
        membership_id = Membership.objects.get(person=wickerlark.crew).pk
        for kind in (ShiftKind.PREP, ShiftKind.INSTALL):
            assigning.assign_person(agreed.pk, kind, membership_id)
    found = both(text_of(path_of(wickerlark, membership_id, "crew"))).values()
    assert [entry["location"] for entry in sorted(found, key=lambda entry: entry["start"])] == [
        "Wickerlark Decor, Rope Walk 12 Port Ellery",
        "Boathouse, Quay Street 3",
    ]


def test_an_address_is_closed_by_a_newer_one_by_hand_and_with_the_membership(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        number = Membership.objects.get(person=wickerlark.crew).pk
    first, second = (path_of(wickerlark, number, "crew") for _ in range(2))
    assert first != second
    assert len(first.rsplit("/", 1)[1]) >= 22 + len(".ics")  # 128 bits or more
    assert Browser().get(first).status_code == 404
    assert Browser().get(second).status_code == 200
    with wickerlark.enter("crew"):
        feed.close_feed(number)
    assert Browser().get(second).status_code == 404
    third = path_of(wickerlark, number, "crew")
    with tenancy.entered(wickerlark.studio.pk):
        Membership.objects.filter(pk=number).delete()
    assert Browser().get(third).status_code == 404
    assert Browser().get("/calendar/" + "x" * 32 + ".ics").status_code == 404


def test_crew_open_their_own_feed_only(wickerlark: House) -> None:
    with wickerlark.enter():
        staff = Membership.objects.get(person=wickerlark.staff).pk
    for membership_id in (None, staff):
        with (
            wickerlark.enter("crew"),
            pytest.raises(
                PermissionDenied, match=r"doesn't allow you to (edit events|invite and remove people)"
            ),
        ):
            feed.open_feed(membership_id)


def test_a_feed_says_nothing_of_another_studio_and_changes_nothing(
    wickerlark: House, federkorn: House, agreed: Event
) -> None:
    empty = text_of(path_of(federkorn))
    assert both(empty) == {}
    assert Browser().post(path_of(federkorn)).status_code == 405


@pytest.mark.parametrize("how", ["removed", "demoted"])
def test_the_studios_calendar_ends_for_whoever_no_longer_runs_events(
    wickerlark: House, agreed: Event, how: str
) -> None:
    taken, kept = path_of(wickerlark, role="staff"), path_of(wickerlark, role="owner")
    assert both(text_of(taken)) == both(text_of(kept)) != {}
    with wickerlark.enter():
        number = Membership.objects.get(person=wickerlark.staff).pk
        if how == "removed":
            membership.remove(number)
        else:
            membership.change_role(number, Role.CREW)
    assert Browser().get(taken).status_code == 404
    assert Browser().get(kept).status_code == 200, "everybody has an address of their own"


def test_an_address_lasts_a_year_at_most_also_one_given_out_for_ten(wickerlark: House, agreed: Event) -> None:
    path = path_of(wickerlark)
    with wickerlark.enter():
        link = PublicLink.objects.get(purpose=LinkPurpose.FEED)
        assert link.expires_at <= timezone.now() + timedelta(days=365)
        ten_years = link.made_at + timedelta(days=3650)
        PublicLink.objects.filter(pk=link.pk).update(
            expires_at=ten_years, made_at=link.made_at - timedelta(days=366)
        )
        assert not feed.is_open(None)
    assert Browser().get(path).status_code == 404


def test_an_address_of_before_that_names_nobody_opens_nothing(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        expires_at = timezone.now() + timedelta(days=3650)
        made = public_links.make(LinkPurpose.FEED, subject_id=0, expires_at=expires_at)
    assert Browser().get(f"/calendar/{made.token}.ics").status_code == 404
    with wickerlark.enter():
        assert not feed.is_open(None)
