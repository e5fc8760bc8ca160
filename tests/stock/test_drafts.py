"""Forms that keep their text on the device: they are marked, and the server says when a draft is written."""

from __future__ import annotations

import re

import pytest

from tests.people import House
from tests.quoting.invoices.test_called_off import paid_and_called_off
from tests.stock.conftest import INK_5, Stocked, ordered
from tests.stock.pages import key_in

TOKEN = "0c6f4b52-9f7c-4d5e-9a1b-3d1f6a0e7c21"


def drafts_on(house: House, address: str) -> list[str]:
    """Where the page's keeping forms are sent."""
    page = re.sub(r"\s+", " ", house.client().get(address).content.decode())
    forms = re.findall(r"<form [^>]*data-draft[^>]*>", page)
    return [found[1] if (found := re.search(r'action="([^"]*)"', form)) else address for form in forms]


def test_an_enquiry_keeps_its_text(wickerlark: House) -> None:
    address = wickerlark.url("events:enquiry-add")
    assert drafts_on(wickerlark, address) == [address]


def test_the_decision_about_the_payments_of_a_called_off_event_keeps_its_text(wickerlark: House) -> None:
    offer = paid_and_called_off(wickerlark)
    address = wickerlark.url("quoting:event-settle-payments", offer.quote.event_id)
    assert drafts_on(wickerlark, address) == [address]


def test_receiving_counting_and_writing_off_keep_their_text(stocked: Stocked) -> None:
    ink = stocked.item(INK_5)
    kept = drafts_on(stocked.house, stocked.house.url("stock:item", ink.pk))
    for name in ("item-receive", "item-count", "item-write-off"):
        assert stocked.house.url(f"stock:{name}", ink.pk) in kept


def test_a_delivery_keeps_its_text(sold: Stocked) -> None:
    order = ordered(sold)
    kept = drafts_on(sold.house, sold.house.url("stock:order", order.pk))
    assert kept == [sold.house.url("stock:order-receive", order.pk)]


@pytest.mark.parametrize(
    ("quantity", "token", "cookie"),
    [("3", TOKEN, TOKEN), ("many", TOKEN, None), ("3", "x; path=/admin", None), ("3", "", None)],
)
def test_the_server_says_which_draft_is_written_and_no_other(
    stocked: Stocked, quantity: str, token: str, cookie: str | None
) -> None:
    item = stocked.item(INK_5)
    client = stocked.house.client()
    key = key_in(client.get(stocked.house.url("stock:item", item.pk)), "receive")
    answer = client.post(
        stocked.house.url("stock:item-receive", item.pk),
        {"receive-key": key, "receive-quantity": quantity, "draft": token},
    )
    saved = answer.cookies.get("draft_saved")
    assert (saved.value if saved else None) == cookie
