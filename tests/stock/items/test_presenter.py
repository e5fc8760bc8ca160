"""The page of an item: setting aside, projection, next free day."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal

from stock.catalogue.items import Material
from stock.holds import holds
from stock.items.presenter import item_page
from stock.models import Hold
from stock.orders import orders
from stock.orders.orders import Wanted
from stock.suppliers import suppliers
from tests.stock.conftest import COVER, INK_5, RING, Stocked
from tests.stock.pages import text


def test_the_item_page_sets_aside_and_brings_back(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    client = stocked.house.client("staff")
    address = stocked.house.url("stock:item", ring.pk)
    key = re.search(r'name="set_aside-key" value="([^"]+)"', client.get(address).content.decode())
    assert key is not None
    day = (stocked.now + timedelta(days=4)).date().isoformat()
    data = {"set_aside-key": key[1], "set_aside-quantity": "1", "set_aside-purpose": "mending"}
    wrong = client.post(
        stocked.house.url("stock:item-set-aside", ring.pk), {**data, "set_aside-until": "soon"}
    )
    assert wrong.status_code == 422
    assert (
        client.post(
            stocked.house.url("stock:item-set-aside", ring.pk), {**data, "set_aside-until": day}
        ).status_code
        == 302
    )
    with stocked.house.enter():
        hold = Hold.objects.get()
    assert "Return to service" in text(client.get(address))
    client.post(stocked.house.url("stock:item-return", ring.pk, hold.pk))
    assert "No upcoming reservations." in text(client.get(address))


def test_the_item_page_projects_jobs_and_deliveries_and_says_when_to_order(stocked: Stocked) -> None:
    ink = stocked.item(INK_5)
    with stocked.house.enter():
        supplier = suppliers.add_supplier(name="Harbour Wholesale", lead_days=3)
        suppliers.set_price(supplier, ink, bag_size=100, price=Decimal(8))
        order = orders.write_order(supplier.pk, [Wanted(ink.pk, 100, 1, Decimal(8))], key="o")
        orders.send_order(order.pk)
        holds.hold(label="Fair", window=stocked.days(20, 21), needs=[Material(INK_5, 130)], key="k")
    page = text(stocked.house.client("crew").get(stocked.house.url("stock:item", ink.pk)))
    needed = (stocked.now + timedelta(days=20)).astimezone(stocked.house.studio.tz).date()
    order_by = needed - timedelta(days=4)
    assert f"Order by <strong>{order_by:%a %b} {order_by.day}</strong>" in page
    assert "+100" in page
    assert "30 short" in page


def test_what_is_all_away_says_from_when_on_one_is_free_for_a_day(stocked: Stocked) -> None:
    cover = stocked.item(COVER)
    with stocked.house.enter():
        for number, days in enumerate(((0.001, 2), (4, 5))):
            needs = [Material(COVER, 1)]
            holds.hold(label="Fair", window=stocked.days(*days), needs=needs, key=f"k{number}")
        # Back after two days and 30 hours of wash, but too late to be out and washed before the fourth.
        found = item_page(cover, stocked.house.studio)
        assert found.next_free == stocked.days(0, 5).end + timedelta(hours=30)
        assert item_page(stocked.item(RING), stocked.house.studio).next_free is None
