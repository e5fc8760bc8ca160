"""What a phone opens by its link, from the first press to the end of it."""

from __future__ import annotations

import json
import uuid
from datetime import timedelta
from http.cookies import SimpleCookie
from urllib.parse import urlsplit

import pytest
from django.core.signing import get_cookie_signer
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from events.crew_phones import phone_links
from events.loadout import load_list
from events.models import Event, LoadOutLine, Tick, WayToReach
from studio.models import CrewPhone, PublicLink
from tests.events.conftest import printed, said_by, take, words_on
from tests.people import House

PRIVATE = ("adeyo@library.example", "$")
LISTS = (
    "load-out",
    "return-list",
    "run-sheet",
    "run-sheet-contacts",
    "ticks",
)


def given(house: House, event: Event, whose: str = "Rosa") -> str:
    """The path of a new link."""
    with house.enter():
        return urlsplit(phone_links.give(event.pk, whose=whose).address).path


def on_a_phone(house: House, event: Event, whose: str = "Rosa") -> Client:
    """A browser without an account that took a link up."""
    browser = Client()
    assert browser.post(given(house, event, whose)).status_code == 302
    return browser


def test_looking_at_the_link_changes_nothing_and_one_press_takes_it_up(
    wickerlark: House, agreed: Event
) -> None:
    path, browser = given(wickerlark, agreed), Client()
    for _ in range(2):
        page = browser.get(path)
        assert page.status_code == 200
        assert "Use this phone" in page.content.decode()
        assert page["Referrer-Policy"] == "same-origin", (
            "no other host is told the token; the form's origin is"
        )
        with wickerlark.enter():
            assert CrewPhone.objects.get().taken_at is None
    pressed = browser.post(path)
    assert (pressed.status_code, pressed["Location"]) == (302, wickerlark.url("events:load-out", agreed.pk))
    with wickerlark.enter():
        phone = CrewPhone.objects.get()
    cookie = pressed.cookies[f"crew_phone_{phone.pk}"]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    assert phone.taken_at is not None
    page = browser.get(pressed["Location"])
    assert page.status_code == 200
    assert f'data-person="phone-{phone.pk}"' in page.content.decode()
    assert browser.get(path)["Location"] == pressed["Location"], (
        "the message is opened again on the same phone"
    )


def test_it_opens_the_lists_of_its_event_without_prices_or_an_e_mail(
    wickerlark: House, agreed: Event
) -> None:
    browser = on_a_phone(wickerlark, agreed)
    with wickerlark.enter():
        now = timezone.now()
        Event.objects.filter(pk=agreed.pk).update(load_out_at=min(agreed.load_out_at, now))
        WayToReach.objects.create(
            client=agreed.client, who="House", way="email", address="house@hall.example", on_the_day=True
        )
        WayToReach.objects.create(
            client=agreed.client, who="Caretaker", way="phone", address="+16175550123", on_the_day=True
        )
    for name in LISTS:
        page = browser.get(wickerlark.url(f"events:{name}", agreed.pk))
        assert page.status_code == 200, name
        text = said_by(page)
        assert [secret for secret in (*PRIVATE, "house@hall.example") if secret in text] == [], name
        assert wickerlark.url("events:event", agreed.pk) + '"' not in text, name
    assert "Caretaker" in browser.get(wickerlark.url("events:run-sheet-contacts", agreed.pk)).content.decode()
    kinds = ("load-out", "return-list", "run-sheet")
    texts = {kind: words_on(printed(wickerlark, browser, agreed, kind)) for kind in kinds}
    for kind, text in texts.items():
        assert [secret for secret in (*PRIVATE, "house@hall.example") if secret in text] == [], kind
    assert "Caretaker" in texts["run-sheet"], "whom to call"


def test_another_event_another_page_and_another_studio_are_not_found(
    wickerlark: House, federkorn: House, agreed: Event
) -> None:
    with wickerlark.enter():
        other = take("Supper")
    with federkorn.enter():
        theirs = take("Fest")
    browser = on_a_phone(wickerlark, agreed)
    assert browser.post(wickerlark.url("events:paper-make", other.pk, "run-sheet")).status_code == 404
    for name in LISTS:
        assert browser.get(wickerlark.url(f"events:{name}", other.pk)).status_code == 404
        assert browser.get(federkorn.url(f"events:{name}", theirs.pk)).status_code == 404
        assert browser.get(federkorn.url(f"events:{name}", agreed.pk)).status_code == 404
    for name in ("week", "events", "crew", "clients", "search"):
        assert browser.get(wickerlark.url(f"events:{name}")).status_code == 404
    for name in ("event", "event-crew", "phones", "real-cost"):
        assert browser.get(wickerlark.url(f"events:{name}", agreed.pk)).status_code == 404
    assert Client().get(wickerlark.url("events:load-out", agreed.pk)).status_code == 302, (
        "a stranger signs in"
    )


def test_a_phone_by_link_is_asked_about_a_step_of_its_event_alone(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        other = take("Supper")
    phone = on_a_phone(wickerlark, agreed)
    assert phone.get(wickerlark.url("events:step-mark", agreed.pk, "prepared")).status_code == 200
    assert phone.get(wickerlark.url("events:step-mark", other.pk, "prepared")).status_code == 404


def test_two_events_on_one_phone_each_open_by_their_own_link(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        other = take("Supper")
    browser = on_a_phone(wickerlark, agreed)
    browser.post(given(wickerlark, other))
    for event in (agreed, other):
        assert browser.get(wickerlark.url("events:load-out", event.pk)).status_code == 200


def test_a_link_that_has_ended_does_not_hide_another_one_of_the_same_event(
    wickerlark: House, agreed: Event
) -> None:
    browser = on_a_phone(wickerlark, agreed, "Rosa")
    browser.post(given(wickerlark, agreed, "Van phone"))
    with wickerlark.enter():
        rosa, van = (listed.phone for listed in phone_links.phones_of_event(agreed.pk))
        phone_links.end(agreed.pk, van.pk)
    page = browser.get(wickerlark.url("events:load-out", agreed.pk))
    assert page.status_code == 200
    assert f'data-person="phone-{rosa.pk}"' in page.content.decode()


@pytest.mark.usefixtures("within_one_window")
def test_whoever_tries_links_too_often_is_asked_to_wait(db: None) -> None:
    tries = [Client().get(f"/p/guess-{number}").status_code for number in range(61)]
    assert (set(tries[:60]), tries[60]) == ({404}, 429)


def test_a_second_phone_is_told_so_and_opens_nothing(wickerlark: House, agreed: Event) -> None:
    path = given(wickerlark, agreed)
    first, second = Client(), Client()
    first.post(path)
    for answer in (second.get(path), second.post(path)):
        assert answer.status_code == 409
        assert "Another phone uses this link." in answer.content.decode()
        assert "Use this phone" not in answer.content.decode()
    assert second.get(wickerlark.url("events:load-out", agreed.pk)).status_code == 302


def test_a_cookie_made_up_or_moved_to_another_phones_name_opens_nothing(
    wickerlark: House, agreed: Event
) -> None:
    browser = on_a_phone(wickerlark, agreed)
    with wickerlark.enter():
        mine = CrewPhone.objects.get().pk
    kept = browser.cookies[f"crew_phone_{mine}"].value
    given(wickerlark, agreed, "Ada")
    for cookie in (f"crew_phone_{mine}=a.b:c:d", f"crew_phone_{mine + 1}={kept}", "crew_phone_x=1"):
        stranger = Client()
        stranger.cookies = SimpleCookie(cookie)
        assert stranger.get(wickerlark.url("events:load-out", agreed.pk)).status_code == 302


def test_the_token_alone_opens_nothing_without_what_the_device_keeps(
    wickerlark: House, agreed: Event
) -> None:
    path = given(wickerlark, agreed)
    Client().post(path)
    with wickerlark.enter():
        name = f"crew_phone_{CrewPhone.objects.get().pk}"
    other = Client()
    signer = get_cookie_signer(salt=name + "studio.crew_phones")
    other.cookies[name] = signer.sign(f"{path.removeprefix('/p/')}.another-device")
    assert other.get(wickerlark.url("events:load-out", agreed.pk)).status_code == 410
    assert other.post(path).status_code == 409


def test_whoever_signs_in_on_the_phone_acts_as_themselves(
    wickerlark: House, federkorn: House, agreed: Event
) -> None:
    browser = on_a_phone(wickerlark, agreed)
    browser.force_login(federkorn.crew)
    assert browser.get(wickerlark.url("events:load-out", agreed.pk)).status_code == 404
    browser.force_login(wickerlark.crew)
    page = browser.get(wickerlark.url("events:load-out", agreed.pk)).content.decode()
    assert f'data-person="{wickerlark.crew.pk}"' in page


@pytest.mark.parametrize("how", ["revoked", "expired"])
def test_after_its_end_the_phone_is_told_where_to_turn(wickerlark: House, agreed: Event, how: str) -> None:
    path, browser = given(wickerlark, agreed), Client()
    browser.post(path)
    with wickerlark.enter():
        phone = CrewPhone.objects.get()
        if how == "revoked":
            phone_links.end(agreed.pk, phone.pk)
        else:
            PublicLink.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    page = browser.get(wickerlark.url("events:load-out", agreed.pk))
    assert page.status_code == 410
    text = page.content.decode()
    assert "This link has ended" in text
    assert "Wickerlark Decor" in text
    assert f'data-person="phone-{phone.pk}"' in text, "what waits on the phone is told"
    sent = browser.post(
        wickerlark.url("events:ticks", agreed.pk), {"ops": []}, content_type="application/json"
    )
    assert sent.status_code == 410
    assert browser.get(f"/phone/signed-in?phone={phone.pk}").json() == {"person": None, "csrf": ""}
    assert browser.get(wickerlark.url("events:week")).status_code == 302, "the way to sign in is open"
    for stranger in (browser, Client()):
        assert stranger.get(path).status_code == 410
        assert stranger.post(path).status_code == 410
    nowhere = Client().get("/p/unheard-of")
    assert nowhere.status_code == 404
    assert "Wickerlark" not in nowhere.content.decode()


def test_ticks_land_under_the_phones_name_and_only_with_its_token(wickerlark: House, agreed: Event) -> None:
    path, browser = given(wickerlark, agreed), Client(enforce_csrf_checks=True)
    assert browser.post(path).status_code == 403
    page = browser.get(path)
    browser.post(path, headers={"X-CSRFToken": str(page.context["csrf_token"])})
    with wickerlark.enter():
        number = CrewPhone.objects.get().pk
        line = LoadOutLine.objects.filter(event=agreed).first()
    assert line
    told = browser.get(f"/phone/signed-in?phone={number}").json()
    assert told["person"] == f"phone-{number}"
    op = {"uuid": str(uuid.uuid4()), "line": line.pk, "count": 1, "made_at": timezone.now().isoformat()}
    address = wickerlark.url("events:ticks", agreed.pk)
    body = json.dumps({"ops": [op]})
    assert browser.post(address, body, content_type="application/json").status_code == 403
    sent = browser.post(address, body, content_type="application/json", headers={"X-CSRFToken": told["csrf"]})
    assert sent.json()["kept"] == [op["uuid"]]
    assert sent.json()["lines"][str(line.pk)]["by"] == "Rosa's phone"
    for wrong in ("", "0", "x", str(number + 1), "9" * 40, "²"):
        assert browser.get("/phone/signed-in", {"phone": wrong}).json()["person"] is None


def test_a_signed_in_person_is_told_to_sign_out_and_the_link_waits(wickerlark: House, agreed: Event) -> None:
    path, browser = given(wickerlark, agreed), wickerlark.client("crew")
    assert "signed in" in browser.get(path).content.decode()
    assert browser.post(path).status_code == 409
    with wickerlark.enter():
        assert CrewPhone.objects.get().taken_at is None


def test_without_script_the_phone_counts_back_and_stays_within_its_event(
    wickerlark: House, agreed: Event
) -> None:
    browser = on_a_phone(wickerlark, agreed)
    with wickerlark.enter():
        line = load_list.find_load_out_list(agreed.pk).states[0].line
    answer = browser.post(
        wickerlark.url("events:return-list", agreed.pk), {f"back-{line.pk}": "1"}, follow=True
    )
    assert answer.redirect_chain == [(wickerlark.url("events:load-out", agreed.pk), 302)]
    assert answer.status_code == 200
    with wickerlark.enter():
        assert Tick.objects.get().by == "Rosa's phone"


def test_the_office_gives_a_link_sees_it_once_renews_and_ends_it(wickerlark: House, agreed: Event) -> None:
    office, page = wickerlark.client("staff"), wickerlark.url("events:phones", agreed.pk)
    refused = office.post(page, {"whose": ""})
    assert refused.status_code == 422
    long = office.post(page, {"whose": "R" * 35})
    assert (long.status_code, "R" * 35 in long.content.decode()) == (422, True)
    assert office.post(page, {"whose": "Rosa"}).status_code == 302
    assert "/p/" in office.get(page).content.decode()
    again = office.get(page).content.decode()
    assert "/p/" not in again
    assert "Not opened yet" in again
    with wickerlark.enter():
        number = CrewPhone.objects.get().pk
    assert office.get(wickerlark.url("events:phone-link-renew", agreed.pk, number)).status_code == 405
    office.post(wickerlark.url("events:phone-link-renew", agreed.pk, number))
    assert "/p/" in office.get(page).content.decode()
    office.post(wickerlark.url("events:phone-link-end", agreed.pk, number))
    assert "Ended" in office.get(page).content.decode()
    assert wickerlark.client("crew").get(page).status_code == 403
    assert "Share with a phone" in office.get(wickerlark.url("events:event-crew", agreed.pk)).content.decode()


def test_questions_asked_stay_the_same_however_many_phones_and_lines(
    wickerlark: House, agreed: Event, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    browser, office = on_a_phone(wickerlark, agreed), wickerlark.client("staff")
    the_list, phones = (wickerlark.url(f"events:{name}", agreed.pk) for name in ("load-out", "phones"))
    for _ in range(2):
        with django_assert_num_queries(22):
            assert browser.get(the_list).status_code == 200
        with django_assert_num_queries(13):
            assert office.get(phones).status_code == 200
        for whose in ("Ada", "Bo", "Cy"):
            another = on_a_phone(wickerlark, agreed, whose)
            with wickerlark.enter():
                lines = load_list.find_load_out_list(agreed.pk).states
            presses = {"tick": f"{lines[0].line.pk}:1:{uuid.uuid4()}"}
            assert another.post(wickerlark.url("events:ticks", agreed.pk), presses).status_code == 302
