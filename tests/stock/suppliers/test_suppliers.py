"""Suppliers: names are unique."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from stock.buying import purchase_list
from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds
from stock.models import Kind
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
