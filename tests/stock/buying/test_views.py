"""Pages of buying: who may see what, a delivery received, a file for the supplier, errors where they belong."""

from __future__ import annotations

import re
from decimal import Decimal

from django.db import connection
from django.test.utils import CaptureQueriesContext

from stock.buying.views import SOLVED_WITH_THE_PAGE
from stock.catalogue import items as catalogue
from stock.catalogue.items import Material
from stock.holds import holds
from stock.models import Kind, OrderLine, OrderState, PurchaseOrder, Supplier
from stock.suppliers import suppliers
from tests.stock.conftest import Stocked, ordered
from tests.stock.pages import text


def test_a_shortage_becomes_an_order_in_two_presses(sold: Stocked) -> None:
    client = sold.house.client()
    page = text(client.get(sold.house.url("stock:purchase-list")))
    assert "Ink 5 in" in page
    assert "3 × 100" in page
    assert "$24.00" in page
    assert "This is the lowest cost at your suppliers’ prices." in page
    key = re.search(r'name="key" value="([^"]+)"', page)
    assert key is not None
    first = client.post(sold.house.url("stock:purchase-list"), {"key": key[1]})
    with sold.house.enter():
        order = PurchaseOrder.objects.get()
        assert first["Location"] == sold.house.url("stock:order", order.pk)
    client.post(sold.house.url("stock:order-send", order.pk), {"expected_on": ""})
    with sold.house.enter():
        order.refresh_from_db()
        assert order.state == OrderState.SENT
    assert "Nothing is missing for confirmed holds" in text(client.get(sold.house.url("stock:purchase-list")))


def test_the_buying_pages_are_the_owners_and_crew_see_no_order(sold: Stocked) -> None:
    order = ordered(sold)
    supplier_id = order.supplier_id
    for name, args in (
        ("purchase-list", ()),
        ("suppliers", ()),
        ("supplier", (supplier_id,)),
        ("order-pdf", (order.pk,)),
    ):
        assert sold.house.client("staff").get(sold.house.url(f"stock:{name}", *args)).status_code == 403
    for name, args in (("orders", ()), ("order", (order.pk,))):
        assert sold.house.client("crew").get(sold.house.url(f"stock:{name}", *args)).status_code == 403


def test_the_buying_pages_take_few_queries_however_much_lacks(sold: Stocked) -> None:
    order = ordered(sold)
    client = sold.house.client()
    addresses = [
        sold.house.url("stock:purchase-list"),
        sold.house.url("stock:orders"),
        sold.house.url("stock:order", order.pk),
        sold.house.url("stock:suppliers"),
        sold.house.url("stock:supplier", order.supplier_id),
    ]

    def more(count: int, tag: str) -> None:
        with sold.house.enter():
            supplier = Supplier.objects.get(pk=order.supplier_id)
            items = [
                catalogue.add_item(kind=Kind.HARDWARE, name=f"Line {tag} {n}", nature="consumable")
                for n in range(count)
            ]
            for item in items:
                suppliers.set_price(supplier, item, bag_size=10, price=Decimal(3))
                OrderLine.objects.create(order=order, item=item, bags=2, bag_size=1, price=Decimal(3))
            needs = [Material(item.code, 7) for item in items]
            holds.hold(label="Gala", window=sold.days(20, 21), needs=needs, key=f"more-{tag}")

    def queries() -> list[int]:
        found = []
        for address in addresses:
            with CaptureQueriesContext(connection) as seen:
                assert client.get(address).status_code == 200
            # Savepoints, and settings put back, are the test's own: the product has one transaction a page.
            asked = [query["sql"] for query in seen.captured_queries if "SAVEPOINT" not in query["sql"]]
            found.append(sum("set_config('billowbook.studio', ''" not in sql for sql in asked))
        return found

    more(2, "a")
    queries()
    before = queries()
    more(12, "b")
    assert queries() == before
    assert max(before) <= 12, before


def test_where_much_lacks_the_list_comes_first_and_the_cheapest_orders_after_it(sold: Stocked) -> None:
    with sold.house.enter():
        supplier = Supplier.objects.get()
        names = [f"Clip {number}" for number in range(SOLVED_WITH_THE_PAGE + 1)]
        items = [catalogue.add_item(kind=Kind.HARDWARE, name=name, nature="consumable") for name in names]
        for item in items:
            suppliers.set_price(supplier, item, bag_size=10, price=Decimal(3))
        needs = [Material(item.code, 7) for item in items]
        holds.hold(label="Gala", window=sold.days(20, 21), needs=needs, key="many")
    client, address = sold.house.client(), sold.house.url("stock:purchase-list")
    page = text(client.get(address))
    assert "Clip 3" in page
    assert "Create this order" not in page
    assert 'hx-trigger="load"' in page
    part = text(client.get(address, {"orders": "1"}, headers={"HX-Request": "true"}))
    assert "Create this order" in part
    assert "<html" not in part
    assert "Create this order" in text(client.get(address, {"orders": "1"})), "without scripts as well"
