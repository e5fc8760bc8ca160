"""The pages of an item: who sees and writes what, and what is refused."""

from __future__ import annotations

from decimal import Decimal

import pytest

from stock.catalogue import items
from stock.ledger import movements
from stock.models import Colour, Item, Movement
from tests.people import House
from tests.stock.conftest import COVER, OAT_11, RING, Stocked
from tests.stock.pages import key_in, posted, text


def test_crew_see_counts_and_never_prices_and_staff_no_costs(stocked: Stocked) -> None:
    with stocked.house.enter():
        items.change_item(
            Item.objects.get(code=RING), price_per_use=Decimal("45.25"), unit_cost=Decimal("181.50")
        )
        items.change_item(Item.objects.get(code=OAT_11), bag_price=Decimal("13.75"))
    ring, oat = stocked.item(RING), stocked.item(OAT_11)
    pages = {
        role: " ".join(
            text(stocked.house.client(role).get(stocked.house.url("stock:item", each.pk)))
            for each in (ring, oat)
        )
        for role in ("owner", "staff", "crew")
    }
    assert all(amount in pages["owner"] for amount in ("$45.25", "$181.50", "$13.75"))
    assert "$45.25" in pages["staff"]
    assert "181.50" not in pages["staff"]
    assert "13.75" not in pages["staff"]
    assert "$" not in pages["crew"]
    assert "2 of 2 here" in pages["crew"]


def test_staff_change_an_item_without_seeing_or_touching_its_cost(stocked: Stocked) -> None:
    with stocked.house.enter():
        items.change_item(Item.objects.get(code=COVER), unit_cost=Decimal("30.00"))
    cover = stocked.item(COVER)
    client, address = stocked.house.client("staff"), stocked.house.url("stock:item-change", cover.pk)
    assert "30.00" not in text(client.get(address))
    response = posted(
        client, address, name="Ring cover, new", turnaround_hours="12", unit_cost="1", place="shelf F"
    )
    assert response.status_code == 302
    changed = stocked.item(COVER)
    assert (changed.name, changed.turnaround_hours, changed.place) == ("Ring cover, new", 12, "shelf F")
    assert changed.unit_cost == Decimal("30.0000")


@pytest.mark.parametrize("page", ["item-choose-kind", "colours"])
def test_crew_may_not_edit_the_shelf(stocked: Stocked, page: str) -> None:
    assert stocked.house.client("crew").get(stocked.house.url(f"stock:{page}")).status_code == 403


@pytest.mark.parametrize(
    "deed", ["item-receive", "item-count", "item-write-off", "item-retire", "item-restore"]
)
def test_crew_may_not_write_movements(stocked: Stocked, deed: str) -> None:
    ring = stocked.item(RING)
    assert stocked.house.client("crew").post(stocked.house.url(f"stock:{deed}", ring.pk)).status_code == 403
    with stocked.house.enter():
        assert Movement.objects.filter(item=ring).count() == 1


@pytest.mark.parametrize(
    "page",
    ["item", "item-change", "item-receive", "item-count", "item-write-off", "item-retire", "item-restore"],
)
def test_another_studios_item_is_not_found(stocked: Stocked, federkorn: House, page: str) -> None:
    ring = stocked.item(RING)
    client = federkorn.client()
    for method in (client.get, client.post):
        response = method(federkorn.url(f"stock:{page}", ring.pk))
        assert response.status_code in ({404, 405} if page != "item" or method == client.get else {405})
    assert client.post(federkorn.url("stock:item-receive", ring.pk)).status_code == 404
    assert client.get(federkorn.url("stock:item", ring.pk)).status_code == 404
    assert client.get(stocked.house.url("stock:item", ring.pk)).status_code == 404


def test_another_studios_colour_is_not_found_and_cannot_be_chosen(stocked: Stocked, federkorn: House) -> None:
    with stocked.house.enter():
        oat = Colour.objects.get(code="oat")
    client = federkorn.client()
    assert client.get(federkorn.url("stock:colour-change", oat.pk)).status_code == 404
    response = posted(client, federkorn.url("stock:item-add", "latex"), colour=oat.pk, size_in="11")
    assert response.status_code == 422
    assert "Select a valid choice" in text(response)


@pytest.mark.parametrize(
    "deed", ["item-receive", "item-count", "item-write-off", "item-retire", "item-restore"]
)
def test_nothing_changes_by_a_get(stocked: Stocked, deed: str) -> None:
    ring = stocked.item(RING)
    assert stocked.house.client().get(stocked.house.url(f"stock:{deed}", ring.pk)).status_code == 405


def test_ids_beyond_any_row_are_not_found(stocked: Stocked) -> None:
    assert stocked.house.client().get(stocked.house.url("stock:item", 10**30)).status_code == 404
    assert stocked.house.client().get(stocked.house.url("stock:item-add", "yacht")).status_code == 404


def test_receiving_bags_and_pieces_adds_both_and_a_double_press_once(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    client = stocked.house.client("staff")
    page = client.get(stocked.house.url("stock:item", oat.pk))
    data = {"receive-key": key_in(page, "receive"), "receive-bags": "2", "receive-quantity": "5"}
    client.post(stocked.house.url("stock:item-receive", oat.pk), data)
    response = client.post(stocked.house.url("stock:item-receive", oat.pk), data, follow=True)
    assert "Oat 11 in: +205, now 405." in text(response)
    with stocked.house.enter():
        assert movements.balances([oat.pk]) == {oat.pk: 405}


def test_counting_writes_the_difference_with_its_reason(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    response = stocked.house.client().post(
        stocked.house.url("stock:item-count", oat.pk),
        {"count-key": "c1", "count-quantity": "188", "count-reason": "a bag was open"},
        follow=True,
    )
    page = text(response)
    assert "Oat 11 in: -12, now 188." in page
    assert "a bag was open" in page


@pytest.mark.parametrize(
    ("deed", "data", "message"),
    [
        ("item-receive", {"receive-key": "k"}, "Enter how many came in"),
        ("item-receive", {"receive-key": "k", "receive-quantity": "-4"}, "greater than or equal to 1"),
        ("item-receive", {"receive-key": "k", "receive-quantity": "12 bags"}, "Enter a whole number"),
        ("item-receive", {"receive-key": "k", "receive-bags": "9999999"}, "Enter how many came in"),
        ("item-receive", {"receive-quantity": "5"}, "This form was incomplete"),
        ("item-receive", {"receive-key": "k" * 65, "receive-quantity": "5"}, "This form was incomplete"),
        ("item-count", {"count-key": "k", "count-quantity": ""}, "This field is required"),
        ("item-count", {"count-key": "k", "count-quantity": "99999999999999999999"}, "less than or equal to"),
        (
            "item-write-off",
            {"write_off-key": "k", "write_off-kind": "lost", "write_off-quantity": "201"},
            "Count it first",
        ),
        (
            "item-write-off",
            {"write_off-key": "k", "write_off-kind": "sold", "write_off-quantity": "1"},
            "valid choice",
        ),
    ],
)
def test_a_wrong_movement_is_refused_at_its_field_and_what_was_typed_stays(
    stocked: Stocked, deed: str, data: dict[str, str], message: str
) -> None:
    oat = stocked.item(OAT_11)
    response = stocked.house.client().post(stocked.house.url(f"stock:{deed}", oat.pk), data)
    page = text(response)
    assert response.status_code == 422
    assert message in page
    for value in data.values():
        if len(value) < 30 and value not in {"k", "sold"}:
            assert value in page
    with stocked.house.enter():
        assert movements.balances([oat.pk]) == {oat.pk: 200}


def test_a_movements_reason_is_shown_as_text(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        movements.receive(oat.pk, 1, key="k", reason="<script>alert(1)</script>")
    assert "<script>alert" not in text(stocked.house.client().get(stocked.house.url("stock:item", oat.pk)))
