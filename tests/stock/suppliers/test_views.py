"""The pages of a supplier: facts and price breaks."""

from __future__ import annotations

from decimal import Decimal

from stock.models import Item, Supplier, SupplierPrice
from tests.stock.conftest import INK_5, Stocked
from tests.stock.pages import text


def test_a_supplier_is_written_down_with_prices_and_breaks(stocked: Stocked) -> None:
    client = stocked.house.client()
    answer = client.post(
        stocked.house.url("stock:suppliers"),
        {"name": "Corner Depot", "lead_days": "2", "delivery_charge": "7.50", "minimum_order": ""},
    )
    with stocked.house.enter():
        supplier, ink = Supplier.objects.get(), Item.objects.get(code=INK_5)
    assert answer["Location"] == stocked.house.url("stock:supplier", supplier.pk)
    assert supplier.delivery_charge == Decimal("7.5000")
    for price, from_bags in (("9.20", ""), ("8.40", "5"), ("9.00", "1")):
        data = {"item": ink.pk, "bag_size": "100", "price": price, "from_bags": from_bags}
        assert (
            client.post(stocked.house.url("stock:supplier-price-set", supplier.pk), data).status_code == 302
        )
    with stocked.house.enter():
        kept = sorted(SupplierPrice.objects.values_list("from_bags", "price"))
    assert kept == [(1, Decimal("9.0000")), (5, Decimal("8.4000"))]
    wrong = client.post(
        stocked.house.url("stock:supplier-price-set", supplier.pk),
        {"item": "x", "bag_size": "0", "price": "-1"},
    )
    assert wrong.status_code == 422
    assert text(wrong).count("field-wrong") >= 3
    again = client.post(stocked.house.url("stock:suppliers"), {"name": "CORNER depot", "lead_days": "1"})
    assert again.status_code == 422
    assert "There is already a supplier called CORNER depot." in text(again)
