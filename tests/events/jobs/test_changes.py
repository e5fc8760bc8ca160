"""Moving an event and correcting it: the stock goes with it, or nothing changes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404

from events.booking import event_times
from events.booking.enquiry import Wanted
from events.booking.event_lock import ChangedMeanwhile
from events.booking.event_times import EventWindows, WindowsOutOfOrder
from events.contacts import venues
from events.jobs import changes
from events.models import Event
from stock.models import Hold, HoldLine
from studio.measures import times
from tests.events.conftest import BILL, agree, days_ahead, stock_up, take
from tests.people import House


def later(event: Event, days: int) -> EventWindows:
    """The same hours so many days later."""
    return event_times.usual(ready_by=event.ready_by + timedelta(days=days))


def details(event: Event, **more: object) -> Event:
    """Correct the event; what isn't said stays."""
    facts = {
        "title": event.title,
        "venue_id": event.venue_id,
        "wanted": Wanted(),
        "notes": "",
        "seen_version": event.version,
    }
    return changes.change_details(event.pk, **{**facts, **more})  # type: ignore[arg-type] # each has its field's type


def test_moving_an_agreed_event_moves_its_hold(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        changes.move(agreed.pk, later(agreed, 3), seen_version=agreed.version)
        moved = Event.objects.get()
        assert moved.ready_by == agreed.ready_by + timedelta(days=3)
        assert moved.version == agreed.version + 1
        hold = Hold.objects.get()
        assert (hold.starts_at, hold.ends_at) == (moved.load_out_at, moved.back_at)
        assert set(HoldLine.objects.values_list("busy_from", flat=True)) == {moved.load_out_at}


def test_an_event_is_not_moved_to_where_its_frames_are_promised(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = take(days=10), take("Supper", days=14)
        agree(first, bill=(BILL[2], BILL[2]))
        agree(second, key="other")
        first.refresh_from_db()
        with pytest.raises(changes.CannotMove, match="Ring 6 ft: 1 free of 2 needed"):
            changes.move(first.pk, later(first, 4), seen_version=first.version)
        unmoved = Event.objects.get(pk=first.pk)
        assert (unmoved.ready_by, unmoved.version) == (first.ready_by, first.version)
        hold = Hold.objects.get(label=first.title)
        assert hold.starts_at == first.load_out_at


def test_an_event_may_overlap_its_own_former_window(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=(BILL[2], BILL[2]))
        event.refresh_from_db()
        earlier = event_times.usual(ready_by=event.ready_by - timedelta(hours=2))
        changes.move(event.pk, earlier, seen_version=event.version)
        assert Event.objects.get().ready_by == earlier.ready_by


def test_moving_the_end_before_the_start_is_refused(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter(), pytest.raises(WindowsOutOfOrder, match="Out by must come after"):
        wrong = replace(event_times.windows_of(enquired), out_by=enquired.ready_by)
        changes.move(enquired.pk, wrong, seen_version=enquired.version)


def test_an_event_is_not_moved_into_the_past(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter(), pytest.raises(WindowsOutOfOrder, match="This time is past"):
        changes.move(enquired.pk, event_times.usual(ready_by=days_ahead(-4)), seen_version=enquired.version)


def test_two_people_do_not_overwrite_one_another(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter():
        details(enquired, title="Library centenary, evening")
        with pytest.raises(ChangedMeanwhile, match="Somebody else has changed this event"):
            details(enquired, title="Library centenary, morning")
        with pytest.raises(ChangedMeanwhile, match="Somebody else has changed this event"):
            changes.move(enquired.pk, later(enquired, 1), seen_version=enquired.version)
        assert Event.objects.get().title == "Library centenary, evening"


def test_an_event_without_a_title_is_refused_at_the_field(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter(), pytest.raises(ValidationError) as refusal:
        details(enquired, title=" ")
    assert refusal.value.message_dict.keys() >= {"title"}


def test_at_a_place_with_other_clocks_the_hours_on_the_wall_stay(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter():
        hall = venues.add_venue(name="Kornweiler hall", zone="Europe/Berlin", drive_minutes=60)
        before = enquired.ready_by.astimezone(enquired.tz)
        details(enquired, venue_id=hall.pk)
        moved = Event.objects.get()
        after = moved.ready_by.astimezone(ZoneInfo("Europe/Berlin"))
        assert (moved.zone, after.replace(tzinfo=None)) == ("Europe/Berlin", before.replace(tzinfo=None))
        assert moved.ready_by != enquired.ready_by
        assert moved.load_out_at == moved.access_from - timedelta(minutes=60) - event_times.LOADING


def test_hours_that_the_other_place_skips_are_refused_at_the_place(wickerlark: House) -> None:
    # By the IANA time zone database Berlin's clocks go from 02:00 to 03:00 on 28 March 2027; New York's don't.
    with wickerlark.enter():
        hall = venues.add_venue(name="Kornweiler hall", zone="Europe/Berlin")
        night = times.local(date(2027, 3, 28), time(2, 30), ZoneInfo("America/New_York"))
        event = take(ready_by=night)
        with pytest.raises(ValidationError) as refusal:
            details(event, venue_id=hall.pk)
        assert "skip 02:30" in refusal.value.message_dict["venue"][0]
        assert Event.objects.get().venue is None


def test_a_longer_drive_to_another_place_must_leave_the_stock_free(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        far = venues.add_venue(name="Lighthouse", drive_minutes=20 * 60)
        first, second = take(days=10), take("Supper", days=11)
        agree(first, bill=(BILL[2], BILL[2]))
        agree(second, key="other", bill=(BILL[2], BILL[2]))
        second.refresh_from_db()
        with pytest.raises(changes.CannotMove, match="Ring 6 ft"):
            details(second, venue_id=far.pk)
        assert Event.objects.get(pk=second.pk).venue is None


def test_crew_change_nothing(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter("crew"):
        with pytest.raises(PermissionDenied, match="doesn't allow you to edit events"):
            details(enquired)
        with pytest.raises(PermissionDenied, match="doesn't allow you to edit events"):
            changes.move(enquired.pk, later(enquired, 1), seen_version=enquired.version)


def test_another_studios_event_or_place_is_not_found(
    wickerlark: House, federkorn: House, enquired: Event
) -> None:
    with federkorn.enter():
        hall = venues.add_venue(name="Halle")
        with pytest.raises(Http404):
            details(enquired)
        with pytest.raises(Http404):
            changes.move(enquired.pk, later(enquired, 1), seen_version=1)
    with wickerlark.enter(), pytest.raises(Http404):
        details(enquired, venue_id=hall.pk)


def test_windows_are_read_back_as_they_were_said(wickerlark: House) -> None:
    ready: datetime = days_ahead(9)
    with wickerlark.enter():
        event = take(ready_by=ready)
        event.refresh_from_db()
        assert event_times.windows_of(event) == event_times.usual(ready_by=ready)
