"""The pages on which transfers are chosen and undone."""

from __future__ import annotations

import pytest

from events.models import Event, TransferRequest
from events.transfers import changing
from stock.models import AgreedTransfer
from tests.events.conftest import stock_up
from tests.events.transfers.conftest import COVER, RING, bakery, hall
from tests.people import House


def test_a_transfer_is_chosen_and_undone_on_pages(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(RING), hall(RING)
    browser, path = wickerlark.client("staff"), wickerlark.url("events:transfer-choose", second.pk)
    assert "Ring 6 ft from Bakery birthday: up to 1, there by" in browser.get(path).content.decode()
    typed = {"which": f"{first.pk}:ring-6ft", "quantity": "1"}
    refused = browser.post(path, typed)
    more = browser.post(path, {**typed, "quantity": "2"})
    assert "At most 1 × Ring 6 ft can be transferred from Bakery birthday." in more.content.decode()
    assert refused.status_code == 422
    assert "isn’t cleaned between the two events" in refused.content.decode()
    assert "selected" in refused.content.decode(), "what was chosen stays"
    assert browser.post(path, {**typed, "unwashed": "on"}).status_code == 302
    page = browser.get(wickerlark.url("events:event", second.pk)).content.decode()
    assert "Comes directly from" in page
    with wickerlark.enter():
        link = AgreedTransfer.objects.get()
    undo = wickerlark.url("events:transfer-undo", second.pk, link.pk)
    assert (
        "Transfer undone: the items return to the studio first."
        in browser.post(undo, follow=True).content.decode()
    )
    with wickerlark.enter():
        assert not AgreedTransfer.objects.exists()


def test_a_request_is_shown_to_the_office_and_cancelled(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall()
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        wish = TransferRequest.objects.get()
    page = wickerlark.client().get(wickerlark.url("events:event", second.pk)).content.decode()
    assert "Requested from" in page
    assert (
        "Requested from"
        not in wickerlark.client("crew").get(wickerlark.url("events:event", second.pk)).content.decode()
    )
    wickerlark.client().post(wickerlark.url("events:transfer-request-cancel", second.pk, wish.pk))
    with wickerlark.enter():
        assert not TransferRequest.objects.exists()


@pytest.mark.parametrize(
    "typed",
    [
        {},
        {"which": "1:nothing", "quantity": "1"},
        {"which": "x", "quantity": "1"},
        {"quantity": "one"},
        {"quantity": "-1"},
        {"quantity": "99999999999999999999"},
        {"which": "\x00", "quantity": "1"},
    ],
)
def test_bad_input_is_answered_at_its_field(wickerlark: House, typed: dict[str, str]) -> None:
    with wickerlark.enter():
        stock_up()
        bakery(COVER)
        second = hall(COVER)
    page = wickerlark.client().post(wickerlark.url("events:transfer-choose", second.pk), typed)
    assert page.status_code == (422 if typed else 200)


def test_the_pages_are_for_those_who_edit_events_of_this_studio(
    wickerlark: House, federkorn: House, both: tuple[Event, Event]
) -> None:
    _, second = both
    with wickerlark.enter():
        link = AgreedTransfer.objects.get()
    for name, more, method in (
        ("transfer-choose", (), "get"),
        ("transfer-undo", (link.pk,), "post"),
        ("transfer-request-cancel", (1,), "post"),
    ):
        path = wickerlark.url(f"events:{name}", second.pk, *more)
        assert getattr(wickerlark.client("crew"), method)(path).status_code == 403
        assert getattr(federkorn.client(), method)(path).status_code == 404
        theirs = federkorn.url(f"events:{name}", second.pk, *more)
        assert getattr(federkorn.client(), method)(theirs).status_code == 404
    for name, more in (("transfer-undo", (link.pk,)), ("transfer-request-cancel", (1,))):
        assert wickerlark.client().get(wickerlark.url(f"events:{name}", second.pk, *more)).status_code == 405
    with wickerlark.enter():
        assert AgreedTransfer.objects.exists()
