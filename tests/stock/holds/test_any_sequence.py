"""Any sequence of what a studio does with its stock, against a plain model: ledger, balances, holds and orders agree.

A stateful test of hypothesis (``RuleBasedStateMachine``) on the real database; after every step all of it is compared.
The model knows sums and hours and nothing of the product.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    invariant,
    multiple,
    rule,
    run_state_machine_as_test,
)

from stock.buying import purchase_list
from stock.catalogue.items import Material
from stock.counting import stocktake
from stock.holds import holds
from stock.ledger import movements
from stock.models import (
    Hold,
    HoldLine,
    Item,
    Movement,
    MovementKind,
    OrderLine,
    OrderState,
    PurchaseOrder,
    Purpose,
)
from stock.orders import orders
from stock.orders.orders import Delivered, Wanted
from stock.suppliers import suppliers
from studio.measures.times import Window
from tests.seeds import examples
from tests.stock.conftest import COVER, INK_5, OAT_11, RING, Stocked

WASH_HOURS = {RING: 0, COVER: 30, OAT_11: 0, INK_5: 0}
REUSABLE, USED_UP = (RING, COVER), (OAT_11, INK_5)
FIRST_HOUR = 72
"""Holds begin so many hours from now at the earliest, so that nothing is out while the shelf is counted."""

_here: list[Stocked] = []


@dataclass
class ModelHold:
    """What a hold should keep, in hours from the first."""

    start: int
    length: int
    needs: dict[str, int]


@dataclass
class ModelOrder:
    """What an order should say: ordered, come and sent back by item, and how far it is."""

    ordered: dict[str, int]
    came: dict[str, int] = field(default_factory=dict)
    back: dict[str, int] = field(default_factory=dict)
    state: OrderState = OrderState.DRAFT

    @property
    def due(self) -> int:
        """Pieces still to come."""
        if self.state != OrderState.SENT:
            return 0
        return sum(max(0, pieces - self.came.get(code, 0)) for code, pieces in self.ordered.items())


class Studio(RuleBasedStateMachine):
    """One studio's stock, done and modelled."""

    kept: Any = Bundle("kept")
    written: Any = Bundle("written")

    def __init__(self) -> None:
        super().__init__()
        self.stocked = _here[-1]
        self.atomic = transaction.atomic()
        self.entered = self.stocked.house.enter()
        self.entered.__enter__()
        self.atomic.__enter__()
        self.items = {item.code: item for item in Item.objects.all()}
        self.supplier = suppliers.add_supplier(name="Quay Goods")
        self.owned = {RING: 2, COVER: 1, OAT_11: 200, INK_5: 0}
        self.places = {item.code: item.place for item in self.items.values()}
        self.holds: dict[int, ModelHold] = {}
        self.orders: dict[int, ModelOrder] = {}
        self.keys = 0

    def teardown(self) -> None:
        """All of it is forgotten before the next sequence."""
        transaction.set_rollback(True)
        self.atomic.__exit__(None, None, None)
        self.entered.__exit__(None, None, None)

    def key(self) -> str:
        """A key that nobody used."""
        self.keys += 1
        return f"key-{self.keys}"

    # --- The shelf ---

    @rule(deed=st.data())
    def shelf(self, deed: st.DataObject) -> None:
        """Something happens on the shelf itself; one rule, so that holds and orders come as often."""
        code = deed.draw(st.sampled_from(list(WASH_HOURS)))
        kind = deed.draw(st.sampled_from(["receive", "broken", "lost", "count", "move"]))
        pieces = deed.draw(st.integers(1, 80))
        if kind == "receive":
            self.receive(code, pieces)
        elif kind == "count":
            self.count({code: pieces, RING: 2})
        elif kind == "move":
            self.move(code, f"bay {pieces % 3}")
        else:
            self.write_off(code, pieces, kind)

    def receive(self, code: str, pieces: int) -> None:
        """Something came in, without an order."""
        key = self.key()
        first = movements.receive(self.items[code].pk, pieces, key=key)
        assert movements.receive(self.items[code].pk, pieces, key=key) == first, "a second press does nothing"
        self.owned[code] += pieces

    def write_off(self, code: str, pieces: int, kind: str) -> None:
        """Something broke or got lost; never more than there is."""
        try:
            with transaction.atomic():
                movements.write_off(self.items[code].pk, pieces, kind=MovementKind(kind), key=self.key())
        except movements.NotThere:
            assert pieces > self.owned[code]
        else:
            self.owned[code] -= pieces
        assert self.owned[code] >= 0

    def count(self, counts: dict[str, int]) -> None:
        """A shelf is counted; nothing is out at this moment but what is set aside."""
        aside = {code: self.aside(code) for code in counts}
        stocktake.record_counts(
            {self.items[code].pk: number for code, number in counts.items()}, reason="counted", key=self.key()
        )
        # More may be set aside than there is: what isn't there isn't counted with the rest.
        self.owned |= {code: number + min(aside[code], self.owned[code]) for code, number in counts.items()}

    def aside(self, code: str) -> int:
        """How many are in the wash or being mended now."""
        return sum(mine.needs.get(code, 0) for mine in self.holds.values() if mine.start < 0)

    def move(self, code: str, place: str) -> None:
        """Another place, no other number."""
        assert movements.move(self.items[code].pk, place) == (place != self.places[code])
        self.places[code] = place

    # --- Holds ---

    def away(self, code: str, start: int, length: int, besides: int | None = None) -> int:
        """The most of a reusable that is away at any hour of a window, its wash included."""
        return max(
            sum(
                mine.needs.get(code, 0)
                for hold_id, mine in self.holds.items()
                if hold_id != besides and mine.start <= hour < mine.start + mine.length + WASH_HOURS[code]
            )
            for hour in range(start, start + length + WASH_HOURS[code])
        )

    def fits(self, needs: dict[str, int], start: int, length: int, besides: int | None = None) -> bool:
        """Whether everything that comes back is free for the window."""
        return all(
            self.away(code, start, length, besides) + pieces <= self.owned[code]
            for code, pieces in needs.items()
            if code in REUSABLE
        )

    # Narrow enough that windows meet often, and that a cover is often asked for while it is in the wash.
    NEEDS = st.fixed_dictionaries(
        {COVER: st.just(1)}, optional={RING: st.integers(1, 2), OAT_11: st.integers(1, 90)}
    ) | st.fixed_dictionaries({RING: st.integers(1, 3)}, optional={INK_5: st.integers(1, 30)})
    START, LENGTH = st.integers(0, 40), st.integers(1, 20)

    @rule(target=kept, needs=NEEDS, start=START, length=LENGTH)
    def hold(self, needs: dict[str, int], start: int, length: int) -> Any:
        """Something is held, or refused because it isn't free."""
        try:
            with transaction.atomic():
                made = holds.hold(
                    label="a job", window=self.window(start, length), needs=materials(needs), key=self.key()
                )
        except holds.NotFree:
            assert not self.fits(needs, start, length)
            return multiple()
        assert self.fits(needs, start, length)
        lacking = {
            code for code in needs if code in USED_UP and self.promised(code) + needs[code] > self.owned[code]
        }
        assert {each.code for each in made.short} == lacking
        self.holds[made.hold_id] = ModelHold(start, length, dict(needs))
        return made.hold_id

    def promised(self, code: str) -> int:
        """How many of a consumable all holds keep."""
        return sum(mine.needs.get(code, 0) for mine in self.holds.values())

    @rule(hold_id=kept, needs=NEEDS, start=START, length=LENGTH)
    def change(self, hold_id: int, needs: dict[str, int], start: int, length: int) -> None:
        """Other things for another window, or all stays as it was."""
        if hold_id not in self.holds:
            return
        try:
            with transaction.atomic():
                holds.change(
                    hold_id, key=self.key(), needs=materials(needs), window=self.window(start, length)
                )
        except holds.NotFree:
            assert not self.fits(needs, start, length, besides=hold_id)
        else:
            assert self.fits(needs, start, length, besides=hold_id)
            self.holds[hold_id] = ModelHold(start, length, dict(needs))

    @rule(hold_id=consumes(kept))
    def release(self, hold_id: int) -> None:
        """Everything is let go."""
        if self.holds.pop(hold_id, None):
            holds.release(hold_id, self.key())

    @rule(hold_id=consumes(kept), lost=st.booleans())
    def count_back(self, hold_id: int, lost: bool) -> None:
        """The strike: latex is used, a ring may be lost; what the ledger didn't know of was there all the same."""
        mine = self.holds.pop(hold_id, None)
        if mine is None:
            return
        used = {code: pieces for code, pieces in mine.needs.items() if code in USED_UP}
        gone = {RING: 1} if lost and mine.needs.get(RING) else {}
        holds.count_back(hold_id, used=materials(used), lost=materials(gone), key=self.key())
        for code, pieces in (used | gone).items():
            self.owned[code] = max(0, self.owned[code] - pieces)

    @rule(pieces=st.integers(1, 2))
    def mend(self, pieces: int) -> None:
        """Rings go to mending until long after the last window; nothing refuses that but their number."""
        try:
            with transaction.atomic():
                made = holds.set_aside(
                    self.items[RING].pk,
                    pieces,
                    until=self.stocked.now + timedelta(hours=FIRST_HOUR + 200),
                    purpose=Purpose.MENDING,
                    key=self.key(),
                )
        except holds.CannotHold:
            assert pieces > self.owned[RING]
        else:
            self.holds[made.hold_id] = ModelHold(-FIRST_HOUR, FIRST_HOUR + 200, {RING: pieces})

    # --- Orders ---

    @rule(target=written, pieces=st.dictionaries(st.sampled_from(USED_UP), st.integers(1, 4), min_size=1))
    def order(self, pieces: dict[str, int]) -> int:
        """Bags of ten are ordered and sent."""
        wanted = [Wanted(self.items[code].pk, 10, bags, Decimal("2.50")) for code, bags in pieces.items()]
        order = orders.write_order(self.supplier.pk, wanted, key=self.key())
        orders.send_order(order.pk)
        self.orders[order.pk] = ModelOrder(
            {code: 10 * bags for code, bags in pieces.items()}, state=OrderState.SENT
        )
        return order.pk

    @rule(
        order_id=written,
        came=st.dictionaries(st.sampled_from(USED_UP), st.integers(1, 25), min_size=1),
        sure=st.booleans(),
    )
    def deliver(self, order_id: int, came: dict[str, int], sure: bool) -> None:
        """A part of an order comes, all of it, or more than was ordered: more than a bag too many only if sure."""
        mine = self.orders[order_id]
        lines = {
            line.item.code: line.pk
            for line in OrderLine.objects.filter(order=order_id).select_related("item")
        }
        came = {code: pieces for code, pieces in came.items() if code in mine.ordered}
        left = {code: max(0, mine.ordered[code] - mine.came.get(code, 0)) for code in came}
        is_far_too_many = any(pieces > left[code] + 10 for code, pieces in came.items())
        try:
            with transaction.atomic():
                told = orders.receive_delivery(
                    order_id,
                    {lines[code]: Delivered(pieces) for code, pieces in came.items()},
                    key=self.key(),
                    sure=sure,
                )
        except orders.CannotOrder as refusal:
            assert mine.state != OrderState.SENT or not came or (is_far_too_many and not sure)
            assert isinstance(refusal, orders.FarTooMany) == (
                mine.state == OrderState.SENT and is_far_too_many and not sure
            )
            return
        assert mine.state == OrderState.SENT
        assert sure or not is_far_too_many
        for code, pieces in came.items():
            mine.came[code] = mine.came.get(code, 0) + pieces
            self.owned[code] += pieces
        assert told == orders.Received(came=sum(came.values()), due=mine.due)
        if not mine.due:
            mine.state = OrderState.CLOSED

    @rule(order_id=written, pieces=st.integers(1, 8), code=st.sampled_from(USED_UP))
    def send_back(self, order_id: int, pieces: int, code: str) -> None:
        """Torn bags go back: never more than came and is still on the shelf."""
        mine = self.orders[order_id]
        line = OrderLine.objects.filter(order=order_id, item=self.items[code].pk).first()
        if line is None:
            return
        left = mine.came.get(code, 0) - mine.back.get(code, 0)
        try:
            with transaction.atomic():
                orders.send_back(line.pk, pieces, key=self.key(), reason="torn")
        except ValidationError:
            assert pieces > left or pieces > self.owned[code] or mine.state == OrderState.CALLED_OFF
        else:
            assert pieces <= left
            mine.back[code] = mine.back.get(code, 0) + pieces
            self.owned[code] -= pieces

    @rule(order_id=written)
    def end(self, order_id: int) -> None:
        """Called off while nothing came, closed afterwards."""
        mine = self.orders[order_id]
        if mine.state != OrderState.SENT:
            return
        if mine.came:
            with (
                pytest.raises(orders.CannotOrder, match="Part of this order has been received"),
                transaction.atomic(),
            ):
                orders.cancel_order(order_id)
            orders.close_order(order_id)
            mine.state = OrderState.CLOSED
        else:
            orders.cancel_order(order_id)
            mine.state = OrderState.CALLED_OFF

    # --- What must be so after every step ---

    @invariant()
    def numbers_agree(self) -> None:
        """Every balance is the model's number and the sum of its movements."""
        owned = movements.balances(item.pk for item in self.items.values())
        assert {code: owned[item.pk] for code, item in self.items.items()} == self.owned
        assert movements.find_mismatches() == []
        assert {item.code: item.place for item in Item.objects.all()} == self.places

    @invariant()
    def holds_agree(self) -> None:
        """What stands is what the model holds, and nothing else keeps anything."""
        standing: dict[int, dict[str, int]] = {}
        for line in HoldLine.objects.filter(standing=True).select_related("item"):
            standing.setdefault(line.hold_id, {})[line.item.code] = line.quantity
        assert standing == {hold_id: mine.needs for hold_id, mine in self.holds.items()}
        assert set(Hold.objects.filter(state="held").values_list("pk", flat=True)) == set(self.holds)

    @invariant()
    def orders_agree(self) -> None:
        """Orders are as far as they should be; the ledger names every piece of them; what is due is projected."""
        for order in PurchaseOrder.objects.prefetch_related("lines__item"):
            mine = self.orders[order.pk]
            assert order.state == mine.state
            for line in order.lines.all():
                code = line.item.code
                assert (line.received, line.sent_back) == (mine.came.get(code, 0), mine.back.get(code, 0))
                moved = sum(Movement.objects.filter(order_line=line).values_list("quantity", flat=True))
                assert moved == line.received - line.sent_back
        coming = purchase_list.incoming_pieces(None, self.stocked.house.studio)
        due = {
            self.items[code].pk: pieces
            for code in USED_UP
            if (
                pieces := sum(
                    max(0, mine.ordered.get(code, 0) - mine.came.get(code, 0))
                    for mine in self.orders.values()
                    if mine.state == OrderState.SENT
                )
            )
        }
        assert {item_id: sum(each.pieces for each in mine) for item_id, mine in coming.items()} == due

    def window(self, start: int, length: int) -> Window:
        """Those hours."""
        begins = self.stocked.now + timedelta(hours=FIRST_HOUR + start)
        return Window(begins, begins + timedelta(hours=length))


def materials(needs: dict[str, int]) -> list[Material]:
    return [Material(code, pieces) for code, pieces in needs.items()]


@pytest.fixture
def here(stocked: Stocked) -> Iterator[Stocked]:
    """The studio that the state machine acts in."""
    _here.append(stocked)
    yield stocked
    _here.pop()


@pytest.mark.parametrize("number", examples(12, 100))
def test_any_sequence_keeps_ledger_balances_holds_and_orders_in_step(here: Stocked, number: int) -> None:
    run_state_machine_as_test(
        Studio,
        settings=settings(
            max_examples=number,
            stateful_step_count=30,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
