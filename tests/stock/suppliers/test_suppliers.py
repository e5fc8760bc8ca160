"""Suppliers: names are unique, prices replace one another, and only who may see costs keeps them."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction

from stock.buying import purchase_list
from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds
from stock.models import Kind, SupplierPrice
from stock.suppliers import suppliers
from tests.stock.conftest import INK_5, Market, Stocked


def hold_ink(stocked: Stocked, quantity: int, day: float, key: str, **more: Any) -> None:
    with stocked.house.enter():
        holds.hold(
            label=f"Job {key}",
            window=stocked.days(day, day + 1),
            needs=[Material(INK_5, quantity)],
            key=key,
            **more,
        )


def test_two_suppliers_of_one_name_are_one_too_many(market: Market) -> None:
    with market.stocked.house.enter():
        with pytest.raises(ValidationError, match="already"):
            suppliers.add_supplier(name="corner depot")
        items.add_item(kind=Kind.TOOL, name="Pump")
        suppliers.retire_supplier(market.quick)
        hold_ink(market.stocked, 40, 5, "soon")
        assert [order.supplier for order in purchase_list.suggest_orders().orders] == [market.slow]


def test_a_supplier_that_is_used_again_is_asked_again(market: Market) -> None:
    with market.stocked.house.enter():
        hold_ink(market.stocked, 40, 5, "soon")
        suppliers.retire_supplier(market.quick)
        suppliers.restore_supplier(market.quick)
        market.quick.refresh_from_db()
        assert market.quick.retired_at is None
        assert [order.supplier for order in purchase_list.suggest_orders().orders] == [market.quick]


def test_a_price_replaces_the_one_before_and_keeps_their_code(market: Market) -> None:
    ink = market.stocked.item(INK_5)
    with market.stocked.house.enter():
        suppliers.set_price(market.quick, ink, bag_size=50, price=Decimal("7.25"))
        (price,) = SupplierPrice.objects.filter(supplier=market.quick)
        assert (price.price, price.their_code) == (Decimal("7.25"), "X-5")
        suppliers.set_price(market.quick, ink, bag_size=50, from_bags=10, price=Decimal("6.00"))
        assert SupplierPrice.objects.filter(supplier=market.quick).count() == 2
        suppliers.remove_price(price)
        assert SupplierPrice.objects.get(supplier=market.quick).from_bags == 10


def test_the_first_prices_of_a_supplier_come_together_and_none_of_them_twice(market: Market) -> None:
    ink = market.stocked.item(INK_5)

    def price(amount: str, from_bags: int) -> SupplierPrice:
        return SupplierPrice(item=ink, bag_size=100, from_bags=from_bags, price=Decimal(amount))

    with market.stocked.house.enter():
        new = suppliers.add_supplier(name="Ribbon and air")
        with pytest.raises(ValidationError, match="decimal places"):
            suppliers.add_prices(new, [price("8.00", 1), price("7.00001", 10)])
        assert not new.prices.exists()
        suppliers.add_prices(new, [price("8.00", 1), price("7.00", 10)])
        kept = new.prices.order_by("from_bags").values_list("from_bags", "price")
        assert list(kept) == [(1, Decimal("8.00")), (10, Decimal("7.00"))]
        with pytest.raises(IntegrityError), transaction.atomic():
            suppliers.add_prices(new, [price("9.00", 1)])
        with pytest.raises(IntegrityError), transaction.atomic():
            suppliers.add_prices(new, [price("-1.00", 5)])


@pytest.mark.parametrize("role", ["staff", "crew"])
def test_only_who_may_see_costs_keeps_suppliers(market: Market, role: str) -> None:
    with market.stocked.house.enter(role):
        acts: list[Callable[[], None]] = [
            lambda: suppliers.retire_supplier(market.quick),
            lambda: suppliers.restore_supplier(market.quick),
            lambda: suppliers.remove_price(SupplierPrice.objects.all()[0]),
            lambda: suppliers.add_prices(market.quick, []),
        ]
        for act in acts:
            with pytest.raises(PermissionDenied, match="doesn't allow you to"):
                act()
    with market.stocked.house.enter():
        assert SupplierPrice.objects.count() == 2
