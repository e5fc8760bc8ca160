"""The purchase list: items missing for all upcoming holds, in whole bags, from the cheapest suppliers."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Final

from django.db.models import Sum
from django.utils import timezone

from stock.buying.least_cost import Need, NoPlan, Offer, Plan, Terms, least_cost
from stock.buying.projection import Coming, Lack, lacks, running
from stock.buying.reorder import ReorderPoint, reorder_point, service_factor, use_of
from stock.catalogue.shelf_rules import find_rules
from stock.holds.availability import active_lines
from stock.ledger.movements import balances
from stock.models import (
    HoldState,
    Item,
    Movement,
    MovementKind,
    Nature,
    PurchaseOrder,
    ShelfRules,
    Supplier,
    SupplierPrice,
)
from stock.orders import orders
from studio.models import Studio, entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

WEEK: Final = timedelta(weeks=1)
USUAL_LEAD_DAYS: Final = 7
"""Days from order to door where no supplier is known. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class ToBuy:
    """The missing pieces of one item."""

    item: Item
    lacks: tuple[Lack, ...]
    """How many in all by each date; empty where only the reorder point asks for more."""
    pieces: int
    """Pieces to buy in all."""
    order_by: date | None = None
    """The last day on which the quickest supplier's delivery would still come in time."""
    is_late: bool = False
    """Nobody delivers in time for the first of them."""
    is_low: bool = False
    """The reorder point asks for (some of) it."""

    @property
    def first(self) -> Lack | None:
        """The earliest date on which pieces are missing."""
        return self.lacks[0] if self.lacks else None


@dataclass(frozen=True, slots=True)
class Line:
    """Bags of one item from one supplier."""

    item: Item
    bag_size: int
    bags: int
    price: Decimal
    their_code: str

    @property
    def pieces(self) -> int:
        """Pieces in those bags."""
        return self.bags * self.bag_size

    @property
    def amount(self) -> Decimal:
        """The cost of those bags."""
        return self.bags * self.price


@dataclass(frozen=True, slots=True)
class SuggestedOrder:
    """An order suggested to one supplier."""

    supplier: Supplier
    lines: tuple[Line, ...]
    arrives_on: date

    @property
    def bags_cost(self) -> Decimal:
        """The bags alone."""
        return sum((line.amount for line in self.lines), Decimal())

    @property
    def cost(self) -> Decimal:
        """The bags and the delivery."""
        return self.bags_cost + self.supplier.delivery_charge


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What to buy and the orders for it, with a bound on how much cheaper another choice could be."""

    to_buy: tuple[ToBuy, ...]
    orders: tuple[SuggestedOrder, ...]
    unpriced: tuple[ToBuy, ...]
    """Items that no supplier has a price for."""
    plan: Plan | None
    is_put_off: bool = False
    """Whether working out the orders was put off, because too many items are missing."""

    @property
    def cost(self) -> Decimal:
        """All orders."""
        return sum((order.cost for order in self.orders), Decimal())

    @property
    def gap_percent(self) -> int:
        """By how much a better plan might be cheaper, rounded up; 0 where there is none."""
        return 0 if self.plan is None or self.plan.is_proven else math.ceil(self.plan.gap * 100)


def find_missing_items(*, with_tentative: bool = False, fill_up: bool = False) -> list[ToBuy]:
    """The items missing for upcoming holds, soonest first, after the deliveries on the way; with ``fill_up`` also
    the items below their reorder point. Eight queries at most."""
    require(Right.SEE_SHELF)
    return _find_missing(entered_studio(), with_tentative=with_tentative, fill_up=fill_up)[0]


def suggest_orders(
    *, with_tentative: bool = False, fill_up: bool = False, at_most: int | None = None
) -> Suggestion:
    """Suggest whole bags for every missing item at least cost; a delivery in time comes before a cheap one.

    Where more than ``at_most`` items are missing, no orders are worked out (``is_put_off``): it may take seconds.
    """
    require(Right.SEE_COSTS)
    studio = entered_studio()
    to_buy, prices = _find_missing(studio, with_tentative=with_tentative, fill_up=fill_up)
    offered = [price for each in to_buy for price in prices.get(each.item.pk, [])]
    priced = [each for each in to_buy if prices.get(each.item.pk)]
    unpriced = tuple(each for each in to_buy if not prices.get(each.item.pk))
    if at_most is not None and len(priced) > at_most:
        return Suggestion(tuple(to_buy), (), unpriced, None, is_put_off=True)
    needs, terms = _needs(priced, offered, studio), _terms(offered)
    offers = [
        Offer(price.supplier_id, price.item_id, price.bag_size, float(price.price), price.from_bags)
        for price in offered
    ]
    try:
        plan = least_cost(needs, offers, terms)
    except NoPlan:
        return Suggestion(tuple(to_buy), (), tuple(to_buy), None)
    return Suggestion(tuple(to_buy), _orders(plan, offered, priced, studio), unpriced, plan)


def write_orders(suggestion: Suggestion, *, key: str) -> list[PurchaseOrder]:
    """Write the suggested orders as drafts."""
    require(Right.SEE_COSTS)
    return [
        orders.write_order(
            order.supplier.pk,
            [
                orders.Wanted(line.item.pk, line.bag_size, line.bags, line.price, line.their_code)
                for line in order.lines
            ],
            key=f"{key}-{order.supplier.pk}",
        )
        for order in suggestion.orders
    ]


def incoming_pieces(item_ids: Sequence[int] | None, studio: Studio) -> dict[int, list[Coming]]:
    """The pieces that sent orders still bring, by item; overdue ones count from tomorrow on. One query."""
    today = timezone.now().astimezone(studio.tz).date()
    found: dict[int, list[Coming]] = defaultdict(list)
    for line in orders.lines_on_the_way(item_ids):
        expected = max(line.order.expected_on or today, today)
        at = orders.arrives_at(expected, studio)
        found[line.item_id].append(Coming(at, line.due, f"order {line.order}, {line.order.supplier}"))
    return found


def reorder_points(
    items: Sequence[Item], prices: Mapping[int, Sequence[SupplierPrice]], now: datetime
) -> dict[int, ReorderPoint]:
    """The reorder point of every consumable, from its weekly use; a point that the studio set itself wins.
    Two queries."""
    kept = find_rules()
    used = _use_by_week([item.pk for item in items if not item.is_reusable], kept, now)
    z = service_factor(float(kept.never_short_percent))
    found = {}
    for item in items:
        if item.reorder_at is not None:
            found[item.pk] = ReorderPoint(item.reorder_at, 0)
        elif weeks := used.get(item.pk):
            lead, spread = _lead(prices.get(item.pk, []))
            found[item.pk] = reorder_point(use_of(weeks), lead=lead / 7, lead_deviation=spread / 7, z=z)
    return found


def prices_of(item_ids: Iterable[int]) -> dict[int, list[SupplierPrice]]:
    """The prices of suppliers in use by item, the cheapest piece first. Two queries."""
    found: dict[int, list[SupplierPrice]] = defaultdict(list)
    suppliers = Supplier.objects.filter(retired_at=None).in_bulk()
    for price in SupplierPrice.objects.filter(item_id__in=list(item_ids)).order_by("pk"):
        if supplier := suppliers.get(price.supplier_id):
            price.supplier = supplier
            found[price.item_id].append(price)
    for mine in found.values():
        mine.sort(key=lambda price: (price.price / price.bag_size, price.pk))
    return found


# --- Private ---


def _find_missing(
    studio: Studio, *, with_tentative: bool, fill_up: bool
) -> tuple[list[ToBuy], dict[int, list[SupplierPrice]]]:
    """The missing items, and every price of them."""
    now = timezone.now()
    demands = _demands(now, with_tentative=with_tentative)
    items = _items(None if fill_up else demands)
    on_hand = balances(items)
    incoming = incoming_pieces(None, studio)
    steps = {pk: running(on_hand[pk], [*demands.get(pk, []), *incoming.get(pk, [])]) for pk in items}
    lacking = {pk: mine for pk, all_steps in steps.items() if (mine := tuple(lacks(all_steps)))}
    prices = prices_of(items if fill_up else lacking)
    points = reorder_points(list(items.values()), prices, now) if fill_up else {}
    found = []
    for pk, item in items.items():
        left = steps[pk][-1].left if steps[pk] else on_hand[pk]
        low = _low(item, left, points.get(pk))
        if pk in lacking or low:
            found.append(_to_buy(item, lacking.get(pk, ()), low, prices.get(pk, []), studio))
    found.sort(key=lambda each: (each.first is None, each.first and each.first.at, each.item.code))
    return found, prices


def _demands(now: datetime, *, with_tentative: bool) -> dict[int, list[Coming]]:
    lines = active_lines(now).filter(item__nature=Nature.CONSUMABLE)
    if not with_tentative:
        lines = lines.filter(hold__state=HoldState.HELD)
    found: dict[int, list[Coming]] = defaultdict(list)
    rows = lines.order_by("busy_from", "pk").values_list("item_id", "busy_from", "quantity", "hold__label")
    for item_id, at, quantity, label in rows:
        found[item_id].append(Coming(at, -quantity, label))
    return found


def _items(item_ids: Iterable[int] | None) -> dict[int, Item]:
    items = Item.objects.select_related("colour").filter(nature=Nature.CONSUMABLE)
    items = items.defer("added_at", "note", "outline")
    items = items.filter(retired_at=None) if item_ids is None else items.filter(pk__in=list(item_ids))
    return {item.pk: item for item in items.order_by("code")}


def _lead(prices: Sequence[SupplierPrice]) -> tuple[float, float]:
    """Days from order to door and their deviation, of the cheapest supplier."""
    if not prices:
        return USUAL_LEAD_DAYS, 0.0
    supplier = prices[0].supplier
    return supplier.lead_days, float(supplier.lead_spread_days)


def _use_by_week(item_ids: Sequence[int], kept: ShelfRules, now: datetime) -> dict[int, list[float]]:
    """Pieces used in each past week, idle weeks included, of every item that was used at all."""
    start = now - kept.look_back_weeks * WEEK
    rows = (
        Movement.objects.filter(item_id__in=item_ids, kind=MovementKind.USED, at__gte=start, at__lt=now)
        .order_by()
        .values_list("item_id", "at")
        .annotate(Sum("quantity"))
    )
    found: dict[int, list[float]] = {}
    for item_id, at, quantity in rows:
        weeks = found.setdefault(item_id, [0.0] * kept.look_back_weeks)
        weeks[min(int((at - start) / WEEK), kept.look_back_weeks - 1)] -= quantity
    return found


def _low(item: Item, left: int, point: ReorderPoint | None) -> int:
    """How many more pieces than the holds need the reorder point asks for; 0 where enough is left."""
    if point is None or item.is_reusable or left >= point.whole:
        return 0
    return point.whole - left


def _to_buy(
    item: Item, mine: tuple[Lack, ...], low: int, prices: Sequence[SupplierPrice], studio: Studio
) -> ToBuy:
    order_by = order_by_date(mine[0].at, prices, studio) if mine else None
    return ToBuy(
        item=item,
        lacks=mine,
        pieces=max(mine[-1].pieces if mine else 0, low),
        order_by=order_by,
        is_late=order_by is not None and order_by < timezone.now().astimezone(studio.tz).date(),
        is_low=low > 0,
    )


def order_by_date(needed_at: datetime, prices: Sequence[SupplierPrice], studio: Studio) -> date:
    """The last day to order so that the quickest supplier's delivery is there the day before it is needed."""
    lead = min((price.supplier.lead_days for price in prices), default=USUAL_LEAD_DAYS)
    return needed_at.astimezone(studio.tz).date() - timedelta(days=lead + 1)


def _needs(priced: Sequence[ToBuy], offered: Sequence[SupplierPrice], studio: Studio) -> list[Need]:
    """A need for each date and item, out of the offers that come in time for it, or else the quickest."""
    today = timezone.now().astimezone(studio.tz).date()
    arrival = [
        orders.arrives_at(today + timedelta(days=price.supplier.lead_days), studio) for price in offered
    ]
    places: dict[int, list[int]] = defaultdict(list)
    for place, price in enumerate(offered):
        places[price.item_id].append(place)
    needs = []
    for each in priced:
        mine = places[each.item.pk]
        soonest = min(arrival[place] for place in mine)
        for lack in each.lacks:
            by = max(lack.at, soonest)
            in_time = frozenset(place for place in mine if arrival[place] <= by)
            needs.append(Need(each.item.pk, lack.pieces, in_time))
        needs.append(Need(each.item.pk, each.pieces, frozenset(mine)))
    return needs


def _terms(offered: Sequence[SupplierPrice]) -> dict[int, Terms]:
    return {
        price.supplier_id: Terms(
            float(price.supplier.delivery_charge), float(price.supplier.minimum_order or 0)
        )
        for price in offered
    }


def _orders(
    plan: Plan, offered: Sequence[SupplierPrice], priced: Sequence[ToBuy], studio: Studio
) -> tuple[SuggestedOrder, ...]:
    needed = {each.item.pk: each for each in priced}
    lines: dict[int, list[Line]] = defaultdict(list)
    supplier: dict[int, Supplier] = {}
    for place, bags in plan.bags.items():
        price = offered[place]
        supplier[price.supplier_id] = price.supplier
        each = needed[price.item_id]
        lines[price.supplier_id].append(Line(each.item, price.bag_size, bags, price.price, price.their_code))
    today = timezone.now().astimezone(studio.tz).date()
    return tuple(
        SuggestedOrder(
            supplier[pk],
            tuple(sorted(mine, key=lambda line: line.item.code)),
            today + timedelta(days=supplier[pk].lead_days),
        )
        for pk, mine in sorted(lines.items(), key=lambda pair: supplier[pair[0]].name.casefold())
    )
