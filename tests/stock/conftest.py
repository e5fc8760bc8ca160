"""A small stocked shelf for the tests of this room."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from stock.catalogue.items import Material
from stock.holds import holds
from stock.models import Item, Kind, PurchaseOrder, Supplier
from stock.orders import orders
from stock.orders.orders import Wanted
from stock.suppliers import suppliers
from studio.measures.times import Window
from tests import shelf
from tests.people import House

RING = "ring-6-ft"
COVER = "ring-cover"
OAT_11 = "latex-11-oat"
INK_5 = "latex-5-ink"


@dataclass(frozen=True)
class Stocked:
    """A studio with two rings, one cover (30 h in the wash), 200 oat rounds and no ink ones."""

    house: House
    now: datetime

    def item(self, code: str) -> Item:
        with self.house.enter():
            return Item.objects.get(code=code)

    def days(self, start: float, end: float) -> Window:
        """From so many days from now to so many."""
        return Window(self.now + timedelta(days=start), self.now + timedelta(days=end))


def stock(house: House) -> Stocked:
    """Put the things on that studio's shelf."""
    with house.enter():
        hues = shelf.colours({"Oat": "#E9E1D2", "Ink": "#2B3F50"})
        outline = {"shape": "ring", "width_m": 1.83, "height_m": 1.83}
        shelf.put(
            [
                (shelf.latex(hues["oat"], 11, bag_size=100, place="shelf A"), 200),
                (shelf.latex(hues["ink"], 5, bag_size=100, place="shelf A"), 0),
                (shelf.thing(Kind.FRAME, "Ring 6 ft", code=RING, place="bay C2", outline=outline), 2),
                (shelf.thing(Kind.COVER, "Ring cover", colour=hues["oat"], turnaround_hours=30), 1),
            ]
        )
    return Stocked(house, timezone.now())


@pytest.fixture
def stocked(wickerlark: House) -> Stocked:
    """Wickerlark with the things above on its shelf."""
    return stock(wickerlark)


@dataclass(frozen=True)
class Market:
    """Two suppliers of ink rounds: a cheap slow one and a dear quick one."""

    stocked: Stocked
    slow: Supplier
    quick: Supplier


@pytest.fixture
def market(stocked: Stocked) -> Market:
    with stocked.house.enter():
        slow = suppliers.add_supplier(name="Harbour Wholesale", lead_days=14)
        quick = suppliers.add_supplier(name="Corner Depot", lead_days=2)
        ink = Item.objects.get(code=INK_5)
        suppliers.set_price(slow, ink, bag_size=100, price=Decimal("8.00"))
        suppliers.set_price(quick, ink, bag_size=50, price=Decimal("6.50"), their_code="X-5")
    return Market(stocked, slow, quick)


@pytest.fixture
def sold(stocked: Stocked) -> Stocked:
    """Ink is sold by one supplier, 100 in a bag at 8.00, and a job wants 250."""
    with stocked.house.enter():
        supplier = suppliers.add_supplier(name="Harbour Wholesale", lead_days=4)
        ink = Item.objects.get(code=INK_5)
        suppliers.set_price(supplier, ink, bag_size=100, price=Decimal("8.00"), their_code="=1+1")
        holds.hold(label="Fair", window=stocked.days(20, 21), needs=[Material(INK_5, 250)], key="k")
    return stocked


def ordered(sold: Stocked) -> PurchaseOrder:
    with sold.house.enter():
        supplier, ink = Supplier.objects.get(), Item.objects.get(code=INK_5)
        wanted = [Wanted(ink.pk, 100, 3, Decimal("8.00"), "=1+1")]
        order = orders.write_order(supplier.pk, wanted, key="o")
        return orders.send_order(order.pk)
