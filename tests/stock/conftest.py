"""A small stocked shelf for the tests of this room."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from stock.catalogue import items
from stock.catalogue.items import Material
from stock.ledger import movements
from stock.models import Item, Kind
from studio.measures.times import Window
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
        oat = items.add_colour(name="Oat", hex="#E9E1D2")
        ink = items.add_colour(name="Ink", hex="#2B3F50")
        items.add_item(kind=Kind.LATEX, colour=oat, size_in=11, bag_size=100, place="shelf A")
        items.add_item(kind=Kind.LATEX, colour=ink, size_in=5, bag_size=100, place="shelf A")
        items.add_item(
            kind=Kind.FRAME,
            name="Ring 6 ft",
            code=RING,
            place="bay C2",
            outline={"shape": "ring", "width_m": 1.83, "height_m": 1.83},
        )
        items.add_item(kind=Kind.COVER, name="Ring cover", colour=oat, turnaround_hours=30)
        movements.open_with([Material(OAT_11, 200), Material(RING, 2), Material(COVER, 1)])
    return Stocked(house, timezone.now())


@pytest.fixture
def stocked(wickerlark: House) -> Stocked:
    """Wickerlark with the things above on its shelf."""
    return stock(wickerlark)
