"""Suppliers, orders, deliveries, and what to buy: in whole bags, in time, at least cost, never twice."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from stock.buying import purchase_list
from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import Item, OrderLine, OrderState, PurchaseOrder
from stock.orders import orders
from stock.orders.orders import Wanted
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


def test_nothing_lacks_where_enough_is_there(market: Market) -> None:
    with market.stocked.house.enter("crew"):
        assert purchase_list.find_missing_items() == []


def test_missing_items_are_listed_by_date_with_the_last_day_to_order(market: Market) -> None:
    stocked = market.stocked
    hold_ink(stocked, 40, 30, "a")
    hold_ink(stocked, 30, 20, "b")
    with stocked.house.enter():
        (each,) = purchase_list.find_missing_items()
    assert [(lack.pieces, lack.label) for lack in each.lacks] == [(30, "Job b"), (70, "Job a")]
    assert each.pieces == 70
    zone = stocked.house.studio.tz
    first = each.first
    assert first is not None
    # The quick one takes two days, and its delivery counts from the end of its day on.
    assert each.order_by == first.at.astimezone(zone).date() - timedelta(days=3)
    assert not each.is_late


def test_tentative_holds_are_bought_for_only_when_asked(market: Market) -> None:
    stocked = market.stocked
    hold_ink(stocked, 40, 30, "a", tentative_until=stocked.now + timedelta(days=5))
    with stocked.house.enter():
        assert purchase_list.find_missing_items() == []
        assert [each.pieces for each in purchase_list.find_missing_items(with_tentative=True)] == [40]


def test_a_delivery_on_the_way_is_not_bought_again(market: Market) -> None:
    stocked = market.stocked
    hold_ink(stocked, 250, 30, "a")
    sent_order(market, bags=2)
    with stocked.house.enter():
        (each,) = purchase_list.find_missing_items()
        assert each.pieces == 50


def test_a_delivery_that_comes_too_late_leaves_the_first_job_short(market: Market) -> None:
    stocked = market.stocked
    hold_ink(stocked, 50, 5, "soon")
    sent_order(market, bags=2)
    with stocked.house.enter():
        (each,) = purchase_list.find_missing_items()
        assert [(lack.pieces, lack.label) for lack in each.lacks] == [(50, "Job soon")]


def test_filling_up_follows_the_use_of_past_weeks(market: Market) -> None:
    stocked = market.stocked
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        items.change_item(oat, reorder_at=None)
        for week in range(1, 14):
            movements.receive(
                oat.pk, 30, key=f"in-{week}", at=stocked.now - timedelta(weeks=2 * week, days=-1)
            )
            movements.use(oat.pk, 30, key=f"out-{week}", at=stocked.now - timedelta(weeks=2 * week, days=-1))
        movements.use(oat.pk, 190, key="last", at=stocked.now - timedelta(weeks=60))
        points = purchase_list.reorder_points([oat], {}, stocked.now)
        # By hand: 13 weeks of 26 with 30: mean 15, sample deviation 15 √(26/25) = 15.297; a week to wait and
        # z 1.6449: 15 + 25.16.
        assert points[oat.pk].pieces == pytest.approx(15 + 1.6449 * 15.297, abs=0.01)
        assert purchase_list.find_missing_items() == []
        (each,) = [one for one in purchase_list.find_missing_items(fill_up=True) if one.item.pk == oat.pk]
        assert (each.pieces, each.is_low, each.order_by) == (41 - 10, True, None)


def test_a_reorder_point_of_ones_own_stands(market: Market) -> None:
    with market.stocked.house.enter():
        oat = Item.objects.get(code=OAT_11)
        items.change_item(oat, reorder_at=500)
        assert [each.pieces for each in purchase_list.find_missing_items(fill_up=True)] == [300]


def test_the_cheap_one_is_chosen_where_there_is_time(market: Market) -> None:
    hold_ink(market.stocked, 90, 30, "a")
    with market.stocked.house.enter():
        suggestion = purchase_list.suggest_orders()
    (order,) = suggestion.orders
    assert (order.supplier, order.cost) == (market.slow, Decimal("8.00"))
    assert suggestion.plan is not None
    assert suggestion.plan.is_proven


def test_the_quick_one_is_chosen_for_what_is_needed_soon(market: Market) -> None:
    hold_ink(market.stocked, 40, 5, "soon")
    hold_ink(market.stocked, 150, 30, "later")
    with market.stocked.house.enter():
        suggestion = purchase_list.suggest_orders()
    bought = {order.supplier.name: [line.pieces for line in order.lines] for order in suggestion.orders}
    # By hand: 40 must be quick. Two quick bags and a slow one are 21.00, one quick and two slow ones 22.50.
    assert bought == {"Corner Depot": [100], "Harbour Wholesale": [100]}


def test_who_is_too_late_for_everything_still_gets_the_best_there_is(market: Market) -> None:
    hold_ink(market.stocked, 40, 1, "tomorrow")
    with market.stocked.house.enter():
        suggestion = purchase_list.suggest_orders()
    assert suggestion.to_buy[0].is_late
    assert [order.supplier.name for order in suggestion.orders] == ["Corner Depot"]


def test_what_nobody_has_a_price_for_is_named(market: Market) -> None:
    with market.stocked.house.enter():
        holds.hold(
            label="Fair",
            window=market.stocked.days(20, 21),
            needs=[Material(OAT_11, 230), Material(INK_5, 10)],
            key="k",
        )
        suggestion = purchase_list.suggest_orders()
    assert [each.item.code for each in suggestion.unpriced] == [OAT_11]
    assert [line.item.code for order in suggestion.orders for line in order.lines] == [INK_5]


def test_suggested_orders_are_written_once(market: Market) -> None:
    hold_ink(market.stocked, 90, 30, "a")
    with market.stocked.house.enter():
        suggestion = purchase_list.suggest_orders()
        (first,) = purchase_list.write_orders(suggestion, key="k")
        (again,) = purchase_list.write_orders(suggestion, key="k")
        assert first.pk == again.pk
        assert PurchaseOrder.objects.count() == 1
        line = OrderLine.objects.get()
        assert (line.bags, line.bag_size, line.price) == (1, 100, Decimal("8.0000"))
        assert first.state == OrderState.DRAFT
        orders.send_order(first.pk)
        assert purchase_list.find_missing_items() == []


def test_staff_and_crew_see_no_suggestion(market: Market) -> None:
    for role in ("staff", "crew"):
        with (
            market.stocked.house.enter(role),
            pytest.raises(PermissionDenied, match="doesn't allow you to see what things cost"),
        ):
            purchase_list.suggest_orders()
