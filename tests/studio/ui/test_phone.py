"""What phones need to work without signal."""

from __future__ import annotations

from django.test import Client

from events.crew import assigning
from events.models import Event, ShiftKind
from studio.models import Membership
from tests.events.conftest import agree, stock_up, take
from tests.people import House

SECRETS = ("Adeyo", "adeyo@library.example", "+1617", "555-0123")
"""Of the client of the event below."""


def event_of(house: House) -> Event:
    with house.enter():
        stock_up()
        event = take(client_name="Mrs Adeyo", client_phone="(617) 555-0123")
        agree(event)
    return event


def test_the_worker_comes_from_the_root_is_asked_for_anew_and_obeys_the_content_policy() -> None:
    answer = Client().get("/phone-worker.js")
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Cache-Control"] == "no-cache"
    assert "connect-src 'self'" in answer["Content-Security-Policy"]


def test_who_is_signed_in_is_told_with_a_token_and_a_stranger_gets_none(wickerlark: House) -> None:
    assert Client().get("/phone/signed-in").json() == {"person": None, "csrf": ""}
    told = wickerlark.client("crew").get("/phone/signed-in").json()
    assert told["person"] == wickerlark.crew.pk
    assert len(told["csrf"]) == 64


def test_every_page_says_who_reads_it(wickerlark: House) -> None:
    account = Client().get("/account/login/")
    assert account["X-Billowbook-Reader"] == "nobody"
    page = wickerlark.client("crew").get(wickerlark.url("events:week"), follow=True)
    assert page["X-Billowbook-Reader"] == str(wickerlark.crew.pk)
    assert "X-Billowbook-Reader" not in Client().get("/phone-worker.js")


def test_the_page_without_signal_names_nobody(wickerlark: House) -> None:
    page = wickerlark.client("crew").get("/phone/without-signal/").content.decode()
    assert "No connection" in page
    assert "data-person" not in page


def test_the_token_is_good_for_a_tick(wickerlark: House) -> None:
    event = event_of(wickerlark)
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(wickerlark.crew)
    address = wickerlark.url("events:ticks", event.pk)
    assert browser.post(address, {"ops": []}, content_type="application/json").status_code == 403
    token = browser.get("/phone/signed-in").json()["csrf"]
    answer = browser.post(
        address, {"ops": []}, content_type="application/json", headers={"X-CSRFToken": token}
    )
    assert answer.status_code == 200


def test_only_pages_that_say_so_are_kept_and_they_name_no_client_telephone_or_price(
    wickerlark: House,
) -> None:
    event = event_of(wickerlark)
    for role in ("crew", "owner"):
        browser = wickerlark.client(role)
        with wickerlark.enter():
            number = Membership.objects.get(person=wickerlark.person(role)).pk
            assigning.assign_person(event.pk, ShiftKind.INSTALL, number)
        for name in ("load-out", "return-list", "run-sheet", "person-run-sheet"):
            about = number if name == "person-run-sheet" else event.pk
            answer = browser.get(wickerlark.url(f"events:{name}", about))
            assert "Library centenary" in answer.content.decode()
            assert answer["X-Billowbook-Keep"] == str(wickerlark.person(role).pk)
            page = answer.content.decode()
            assert [secret for secret in SECRETS if secret in page] == []
            assert "$" not in page
        told = browser.get(wickerlark.url("events:ticks", event.pk)).content.decode()
        assert [secret for secret in SECRETS if secret in told] == []
        for name in ("event", "run-sheet-contacts"):
            answer = browser.get(wickerlark.url(f"events:{name}", event.pk))
            assert "X-Billowbook-Keep" not in answer
