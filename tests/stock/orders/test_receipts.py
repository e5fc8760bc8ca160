"""Receipts corrected by counter-entries, beside a model that simply knows what each receipt really was."""

from __future__ import annotations

import random

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from stock.care.shelf_life import list_arrivals
from stock.ledger import movements
from stock.models import Movement, MovementKind, OrderLine, OrderState
from stock.orders import orders, receipts
from stock.orders.orders import Delivered
from tests.stock.conftest import INK_5, Stocked, ordered

ORDERED = 300


def state_by(came: int) -> str:
    return OrderState.CLOSED if came >= ORDERED else OrderState.SENT


@pytest.mark.parametrize("seed", range(10))
def test_any_receipts_and_corrections_add_up_to_what_really_came(sold: Stocked, seed: int) -> None:
    dice = random.Random(seed)  # noqa: S311 -- repeatable
    order, ink = ordered(sold), sold.item(INK_5)
    really: dict[int, int] = {}
    with sold.house.enter():
        line = OrderLine.objects.get()
        for step in range(14):
            came = sum(really.values())
            if not really or (came < ORDERED and dice.random() < 0.4):
                pieces = dice.randint(1, ORDERED - came)
                orders.receive_delivery(order.pk, {line.pk: Delivered(pieces, f"L{step}")}, key=f"r{step}")
                really[Movement.objects.filter(kind="received").latest("pk").pk] = pieces
            else:
                receipt, pieces = dice.choice(sorted(really)), dice.randint(0, 200)
                if pieces == really[receipt]:
                    with pytest.raises(ValidationError, match="recorded already"), transaction.atomic():
                        receipts.correct_receipt(receipt, pieces, key=f"c{step}", reason="typo")
                else:
                    receipts.correct_receipt(receipt, pieces, key=f"c{step}", reason="typo")
                    really[receipt] = pieces
            line.refresh_from_db()
            assert line.received == sum(really.values())
            assert movements.balances([ink.pk]) == {ink.pk: sum(really.values())}
            assert orders.find_order(order.pk).state == state_by(sum(really.values()))
            listed = {each.movement.pk: each.pieces for each in receipts.list_receipts([line])}
            assert listed == really
            assert sorted(a.pieces for a in list_arrivals(ink)) == sorted(n for n in really.values() if n)
        assert movements.find_mismatches() == []


def test_pieces_that_are_used_or_went_back_can_not_be_corrected_away(sold: Stocked) -> None:
    order, ink = ordered(sold), sold.item(INK_5)
    with sold.house.enter():
        line = OrderLine.objects.get()
        orders.receive_delivery(order.pk, {line.pk: Delivered(300)}, key="r")
        receipt = Movement.objects.get(kind="received")
        orders.send_back(line.pk, 100, key="b", reason="torn")
        with pytest.raises(ValidationError, match="100 of these were sent back"), transaction.atomic():
            receipts.correct_receipt(receipt.pk, 50, key="c1", reason="typo")
        movements.use(ink.pk, 150, key="u")
        with pytest.raises(movements.NotThere, match="The ledger has 50"), transaction.atomic():
            receipts.correct_receipt(receipt.pk, 200, key="c2", reason="typo")
        assert not Movement.objects.filter(kind="corrected").exists()
        line.refresh_from_db()
        assert line.received == 300


def test_a_receipt_without_an_order_is_corrected_too(sold: Stocked) -> None:
    ink = sold.item(INK_5)
    with sold.house.enter("staff"):
        written = movements.receive(ink.pk, 2, key="r")
        receipts.correct_receipt(written.movement_id, 200, key="c", reason="two bags")
        assert movements.balances([ink.pk]) == {ink.pk: 200}


def test_an_order_closed_by_hand_stays_closed(sold: Stocked) -> None:
    order = ordered(sold)
    with sold.house.enter():
        line = OrderLine.objects.get()
        orders.receive_delivery(order.pk, {line.pk: Delivered(200)}, key="r")
        orders.close_order(order.pk)
        receipts.correct_receipt(Movement.objects.get(kind="received").pk, 150, key="c", reason="typo")
        assert orders.find_order(order.pk).state == OrderState.CLOSED


def test_the_database_knows_corrections_only_with_their_receipt(sold: Stocked) -> None:
    ink = sold.item(INK_5)
    with sold.house.enter():
        with pytest.raises(IntegrityError, match="only_a_correction_corrects"), transaction.atomic():
            Movement.objects.create(item=ink, kind=MovementKind.CORRECTED, quantity=5)
        receipt = Movement.objects.get(pk=movements.receive(ink.pk, 5, key="r").movement_id)
        with pytest.raises(IntegrityError, match="only_a_correction_corrects"), transaction.atomic():
            Movement.objects.create(item=ink, kind=MovementKind.COUNTED, quantity=5, corrects=receipt)
