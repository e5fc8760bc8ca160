"""Shelf life of latex: first in, first out."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from stock.care import shelf_life
from stock.care.shelf_life import Arrival, remaining_layers
from stock.catalogue import shelf_rules
from stock.ledger import movements
from tests.stock.conftest import INK_5, OAT_11, Stocked
from tests.stock.pages import text

MONDAY = datetime(2026, 3, 2, 9, tzinfo=UTC)


def test_the_oldest_leaves_first_so_the_newest_are_left() -> None:
    # First in, first out: a principle of bookkeeping (IAS 2, paragraph 27). By hand: 100, then 50, then 80 came
    # in, 90 are left: all 80 of the last and 10 of the second.
    arrivals = [
        Arrival(MONDAY + timedelta(days=number), pieces) for number, pieces in enumerate((100, 50, 80))
    ]
    left = remaining_layers(90, reversed(arrivals))
    assert [(layer.at, layer.left) for layer in left] == [
        (MONDAY + timedelta(days=1), 10),
        (MONDAY + timedelta(days=2), 80),
    ]


def test_what_was_found_while_counting_is_as_old_as_the_oldest() -> None:
    arrivals = [Arrival(MONDAY, 20, "B"), Arrival(MONDAY - timedelta(days=9), 10, "A")]
    assert [(layer.batch, layer.left) for layer in remaining_layers(45, arrivals)] == [("A", 25), ("B", 20)]
    assert remaining_layers(0, arrivals) == []
    assert remaining_layers(5, []) == []


def test_latex_past_the_studios_shelf_life_is_named_with_its_pieces(stocked: Stocked) -> None:
    oat, ink = stocked.item(OAT_11), stocked.item(INK_5)
    with stocked.house.enter():
        movements.receive(ink.pk, 60, key="old", at=stocked.now - timedelta(days=400), batch="L1")
        movements.receive(ink.pk, 40, key="new", at=stocked.now - timedelta(days=10))
        movements.use(ink.pk, 30, key="used")
        (each,) = shelf_life.find_old_stock()
        assert (each.item.pk, each.pieces) == (ink.pk, 30)
        movements.use(ink.pk, 30, key="used-2")
        assert shelf_life.find_old_stock() == []
        shelf_rules.change_rules(latex_life_days=7)
        assert {each.item.pk: each.pieces for each in shelf_life.find_old_stock()} == {ink.pk: 40}
        assert [each.item.pk for each in shelf_life.find_old_stock(within=timedelta(days=30))] == [
            ink.pk,
            oat.pk,
        ]
    page = text(stocked.house.client("crew").get(stocked.house.url("stock:item", ink.pk)))
    assert "past its best" in page
