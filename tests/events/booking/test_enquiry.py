"""Taking an enquiry: client, place and event in one go, once."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404

from events.booking import enquiry, event_times
from events.booking.enquiry import Wanted
from events.contacts import clients, venues
from events.models import Client, Event, LogEntry, Stage, Status, Venue
from tests.events.conftest import days_ahead, take
from tests.people import House


def test_an_enquiry_makes_client_place_event_and_the_first_bead(wickerlark: House) -> None:
    with wickerlark.enter():
        event = take(
            venue_name="Reading room",
            venue_address="4 Quay Street",
            client_phone="(617) 555-0123",
            wanted=Wanted(Decimal("2.794"), Decimal("2.286")),
            said="Nothing shiny.",
        )
        event.refresh_from_db()
        assert (event.status, event.stage, event.version) == (Status.TENTATIVE, Stage.ENQUIRY, 1)
        assert (event.client.name, event.client.phone) == ("Mrs Adeyo", "+16175550123")
        assert event.venue is not None
        assert (event.venue.name, event.zone) == ("Reading room", "America/New_York")
        assert (event.width_m, event.height_m) == (Decimal("2.7940"), Decimal("2.2860"))
        assert event.stages_reached.get().person == wickerlark.owner
        assert list(event.log.values_list("text", flat=True)) == ["Nothing shiny.", "Enquiry taken."]


def test_a_known_client_is_found_by_the_e_mail_address_whatever_its_capitals(wickerlark: House) -> None:
    with wickerlark.enter():
        first = take()
        second = take("Rowing club supper", client_name="Adeyo", client_email="ADEYO@library.example")
        assert second.client_id == first.client_id
        assert Client.objects.get().name == "Mrs Adeyo"


def test_a_known_client_is_found_by_name_and_number_and_completed(wickerlark: House) -> None:
    with wickerlark.enter():
        take(client_email="", client_phone="617 555 0123")
        take("Supper", client_name="mrs adeyo", client_email="a@b.example", client_phone="+1 617 555 0123")
        assert Client.objects.get().email == "a@b.example"


@pytest.mark.parametrize(
    ("name", "email", "phone"),
    [
        ("Mrs Adeyo", "", ""),
        ("Lars Petrel", "", "617 555 0123"),
        ("Mrs Adeyo", "other@b.example", "617 555 0123"),
    ],
    ids=["a name alone", "another name at the same number", "another address at the same number"],
)
def test_two_people_are_not_taken_for_one(wickerlark: House, name: str, email: str, phone: str) -> None:
    with wickerlark.enter():
        take(client_phone="617 555 0123")
        take("Supper", client_name=name, client_email=email, client_phone=phone)
        assert Client.objects.count() == 2


def test_a_known_place_is_used_again_with_its_zone_ceiling_and_drive(wickerlark: House) -> None:
    with wickerlark.enter():
        hall = venues.add_venue(
            name="Kornweiler hall", zone="Europe/Berlin", ceiling_m=Decimal(4), drive_minutes=90
        )
        event = take(venue_name="kornweiler HALL")
        assert (event.venue_id, event.zone, event.ceiling_m) == (hall.pk, "Europe/Berlin", Decimal(4))
        assert event.access_from - event.load_out_at == event_times.LOADING + (
            event.back_at - event.out_by
        ) - (event_times.UNLOADING)
        assert (event.access_from - event.load_out_at).total_seconds() / 60 == 90 + 60


def test_the_same_enquiry_sent_twice_is_one_event(wickerlark: House) -> None:
    with wickerlark.enter():
        assert take(key="abc").pk == take(key="abc").pk
        assert Event.objects.count() == 1
        assert LogEntry.objects.count() == 1


def test_a_refused_enquiry_leaves_neither_client_nor_place(wickerlark: House) -> None:
    with wickerlark.enter():
        with pytest.raises(ValidationError, match="title"):
            take("  ", venue_name="Reading room")
        assert not Client.objects.exists()
        assert not Venue.objects.exists()


def test_faults_of_the_client_name_the_enquirys_fields(wickerlark: House) -> None:
    with wickerlark.enter():
        with pytest.raises(ValidationError) as refusal:
            take(client_phone="ring me")
        assert refusal.value.message_dict["client_phone"] == [
            "“ring me” is no telephone number; write it like +1 201-555-0123."
        ]
        with pytest.raises(ValidationError) as refusal:
            take(client_name=" ", client_email="nonsense")
        assert refusal.value.message_dict.keys() == {"client_name", "client_email"}


def test_a_past_day_is_refused(wickerlark: House) -> None:
    with wickerlark.enter(), pytest.raises(ValidationError, match="This time is past"):
        take(ready_by=days_ahead(-2))


def test_crew_take_no_enquiries(wickerlark: House) -> None:
    with wickerlark.enter("crew"), pytest.raises(PermissionDenied, match="edit events"):
        take()


def test_another_studios_client_and_place_are_not_found(wickerlark: House, federkorn: House) -> None:
    with federkorn.enter():
        stranger = clients.add_client(name="Frau Stroh")
        hall = venues.add_venue(name="Halle")
    with wickerlark.enter():
        with pytest.raises(Http404):
            take(client_id=stranger.pk)
        with pytest.raises(Http404):
            take(venue_id=hall.pk)
        assert not Event.objects.exists()


def test_two_studios_may_know_the_same_person(wickerlark: House, federkorn: House) -> None:
    for house in (wickerlark, federkorn):
        with house.enter():
            take()
            assert Client.objects.get().email == "adeyo@library.example"


def test_a_client_address_that_is_taken_is_refused_at_the_field(wickerlark: House) -> None:
    with wickerlark.enter():
        clients.add_client(name="A", email="a@b.example")
        other = clients.add_client(name="B")
        with pytest.raises(ValidationError) as refusal:
            clients.change_client(other, name="B", email="A@b.example", phone="", bill_to="", notes="")
        assert refusal.value.message_dict == {"email": ["Another client has this e-mail address already."]}


def test_an_events_zone_is_the_studios_where_the_place_has_none(federkorn: House) -> None:
    with federkorn.enter():
        assert take(venue_name="Scheune").zone == "Europe/Berlin"
        assert enquiry.zone_for(None) == "Europe/Berlin"
