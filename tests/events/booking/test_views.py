"""The enquiry form: what it takes, and what it answers to bad input."""

from __future__ import annotations

import re
import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from events.contacts import venues
from events.models import Client, Event
from tests.events.conftest import address, take
from tests.people import House


def enquiry(**typed: str) -> dict[str, str]:
    """What a person types into the enquiry form."""
    day = (timezone.now() + timedelta(days=20)).date().isoformat()
    return {
        "key": uuid.uuid4().hex, "title": "Library centenary", "day": day, "ready_by": "16:00",
        "client_name": "Mrs Adeyo", "client_email": "adeyo@library.example", **typed,
    }  # fmt: skip


def test_an_enquiry_is_taken_and_leads_to_its_event(federkorn: House) -> None:
    page = federkorn.client("staff").post(
        address(federkorn, "enquiry-add"),
        enquiry(width_m="2,3 m", height_m="230 cm", client_phone="030 23125 123", venue_name="Scheune"),
    )
    with federkorn.enter():
        event = Event.objects.get()
        assert page["Location"] == address(federkorn, "event", event)
        assert (str(event.width_m), str(event.height_m)) == ("2.3000", "2.3000")
        assert event.ready_by.astimezone(federkorn.studio.tz).hour == 16
        assert event.client.phone == "+493023125123"


def test_times_are_read_by_the_clocks_of_the_place(wickerlark: House) -> None:
    with wickerlark.enter():
        hall = venues.add_venue(name="Kornweiler hall", zone="Europe/Berlin")
    wickerlark.client().post(address(wickerlark, "enquiry-add"), enquiry(venue=str(hall.pk)))
    with wickerlark.enter():
        event = Event.objects.get()
        assert event.zone == "Europe/Berlin"
        assert event.ready_by.astimezone(hall.tz).hour == 16
    page = wickerlark.client().get(address(wickerlark, "event", event))
    assert "ready by 4:00\u00a0pm" in page.content.decode()
    assert "Berlin time, as at the venue" in page.content.decode()


def day_of(offset_days: int) -> str:
    """A day as the browser sends it."""
    return (timezone.now() + timedelta(days=offset_days)).date().isoformat()


# Clock changes by the IANA time zone database: New York skips 02:00 to 03:00 on 14 March 2027, Berlin on 28 March.


BAD_ENQUIRIES: list[tuple[str, dict[str, str], str, str]] = [
    ("wickerlark", {"title": ""}, "title", "This field is required."),
    ("wickerlark", {"title": "x" * 161}, "title", "at most 160 characters"),
    ("wickerlark", {"client_name": ""}, "client_name", "Choose a client, or type the new client’s name."),
    ("wickerlark", {"client_email": "adeyo"}, "client_email", "Enter a valid email address."),
    ("wickerlark", {"client_phone": "ring me"}, "client_phone", "is no telephone number"),
    ("wickerlark", {"client": "999999"}, "client", "Select a valid choice."),
    ("wickerlark", {"venue": "999999"}, "venue", "Select a valid choice."),
    ("wickerlark", {"day": "2027-02-30"}, "day", "Enter a valid date."),
    ("wickerlark", {"day": "9999-12-31"}, "day", "Write a day between 2000 and 2099."),
    ("wickerlark", {"day": "0001-01-01"}, "day", "Write a day between 2000 and 2099."),
    ("wickerlark", {"day": "2020-05-05"}, "ready_by", "This time is past. Check the date."),
    ("wickerlark", {"ready_by": "25:00"}, "ready_by", "Enter a valid time."),
    ("wickerlark", {"day": "2027-03-14", "ready_by": "02:30"}, "ready_by", "skip 02:30"),
    ("federkorn", {"day": "2027-03-28", "ready_by": "02:30"}, "ready_by", "skip 02:30"),
    ("wickerlark", {"day": "2027-03-13", "strike_from": "2027-03-14T02:30"}, "strike_from", "skip 02:30"),
    ("federkorn", {"day": "2027-03-27", "out_by": "2027-03-28T02:59"}, "out_by", "skip 02:59"),
    (
        "wickerlark",
        {"guests_from": "15:00"},
        "guests_from",
        "Guests can&#x27;t come before it has to be ready.",
    ),
    ("wickerlark", {"access_from": f"{day_of(21)}T12:00"}, "access_from", "Access must come before"),
    ("wickerlark", {"strike_from": f"{day_of(19)}T12:00"}, "strike_from", "The strike must start after"),
    ("wickerlark", {"out_by": f"{day_of(20)}T16:30"}, "out_by", "Out by must come after the strike"),
    ("wickerlark", {"out_by": f"{day_of(120)}T16:30"}, "out_by", "more than 60 days after access"),
    ("wickerlark", {"out_by": "9999-12-31T23:59"}, "out_by", "Write a day between 2000 and 2099."),
    ("wickerlark", {"access_from": "tomorrow"}, "access_from", "isn’t a date and time"),
    ("wickerlark", {"width_m": "wide"}, "width_m", "is no length"),
    ("wickerlark", {"width_m": "-3"}, "width_m", "is no length"),
    ("wickerlark", {"height_m": "900 m"}, "height_m", "is longer than"),
    ("wickerlark", {"ceiling_m": "300 ft"}, "ceiling_m", "At most"),
    ("federkorn", {"height_m": "1 mm"}, "height_m", "At least 0.30 m."),
]


@pytest.mark.parametrize(
    ("slug", "typed", "field", "message"), BAD_ENQUIRIES, ids=lambda value: str(value)[:60]
)
def test_a_wrong_enquiry_says_so_at_the_field_and_keeps_what_was_typed(
    wickerlark: House, federkorn: House, slug: str, typed: dict[str, str], field: str, message: str
) -> None:
    house = {"wickerlark": wickerlark, "federkorn": federkorn}[slug]
    sent = enquiry(said="Nothing shiny at all.", **typed)
    page = house.client().post(address(house, "enquiry-add"), sent)
    text = page.content.decode()
    assert page.status_code == 422
    assert list(page.context["form"].errors) == [field]
    assert message in text
    assert f'id="id_{field}_error"' in text
    assert "Nothing shiny at all." in text
    for value in typed.values():
        assert value == "" or f'value="{value}"' in text or field in {"client", "venue"}
    with house.enter():
        assert not Event.objects.exists()
        assert not Client.objects.exists()


def test_a_form_pressed_twice_is_one_event(wickerlark: House) -> None:
    sent, browser = enquiry(), wickerlark.client()
    first, second = (browser.post(address(wickerlark, "enquiry-add"), sent) for _ in range(2))
    assert first["Location"] == second["Location"]
    with wickerlark.enter():
        assert Event.objects.count() == 1


def test_another_studios_client_cannot_be_chosen(wickerlark: House, federkorn: House) -> None:
    with federkorn.enter():
        stranger = take().client_id
    page = wickerlark.client().post(address(wickerlark, "enquiry-add"), enquiry(client=str(stranger)))
    assert list(page.context["form"].errors) == ["client"]


@pytest.mark.parametrize(
    ("asked", "goes_back"), [("/s/wickerlark/designs/1/quote-with/", True), ("//example.org/", False)]
)
def test_an_enquiry_goes_back_to_the_page_of_this_studio_that_asked_for_it(
    wickerlark: House, asked: str, goes_back: bool
) -> None:
    answer = wickerlark.client().post(address(wickerlark, "enquiry-add") + f"?next={asked}", enquiry())
    with wickerlark.enter():
        event = Event.objects.get()
    back = f"{asked}?event={event.pk}"
    assert answer["Location"] == (back if goes_back else address(wickerlark, "event", event))


def test_the_form_says_what_is_needed_and_in_what_lengths_are_written(
    wickerlark: House, federkorn: House
) -> None:
    """A client is needed, known or named: neither field says that it is optional."""
    for house, words in ((wickerlark, "such as 9 ft 6 in"), (federkorn, "such as 2.9 m")):
        html = house.client().get(house.url("events:enquiry-add"), {"width_m": "4 ft"}).content.decode()
        client = html[html.index("<legend>Client") : html.index("Telephone")]
        assert "optional" not in client
        assert words in html
        assert re.search(r'name="width_m" value="4 ft"', html), "what the link to the form carries"
