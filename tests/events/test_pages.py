"""The pages: who may open them, whose they are, how many queries they need, and what they say to bad input."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from events.booking import log
from events.booking.event_times import EventWindows
from events.contacts import clients, venues
from events.jobs import calling_off
from events.loadout import ticks
from events.models import Client, Event, Stage, Tick, Venue
from tests.events.conftest import BILL, agree, days_ahead, said_by, stock_up, take
from tests.people import House


def address(house: House, name: str, event: Event | None = None, *more: object) -> str:
    """A page of the house, of the event if one is given."""
    return house.url(f"events:{name}", *((event.pk,) if event else ()), *more)


def enquiry(**typed: str) -> dict[str, str]:
    """What a person types into the enquiry form."""
    day = (timezone.now() + timedelta(days=20)).date().isoformat()
    return {
        "key": uuid.uuid4().hex, "title": "Library centenary", "day": day, "ready_by": "16:00",
        "client_name": "Mrs Adeyo", "client_email": "adeyo@library.example", **typed,
    }  # fmt: skip


GETS = ("week", "events", "enquiry-add", "clients", "client-add", "venues", "venue-add", "crew")
EVENT_GETS = (
    "event",
    "event-change",
    "event-move",
    "load-out",
    "ticks",
    "load-out-paper",
    "return-list",
    "return-list-paper",
)
EVENT_POSTS = ("event-note-add", "event-call-off", "event-take-up-again")
CREW_MAY = {"week", "events", "venues", "crew", "event", "load-out", "ticks", "load-out-paper"} | {
    "return-list", "return-list-paper",
}  # fmt: skip


@pytest.mark.parametrize("role", ["owner", "staff", "crew"])
def test_each_role_opens_what_it_may_and_nothing_else(wickerlark: House, agreed: Event, role: str) -> None:
    browser = wickerlark.client(role)
    for name in (*GETS, *EVENT_GETS):
        page = browser.get(address(wickerlark, name, agreed if name in EVENT_GETS else None))
        assert page.status_code == (200 if role != "crew" or name in CREW_MAY else 403), name
    for name in EVENT_POSTS:
        page = browser.post(address(wickerlark, name, agreed), {"text": "said"})
        assert page.status_code == (302 if role != "crew" else 403), name


def test_whoever_is_not_signed_in_is_asked_to(wickerlark: House, agreed: Event) -> None:
    for name in (*GETS, *EVENT_GETS):
        page = Browser().get(address(wickerlark, name, agreed if name in EVENT_GETS else None))
        assert (page.status_code, page["Location"].split("?")[0]) == (302, "/account/login/"), name


def test_another_studios_things_are_not_found(wickerlark: House, federkorn: House, agreed: Event) -> None:
    with wickerlark.enter():
        hall = venues.add_venue(name="Hall")
    browser = federkorn.client()
    for name in EVENT_GETS:
        assert browser.get(address(federkorn, name, agreed)).status_code == 404, name
        assert browser.get(address(wickerlark, name, agreed)).status_code == 404, name
    for name in EVENT_POSTS:
        assert browser.post(address(federkorn, name, agreed), {"text": "x"}).status_code == 404, name
    assert browser.post(address(federkorn, "event-stage-change", agreed, "prepared")).status_code == 404
    assert browser.get(federkorn.url("events:client", agreed.client_id)).status_code == 404
    for name in ("venue", "venue-change"):
        assert browser.get(federkorn.url(f"events:{name}", hall.pk)).status_code == 404
    with wickerlark.enter():
        assert Event.objects.get().stage == Stage.AGREED


def test_nothing_is_changed_by_a_get(wickerlark: House, agreed: Event) -> None:
    browser = wickerlark.client()
    for name in EVENT_POSTS:
        assert browser.get(address(wickerlark, name, agreed)).status_code == 405
    assert browser.get(address(wickerlark, "event-stage-change", agreed, "prepared")).status_code == 405


def fill(house: House, number: int) -> Event:
    """Several agreed and pencilled events this week, each with its own client and place."""
    with house.enter():
        made: Event | None = None
        for count in range(number):
            place = venues.add_venue(name=f"Hall {number}-{count}", address="Quay")
            event = take(
                f"Event {count}", days=1, venue_id=place.pk, client_email=f"{number}-{count}@b.example"
            )
            if count % 2:
                agree(event, key=f"k-{number}-{count}", bill=(BILL[0], BILL[0], BILL[1]))
                line = event.load_out.first()
                assert line is not None
                ticks.save_ticks(event.pk, [ticks.TickOp(uuid.uuid4(), line.pk, 1, timezone.now())])
                made = event
        assert made is not None
        return made


def counted(browser: Browser, path: str) -> int:
    """Queries of one page; the marks of a transaction's begin and end are none."""
    with CaptureQueriesContext(connection) as queries:
        assert browser.get(path).status_code == 200
    marks = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE")
    return sum(not query["sql"].startswith(marks) for query in queries.captured_queries)


@pytest.mark.parametrize("name", ["week", "events", "enquiry-add", "clients", "venues", "crew"])
def test_lists_need_no_more_queries_with_more_rows(wickerlark: House, name: str) -> None:
    with wickerlark.enter():
        stock_up()
    browser, path = wickerlark.client(), address(wickerlark, name)
    fill(wickerlark, 4)
    few = counted(browser, path)
    fill(wickerlark, 12)
    many = counted(browser, path)
    assert few == many


@pytest.mark.parametrize("name", [*EVENT_GETS, "client", "venue"])
def test_pages_of_one_thing_need_no_more_queries_with_more_rows(wickerlark: House, name: str) -> None:
    with wickerlark.enter():
        stock_up()
    event = fill(wickerlark, 6)
    thing = {"client": event.client_id, "venue": event.venue_id}.get(name, event.pk)
    browser, path = wickerlark.client(), wickerlark.url(f"events:{name}", thing)
    few = counted(browser, path)
    with wickerlark.enter():
        add_rows(event)
    assert counted(browser, path) == few


def add_rows(event: Event) -> None:
    """More of everything that the pages of one event, its client and its venue list."""
    agree(event, key="more", bill=BILL)
    for number in range(5):
        log.add_note(event, f"Note {number}")
        clients.add_way(event.client, who=f"Caretaker {number}", way="other", address=f"Desk {number}")
        later = take(f"Later {number}", days=3, client_id=event.client_id, venue_id=event.venue_id)
        assert (later.client_id, later.venue_id) == (event.client_id, event.venue_id)


# --- The enquiry form -----------------------------------------------------------------------------------------


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


# --- Changing -------------------------------------------------------------------------------------------------


def typed_times(event: Event, **more: str) -> dict[str, str]:
    """The times form as it comes, with some of it changed."""
    shown = {
        name: getattr(event, name).astimezone(event.tz).strftime("%Y-%m-%dT%H:%M")
        for name in EventWindows.__dataclass_fields__
        if getattr(event, name)
    }
    return {**shown, "version": str(event.version), **more}


def test_times_kept_unchanged_stay_as_they_are(wickerlark: House, agreed: Event) -> None:
    page = wickerlark.client().post(address(wickerlark, "event-move", agreed), typed_times(agreed))
    assert page.status_code == 302
    with wickerlark.enter():
        kept = Event.objects.get()
        for name in EventWindows.__dataclass_fields__:
            assert getattr(kept, name) == getattr(agreed, name)


def test_moving_to_where_a_frame_is_promised_says_which(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = take(days=10), take("Supper", days=14)
        agree(first, bill=(BILL[2], BILL[2]))
        agree(second, key="other")
        first.refresh_from_db()
        second.refresh_from_db()
    page = wickerlark.client().post(
        address(wickerlark, "event-move", first), {**typed_times(second), "version": str(first.version)}
    )
    assert page.status_code == 422
    assert "Ring 6 ft: 1 free of 2 needed" in page.content.decode()


def test_a_form_out_of_date_is_told_so_and_can_be_kept_again(wickerlark: House, enquired: Event) -> None:
    browser, path = wickerlark.client(), address(wickerlark, "event-change", enquired)
    typed = {"title": "Evening", "version": "1"}
    assert browser.post(path, {"title": "Morning", "version": "1"}).status_code == 302
    page = browser.post(path, typed)
    assert page.status_code == 422
    assert "Somebody else has changed this event" in page.content.decode()
    assert 'value="Evening"' in page.content.decode()
    assert (
        browser.post(path, {**typed, "version": page.context["form"]["version"].value()}).status_code == 302
    )
    with wickerlark.enter():
        assert Event.objects.get().title == "Evening"


def test_calling_off_can_be_undone_from_the_notice(wickerlark: House, agreed: Event) -> None:
    browser = wickerlark.client()
    page = browser.post(address(wickerlark, "event-call-off", agreed), {"why": "flood"}, follow=True)
    undo = address(wickerlark, "event-take-up-again", agreed)
    assert f'action="{undo}"' in page.content.decode()
    browser.post(undo)
    with wickerlark.enter():
        assert Event.objects.get().is_agreed


def test_a_note_too_long_or_empty_is_refused_without_harm(wickerlark: House, enquired: Event) -> None:
    browser, path = wickerlark.client(), address(wickerlark, "event-note-add", enquired)
    for text in ("", "  ", "x" * 2001):
        assert browser.post(path, {"text": text}).status_code == 302
    with wickerlark.enter():
        assert enquired.log.count() == 1


@pytest.mark.parametrize("stage", ["enquiry", "offered", "nonsense"])
def test_stages_that_nobody_presses_have_no_address(wickerlark: House, enquired: Event, stage: str) -> None:
    assert (
        wickerlark.client().post(address(wickerlark, "event-stage-change", enquired, stage)).status_code
        == 404
    )


def test_a_stage_that_cannot_follow_is_refused_in_words(wickerlark: House, enquired: Event) -> None:
    page = wickerlark.client().post(
        address(wickerlark, "event-stage-change", enquired, "installed"), follow=True
    )
    assert "An event can&#x27;t go from enquiry to installed." in page.content.decode()


@pytest.mark.parametrize("day", ["2027-02-30", "soon", "9999-12-31", "0001-01-01"])
def test_a_week_that_is_none_is_not_found(wickerlark: House, day: str) -> None:
    assert wickerlark.client().get(address(wickerlark, "week"), {"day": day}).status_code == 404


def test_venues_are_refused_at_the_field(wickerlark: House) -> None:
    with wickerlark.enter():
        venues.add_venue(name="Hall")
    sent = {"name": "HALL", "setting": "indoor", "drive_minutes": "30"}
    browser, path = wickerlark.client(), wickerlark.url("events:venue-add")
    for typed, field in (
        ({}, "name"),
        ({"name": "X", "drive_minutes": "-5"}, "drive_minutes"),
        ({"name": "X", "zone": "Mars/Olympus"}, "zone"),
        ({"name": "X", "door_width_m": "1 furlong"}, "door_width_m"),
    ):
        page = browser.post(path, {**sent, **typed})
        assert (page.status_code, list(page.context["form"].errors)) == (422, [field])
    with wickerlark.enter():
        assert Venue.objects.count() == 1


# --- What crew see --------------------------------------------------------------------------------------------


def seen(house: House, role: str, event: Event, name: str = "event") -> str:
    """The page as that role sees it."""
    return house.client(role).get(address(house, name, event)).content.decode()


def contact(house: House, ahead: timedelta) -> Event:
    """An event whose client can be reached, ready by so long from now whatever the hour is."""
    with house.enter():
        return take(
            ready_by=timezone.now() + ahead,
            client_phone="617 555 0123",
            said="She thought 600 was too much.",
        )


def test_crew_see_no_contact_and_no_log_before_the_day(wickerlark: House) -> None:
    event = contact(wickerlark, timedelta(days=10))
    crew, office = seen(wickerlark, "crew", event), seen(wickerlark, "staff", event)
    for words in ("adeyo@library.example", "555-0123", "+16175550123", "600 was too much"):
        assert words in office
        assert words not in crew
    assert "Mrs Adeyo" in crew


def test_crew_may_ring_the_client_on_the_day(wickerlark: House) -> None:
    page = seen(wickerlark, "crew", contact(wickerlark, timedelta(hours=5)))
    assert "(617) 555-0123" in page
    assert "adeyo@library.example" not in page


def test_crew_see_no_money_on_any_page(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        from stock.models import Item

        Item.objects.update(unit_cost="7.77", price_per_use="8.88", bag_price="9.99")
    browser = wickerlark.client("crew")
    for name in CREW_MAY:
        text = said_by(browser.get(address(wickerlark, name, agreed if name in EVENT_GETS else None)))
        for words in ("7.77", "8.88", "9.99", "$", "USD"):
            assert words not in text.replace("$/", ""), (name, words)


# --- Ticks over the wire --------------------------------------------------------------------------------------


def send(browser: Browser, house: House, event: Event, body: Any) -> Any:
    """Post ticks as the page's script does."""
    raw = body if isinstance(body, str) else json.dumps(body)
    return browser.post(address(house, "ticks", event), raw, content_type="application/json")


def tick_of(event: Event, house: House, code: str = "greenery", **more: Any) -> dict[str, Any]:
    """A tick as the page's script makes it."""
    with house.enter():
        line = event.load_out.get(code=code)
    made = {"uuid": str(uuid.uuid4()), "line": line.pk, "count": line.quantity, "phone": "p"}
    return {**made, "made_at": timezone.now().isoformat(), **more}


def test_ticks_are_kept_once_and_the_answer_tells_how_the_list_stands(
    wickerlark: House, agreed: Event
) -> None:
    browser, one = wickerlark.client("crew"), tick_of(agreed, wickerlark)
    for _ in range(3):
        answer = send(browser, wickerlark, agreed, {"ops": [one]}).json()
        assert answer["kept"] == [one["uuid"]]
        line = answer["lines"][str(one["line"])]
        assert (line["count"], line["by"], line["heads"]) == (12, "Wickerlark", [one["uuid"]])
        assert answer["hands"] == ["Wickerlark 1"]
    with wickerlark.enter():
        assert Tick.objects.count() == 1


def test_two_phones_see_each_others_ticks(wickerlark: House, agreed: Event) -> None:
    one, other = wickerlark.client("crew"), wickerlark.client("staff")
    send(one, wickerlark, agreed, {"ops": [tick_of(agreed, wickerlark, "ring-6ft")]})
    send(other, wickerlark, agreed, {"ops": [tick_of(agreed, wickerlark, "cover-oat")]})
    lines = one.get(address(wickerlark, "ticks", agreed)).json()["lines"]
    assert sorted(line["count"] for line in lines.values()) == [0, 0, 0, 0, 1, 1]


def test_a_foreign_line_among_ticks_is_named_and_the_rest_kept(wickerlark: House, agreed: Event) -> None:
    good, bad = tick_of(agreed, wickerlark), tick_of(agreed, wickerlark, line=10**9)
    answer = send(wickerlark.client("crew"), wickerlark, agreed, {"ops": [bad, good]}).json()
    assert answer["kept"] == [good["uuid"]]
    assert answer["refused"] == [{"uuid": bad["uuid"], "why": "This line isn’t on the list any more."}]


@pytest.mark.parametrize(
    "spoil",
    [
        lambda tick: "not json",
        lambda tick: "[]",
        lambda tick: {"ops": "x"},
        lambda tick: {"ops": [{}]},
        lambda tick: {"ops": [{**tick, "uuid": "x"}]},
        lambda tick: {"ops": [{**tick, "uuid": 7}]},
        lambda tick: {"ops": [{**tick, "line": "7"}]},
        lambda tick: {"ops": [{**tick, "line": 2**80}]},
        lambda tick: {"ops": [{**tick, "count": 1.5}]},
        lambda tick: {"ops": [{**tick, "made_at": "now"}]},
        lambda tick: {"ops": [{**tick, "made_at": "0001-01-01T00:00:00+14:00"}]},
        lambda tick: {"ops": [tick] * 501},
    ],
)
def test_what_is_no_tick_is_refused_and_nothing_kept(
    wickerlark: House, agreed: Event, spoil: Callable[[dict[str, Any]], Any]
) -> None:
    answer = send(wickerlark.client("crew"), wickerlark, agreed, spoil(tick_of(agreed, wickerlark)))
    assert answer.status_code in {200, 400}
    if answer.status_code == 200:
        assert answer.json()["kept"] == []
    with wickerlark.enter():
        assert not Tick.objects.exists()


def test_a_button_ticks_without_script(wickerlark: House, agreed: Event) -> None:
    browser = wickerlark.client("crew")
    sent = tick_of(agreed, wickerlark)
    pressed = {"tick": f"{sent['line']}:12:{sent['uuid']}"}
    for _ in range(2):
        page = browser.post(address(wickerlark, "ticks", agreed), pressed, follow=True)
        assert "1</span> of 6 in" in page.content.decode()
    counted_some = {"tick": f"{sent['line']}::{uuid.uuid4()}", f"some-{sent['line']}": "5"}
    page = browser.post(address(wickerlark, "ticks", agreed), counted_some, follow=True)
    assert "5 / 12" in page.content.decode()
    wrong = {"tick": f"{sent['line']}::{uuid.uuid4()}", f"some-{sent['line']}": "some"}
    page = browser.post(address(wickerlark, "ticks", agreed), wrong, follow=True)
    assert "Enter a whole number." in page.content.decode()


def test_the_list_of_a_called_off_event_says_so_and_takes_no_ticks_from_its_page(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        calling_off.call_off(agreed.pk)
    page = seen(wickerlark, "crew", agreed, "load-out")
    assert "This event was called off." in page
    assert "load_out.js" not in page


def test_the_week_shows_the_events_of_the_day_that_is_asked_for(wickerlark: House, enquired: Event) -> None:
    browser = wickerlark.client()
    there = browser.get(address(wickerlark, "week"), {"day": enquired.ready_by.date().isoformat()})
    elsewhere = browser.get(address(wickerlark, "week"), {"day": date(2030, 1, 7).isoformat()})
    assert enquired.title in there.content.decode()
    assert enquired.title not in elsewhere.content.decode()
    assert days_ahead(10).date() == enquired.ready_by.date()
