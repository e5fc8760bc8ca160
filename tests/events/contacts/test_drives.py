"""Drives from one site to the next: said once for both ways, never longer than by way of the studio."""

from __future__ import annotations

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction
from django.db.utils import DatabaseError

from events.contacts import drives, venues
from events.models import Venue, VenueDrive
from tests.people import House

pytestmark = pytest.mark.django_db


def places(*minutes: int) -> list[Venue]:
    return [
        venues.add_venue(name=f"Hall {number}", drive_minutes=each) for number, each in enumerate(minutes)
    ]


def test_a_drive_is_said_once_and_holds_both_ways(wickerlark: House) -> None:
    with wickerlark.enter():
        one, other = places(30, 40)
        drives.set_drive(other, one, 12)
        assert drives.minutes_between(one, other) == drives.minutes_between(other, one) == 12
        drives.set_drive(one, other, 15)
        assert VenueDrive.objects.count() == 1
        assert [(drive.venue, drive.minutes) for drive in drives.known_drives(other)] == [(one, 15)]
        drives.set_drive(one, other, None)
        assert drives.known_drives(one) == []


def test_what_nobody_said_is_by_way_of_the_studio(wickerlark: House) -> None:
    with wickerlark.enter():
        one, other = places(30, 40)
        assert drives.minutes_between(one, other) == 70
        assert drives.minutes_between(one, one) == 0
        assert (
            drives.minutes_between(one, None) == 30 + 30
        )  # a place that isn't known lies at the usual distance
        assert drives.drives_between([one, other]).direct_minutes(one, other) is None


def test_next_door_is_no_drive_at_all(wickerlark: House) -> None:
    with wickerlark.enter():
        one, other = places(30, 40)
        drives.set_drive(one, other, 0)
        assert drives.minutes_between(one, other) == 0


def test_a_drive_longer_than_by_way_of_the_studio_is_refused_and_one_that_became_so_is_not_used(
    wickerlark: House,
) -> None:
    with wickerlark.enter():
        one, other = places(30, 40)
        with pytest.raises(ValidationError, match="70 min"):
            drives.set_drive(one, other, 71)
        drives.set_drive(one, other, 70)
        venues.change_venue(one, drive_minutes=5)
        assert drives.minutes_between(one, other) == 45


def test_a_venue_has_no_drive_to_itself(wickerlark: House) -> None:
    with wickerlark.enter():
        (one,) = places(30)
        with pytest.raises(ValidationError, match="This is the same venue"):
            drives.set_drive(one, one, 1)
        with (
            pytest.raises(IntegrityError, match="events_venuedrive_earlier_venue_first"),
            transaction.atomic(),
        ):
            VenueDrive.objects.create(venue=one, other=one, minutes=1)


def test_crew_say_no_drives(wickerlark: House) -> None:
    with wickerlark.enter():
        one, other = places(30, 40)
    with wickerlark.enter("crew"), pytest.raises(PermissionDenied, match="doesn't allow you to edit events"):
        drives.set_drive(one, other, 10)


def test_no_studio_sees_anothers_drives_or_ties_one_to_its_venue(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        one, other = places(30, 40)
        drives.set_drive(one, other, 10)
    with federkorn.enter():
        (mine,) = places(5)
        assert not VenueDrive.objects.exists()
        # Wickerlark's venue was made first.
        with pytest.raises(DatabaseError, match="events_venuedrive_venue_id_tenant_fk"), transaction.atomic():
            VenueDrive.objects.create(venue=one, other=mine, minutes=3)
            with transaction.get_connection().cursor() as cursor:
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


# --- The page -------------------------------------------------------------------------------------------------


def test_the_venue_page_shows_and_keeps_its_drives(wickerlark: House) -> None:
    with wickerlark.enter():
        one, other = places(30, 40)
    browser, path = wickerlark.client(), wickerlark.url("events:venue", one.pk)
    assert "a stop at the studio" in browser.get(path).content.decode()
    say = wickerlark.url("events:venue-drive-set", one.pk)
    answer = browser.post(say, {"other": other.pk, "minutes": "12"}, follow=True)
    assert "Hall 1</a></dt> <dd>12 min" in " ".join(answer.content.decode().split())
    assert "Drive to Hall 1 set to 12 min." in answer.content.decode()
    browser.post(say, {"other": other.pk, "minutes": ""})
    with wickerlark.enter():
        assert not VenueDrive.objects.exists()


@pytest.mark.parametrize(
    ("minutes", "words"), [("71", "70 min"), ("-1", "greater"), ("soon", "whole number")]
)
def test_a_drive_that_cannot_be_is_said_at_its_field_and_what_was_typed_stays(
    wickerlark: House, minutes: str, words: str
) -> None:
    with wickerlark.enter():
        one, other = places(30, 40)
    answer = wickerlark.client().post(
        wickerlark.url("events:venue-drive-set", one.pk), {"other": other.pk, "minutes": minutes}
    )
    text = answer.content.decode()
    assert answer.status_code == 422
    for shown in (words, f'value="{minutes}"', "<details"):
        assert shown in text


def test_another_studios_venue_is_no_choice(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        one, _ = places(30, 40)
    with federkorn.enter():
        (theirs,) = places(5)
    say = wickerlark.url("events:venue-drive-set", one.pk)
    answer = wickerlark.client().post(say, {"other": theirs.pk, "minutes": "5"})
    assert answer.status_code == 422
    assert federkorn.client().post(federkorn.url("events:venue-drive-set", one.pk), {}).status_code == 404


def test_crew_see_drives_and_may_not_say_them(wickerlark: House) -> None:
    with wickerlark.enter():
        one, other = places(30, 40)
        drives.set_drive(one, other, 12)
    crew = wickerlark.client("crew")
    text = crew.get(wickerlark.url("events:venue", one.pk)).content.decode()
    assert "12 min" in text
    assert "say a drive" not in text.lower()
    assert crew.post(wickerlark.url("events:venue-drive-set", one.pk), {"other": other.pk}).status_code == 403
