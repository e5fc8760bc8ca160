"""Purchase orders: partial deliveries, closing, cancelling, sending back, prices, numbers."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404

from stock.buying import purchase_list
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import Item, Movement, OrderLine, OrderState, PurchaseOrder, SupplierPrice
from stock.orders import orders
from stock.orders.orders import Delivered, Wanted
from tests.people import House
from tests.stock.conftest import INK_5, OAT_11, Market, Stocked


def hold_ink(stocked: Stocked, quantity: int, day: float, key: str, **more: Any) -> None:
    with stocked.house.enter():
        holds.hold(
            label=f"Job {key}",
            window=stocked.days(day, day + 1),
            needs=[Material(INK_5, quantity)],
            key=key,
            **more,
        )


def sent_order(market: Market, bags: int = 3) -> tuple[PurchaseOrder, OrderLine]:
    """An order of ink from the slow one, sent."""
    ink = market.stocked.item(INK_5)
    with market.stocked.house.enter():
        order = orders.write_order(
            market.slow.pk, [Wanted(ink.pk, 100, bags, Decimal("8.00"))], key=f"write-{bags}"
        )
        orders.send_order(order.pk)
        return orders.find_order(order.pk), OrderLine.objects.get(order=order)


def test_a_part_comes_and_the_rest_stays_on_order(market: Market) -> None:
    order, line = sent_order(market)
    ink = market.stocked.item(INK_5)
    with market.stocked.house.enter("staff"):
        told = orders.receive_delivery(order.pk, {line.pk: Delivered(120, "LOT 7")}, key="one")
        assert told == orders.Received(came=120, due=180)
        assert orders.receive_delivery(order.pk, {line.pk: Delivered(120, "LOT 7")}, key="one") == told
        assert movements.balances([ink.pk]) == {ink.pk: 120}
        movement = Movement.objects.get(kind="received", item=ink)
        assert (movement.batch, movement.order_line_id) == ("LOT 7", line.pk)
        assert orders.find_order(order.pk).state == OrderState.SENT
        assert orders.receive_delivery(order.pk, {line.pk: Delivered(180)}, key="two").due == 0
        assert orders.find_order(order.pk).state == OrderState.CLOSED
        assert movements.find_mismatches() == []
        with pytest.raises(orders.CannotOrder, match="completed"):
            orders.receive_delivery(order.pk, {line.pk: Delivered(1)}, key="three")


def test_a_closed_order_brings_nothing_more(market: Market) -> None:
    order, line = sent_order(market)
    hold_ink(market.stocked, 250, 30, "a")
    with market.stocked.house.enter():
        orders.receive_delivery(order.pk, {line.pk: Delivered(100)}, key="one")
        orders.close_order(order.pk)
        assert [each.pieces for each in purchase_list.find_missing_items()] == [150]
        line.refresh_from_db()
        assert (line.due, line.is_closed) == (0, True)


def test_more_than_was_ordered_is_taken_as_it_came(market: Market) -> None:
    order, line = sent_order(market, bags=1)
    ink = market.stocked.item(INK_5)
    with market.stocked.house.enter():
        told = orders.receive_delivery(order.pk, {line.pk: Delivered(110)}, key="one")
        assert told == orders.Received(came=110, due=0)
        assert movements.balances([ink.pk]) == {ink.pk: 110}


def test_pieces_go_back_to_the_supplier_and_never_more_than_came(market: Market) -> None:
    order, line = sent_order(market, bags=1)
    ink = market.stocked.item(INK_5)
    with market.stocked.house.enter():
        orders.receive_delivery(order.pk, {line.pk: Delivered(100)}, key="one")
        written = orders.send_back(line.pk, 40, key="back", reason="wrong shade")
        assert (written.quantity, written.on_hand) == (-40, 60)
        with pytest.raises(orders.CannotOrder, match="at most 60"):
            orders.send_back(line.pk, 61, key="back-2", reason="")
        assert orders.send_back(line.pk, 40, key="back", reason="wrong shade") == written
        assert movements.balances([ink.pk]) == {ink.pk: 60}


@pytest.mark.parametrize("pieces", [0, -1, 10**9])
def test_a_delivery_of_nonsense_writes_nothing(market: Market, pieces: int) -> None:
    order, line = sent_order(market)
    with market.stocked.house.enter():
        with pytest.raises(orders.CannotOrder, match=r"Enter between 0 and 10,000,000|at least one piece"):
            orders.receive_delivery(order.pk, {line.pk: Delivered(pieces)}, key="one")
        assert not Movement.objects.filter(kind="received").exists()


def test_an_order_of_which_something_came_is_not_called_off(market: Market) -> None:
    order, line = sent_order(market)
    with market.stocked.house.enter():
        orders.receive_delivery(order.pk, {line.pk: Delivered(10)}, key="one")
        with pytest.raises(orders.CannotOrder, match="has been received"):
            orders.cancel_order(order.pk)
    other, _ = sent_order(market, bags=2)
    with market.stocked.house.enter():
        orders.cancel_order(other.pk)
        assert orders.find_order(other.pk).state == OrderState.CALLED_OFF
        assert list(orders.lines_on_the_way().values_list("order_id", flat=True)) == [order.pk]


def test_another_price_on_the_invoice_becomes_the_suppliers_price(market: Market) -> None:
    _, line = sent_order(market)
    with market.stocked.house.enter():
        orders.change_price(line.pk, Decimal("8.40"))
        assert OrderLine.objects.get(pk=line.pk).price == Decimal("8.4000")
        assert SupplierPrice.objects.get(supplier=market.slow).price == Decimal("8.4000")
    with (
        market.stocked.house.enter("staff"),
        pytest.raises(PermissionDenied, match="doesn't allow you to see what things cost"),
    ):
        orders.change_price(line.pk, Decimal(1))


def test_orders_are_numbered_by_studio_and_found_by_nobody_else(market: Market, federkorn: House) -> None:
    first, _ = sent_order(market, bags=1)
    second, _ = sent_order(market, bags=2)
    assert (first.number, second.number) == (1, 2)
    with federkorn.enter(), pytest.raises(Http404):
        orders.find_order(first.pk)


def test_an_empty_order_and_a_day_that_is_over_are_refused(market: Market) -> None:
    with market.stocked.house.enter():
        order = orders.write_order(market.slow.pk, [], key="k")
        with pytest.raises(orders.CannotOrder, match="This order is empty"):
            orders.send_order(order.pk)
        ink = Item.objects.get(code=INK_5)
        orders.set_order_line(order.pk, Wanted(ink.pk, 100, 2, Decimal(8)))
        with pytest.raises(orders.CannotOrder, match="in the past"):
            orders.send_order(order.pk, expected_on=market.stocked.now.date() - timedelta(days=3))
        orders.set_order_line(order.pk, Wanted(ink.pk, 100, 5, Decimal(8)))
        assert [line.bags for line in orders.find_order(order.pk).lines.all()] == [5]
        orders.set_order_line(order.pk, Wanted(ink.pk, 100, 0, Decimal(8)))
        assert not OrderLine.objects.exists()


def test_what_isnt_on_an_order_or_isnt_there_is_refused_and_nothing_is_written(market: Market) -> None:
    order, line = sent_order(market)
    ink = market.stocked.item(INK_5)
    nobody = line.pk + 10**6
    with market.stocked.house.enter():
        for says, act in (
            (
                "no such supplier",
                lambda: orders.write_order(nobody, [Wanted(ink.pk, 100, 1, Decimal(8))], key="a"),
            ),
            (
                "no such item",
                lambda: orders.write_order(market.slow.pk, [Wanted(nobody, 100, 1, Decimal(8))], key="b"),
            ),
            (
                "Enter 1 to",
                lambda: orders.write_order(market.slow.pk, [Wanted(ink.pk, 100, 0, Decimal(8))], key="c"),
            ),
            (
                "isn’t on the order",
                lambda: orders.receive_delivery(order.pk, {nobody: Delivered(1)}, key="d"),
            ),
            ("no such line", lambda: orders.send_back(nobody, 1, key="e", reason="torn")),
        ):
            with pytest.raises(orders.CannotOrder, match=says), transaction.atomic():
                act()
        for end in (lambda: orders.change_price(nobody, Decimal(1)), lambda: orders.close_order(nobody)):
            with pytest.raises(Http404, match="There is no such"), transaction.atomic():
                end()
        assert PurchaseOrder.objects.get() == order
        assert movements.balances([ink.pk]) == {ink.pk: 0}


def test_closing_leaves_a_line_alone_of_which_everything_came(market: Market) -> None:
    ink, oat = market.stocked.item(INK_5), market.stocked.item(OAT_11)
    with market.stocked.house.enter():
        wanted = [Wanted(each.pk, 100, 1, Decimal(8)) for each in (ink, oat)]
        order = orders.write_order(market.slow.pk, wanted, key="two")
        orders.send_order(order.pk)
        whole, missing = OrderLine.objects.filter(order=order).order_by("item")
        orders.receive_delivery(order.pk, {whole.pk: Delivered(100)}, key="one")
        orders.close_order(order.pk)
        for line, is_closed in ((whole, False), (missing, True)):
            line.refresh_from_db()
            assert line.is_closed is is_closed
