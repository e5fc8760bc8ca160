"""Whatever a person can ask for that costs time or sends mail is refused in words once it is too much."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, override_settings

from events.crew import assigning
from events.crew import people as crew
from events.models import Answer, CrewCall, Event, ShiftKind
from quoting.models import Offer, Quote
from stock.models import Item
from studio.models import Membership, OutboxEntry
from studio.people.rate_limit import FEED
from studio.tenancy import fair_share
from studio.tenancy.fair_share import FITS, MAILS, PAPERS, PLANS, Share
from tests.events.conftest import agree, stock_up, take
from tests.people import House
from tests.quoting import scenes
from tests.worker import do_long_work

pytestmark = pytest.mark.usefixtures("within_one_window")


@pytest.fixture(autouse=True)
def _a_machine_of_the_usual_size() -> Iterator[None]:
    with override_settings(WEB_CAPACITY=1.0):
        yield


@pytest.fixture
def event(wickerlark: House) -> Event:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event)
    return event


def spend(house: House, share: Share) -> None:
    """Use the owner's share up, whatever is left of it."""
    with suppress(fair_share.TooMuch), house.enter(), fair_share.of_page():
        fair_share.ask(share, min(limit.tries for limit in share.person))


def test_papers_of_the_day(wickerlark: House, event: Event) -> None:
    spend(wickerlark, PAPERS)
    for kind in ("run-sheet", "load-out", "return-list"):
        answer = wickerlark.client().post(wickerlark.url("events:paper-make", event.pk, kind))
        assert answer.status_code == 429, kind
        assert "You asked for too many PDFs in a short time." in answer.content.decode()
    with wickerlark.enter():
        assert not OutboxEntry.objects.filter(task="studio.print_paper").exists()
    other = wickerlark.client("staff").post(wickerlark.url("events:paper-make", event.pk, "run-sheet"))
    assert other.status_code == 302


def test_plans(wickerlark: House, event: Event) -> None:
    with wickerlark.enter():
        crew.change_person(
            crew.find_person(Membership.objects.get(person=wickerlark.crew).pk), is_called=True
        )
    spend(wickerlark, PLANS)
    day = event.ready_by.date().isoformat()
    answer = wickerlark.client().post(wickerlark.url("events:plan"), {"first": day, "last": day})
    assert answer.status_code == 422
    assert "You asked for too many plans in a short time." in answer.content.decode()
    assert f'value="{day}"' in answer.content.decode(), "what was typed is still there"
    with wickerlark.enter():
        assert not OutboxEntry.objects.filter(task="events.plan_days").exists()


def test_calls_to_crew(wickerlark: House, event: Event) -> None:
    with wickerlark.enter():
        assigning.assign_person(
            event.pk, ShiftKind.INSTALL, Membership.objects.get(person=wickerlark.crew).pk
        )
    spend(wickerlark, MAILS)
    answer = wickerlark.client().post(wickerlark.url("events:crew-call", event.pk), follow=True)
    assert "You asked for too many e-mails in a short time." in answer.content.decode()
    with wickerlark.enter():
        assert CrewCall.objects.get().answer == Answer.NOT_ASKED
        assert not OutboxEntry.objects.filter(task="events.mail_crew_call").exists()


def test_offers(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
    page = wickerlark.url("quoting:offer-make", quote.pk)
    sent = {"version": str(quote.version), "after": "0"}
    spend(wickerlark, PAPERS)
    answer = wickerlark.client().post(page, sent)
    assert answer.status_code in (302, 422, 429)
    told = answer if answer.status_code != 302 else wickerlark.client().get(answer["Location"])
    with wickerlark.enter():
        assert not Offer.objects.exists()
        assert Quote.objects.get().state != "offered"
        assert not OutboxEntry.objects.exists()
    assert "You asked for too many PDFs in a short time." in told.content.decode()


@pytest.mark.parametrize("name", ["fit-budget", "fit-stock"])
def test_fittings_to_a_budget_and_to_the_stock(wickerlark: House, name: str) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece = quote.pieces.get()
    sent = {"version": str(quote.version), "piece": str(piece.pk), "budget": "500"}
    browser, page = wickerlark.client(), wickerlark.url(f"quoting:quote-{name}", quote.pk)
    spend(wickerlark, FITS)
    assert browser.post(page, sent, headers={"hx-request": "true"}).status_code == 429
    with wickerlark.enter():
        assert not OutboxEntry.objects.exists()


def test_a_studio_has_two_fittings_at_a_time_and_another_studio_has_its_own(
    wickerlark: House, federkorn: House
) -> None:
    def asked(house: House, role: str) -> Any:
        with house.enter():
            quote = Quote.objects.first() or scenes.quote(house)
            piece = quote.pieces.get()
        sent = {"version": str(quote.version), "piece": str(piece.pk), "budget": "500"}
        page = house.url("quoting:quote-fit-budget", quote.pk)
        return house.client(role).post(page, sent, headers={"hx-request": "true"})

    with wickerlark.enter(), fair_share.of_page():
        taken = fair_share.take_place(FITS)
    assert asked(wickerlark, "owner").status_code == 200
    assert asked(wickerlark, "owner").status_code == 200, "the person's own one before is stopped"
    busy = asked(wickerlark, "staff")
    assert (busy.status_code, busy["Retry-After"]) == (429, "3")
    assert asked(federkorn, "owner").status_code == 200
    fair_share.leave_place(taken)
    assert asked(wickerlark, "staff").status_code == 200


def test_a_table_that_is_too_much_stays_checked_and_can_be_imported_later(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser, page = wickerlark.client(), wickerlark.url("stock:catalogue-import")
    check = browser.post(page, {"file": csv_of("clip", "tape")})["Location"]
    do_long_work(wickerlark)
    spend(wickerlark, fair_share.TABLE_ROWS)
    refused = browser.post(check)
    assert refused.status_code == 429
    assert "You asked for too many rows of tables in a short time." in refused.content.decode()
    assert "2 to add" in refused.content.decode()
    monkeypatch.setattr("studio.tenancy.counters.time", lambda: 1_800_000_600.0)
    assert browser.post(check).status_code == 302
    do_long_work(wickerlark)
    with wickerlark.enter():
        assert set(Item.objects.values_list("code", flat=True)) == {"clip", "tape"}


def test_one_table_at_a_time_in_a_studio_and_none_waits_for_another_studio(
    wickerlark: House, federkorn: House
) -> None:
    page = "stock:catalogue-import"
    assert wickerlark.client("staff").post(wickerlark.url(page), {"file": csv_of("clip")}).status_code == 302
    busy = wickerlark.client().post(wickerlark.url(page), {"file": csv_of("clip")})
    assert busy.status_code == 429
    assert "Others of your studio have asked for this" in busy.content.decode()
    assert federkorn.client().post(federkorn.url(page), {"file": csv_of("clip")}).status_code == 302
    do_long_work(wickerlark)
    assert wickerlark.client().post(wickerlark.url(page), {"file": csv_of("clip")}).status_code == 302


def test_a_calendar_that_is_asked_for_without_end(wickerlark: House, event: Event) -> None:
    browser = wickerlark.client()
    browser.post(wickerlark.url("events:studio-feed-open"))
    address = browser.session["feed_address"].removeprefix("http://testserver")
    statuses = [Client().get(address).status_code for _ in range(FEED.tries + 1)]
    assert statuses == [200] * FEED.tries + [429]


def test_a_persons_addresses_are_changed_only_so_often(wickerlark: House) -> None:
    browser = wickerlark.client()
    answers: list[Any] = [
        browser.post("/account/email/", {"action_add": "", "email": f"x{n}@example.test"}) for n in range(8)
    ]
    assert answers[0].status_code == 302
    assert answers[-1].status_code == 429


def csv_of(*names: str) -> SimpleUploadedFile:
    lines = ["code,kind,name", *(f"{name},hardware,{name.title()}" for name in names)]
    return SimpleUploadedFile("shelf.csv", "\n".join(lines).encode(), "text/csv")
