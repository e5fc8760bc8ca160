"""Any sequence of holds, hand-overs and what comes between, against a model that counts heads hour by hour.

The model knows for each hold when it begins and ends and how many pieces it has, for each hand-over how many pieces
change hands at which hour, and nothing of lines, locks or windows.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from stock.catalogue.items import Material
from stock.holds import holds, transfers
from stock.holds.holds import TransferIn
from stock.ledger import movements
from stock.models import AgreedTransfer, HoldLine, Item
from studio.measures.times import Window
from tests.seeds import UNHURRIED, examples
from tests.stock.conftest import COVER, RING, Stocked

FIRST_HOUR = 72
WASH_HOURS = {RING: 0, COVER: 5}
OWNED = {RING: 2, COVER: 2}

Handing = dict[tuple[int, int], tuple[int, int]]


@dataclass
class Model:
    """Holds as start, length and pieces of the one thing; hand-overs by giver and taker as pieces and hour."""

    code: str
    kept: dict[int, tuple[int, int, int]] = field(default_factory=dict)
    handing: Handing = field(default_factory=dict)

    def can_be(self, kept: dict[int, tuple[int, int, int]], handing: Handing) -> bool:
        """Whether every hand-over makes sense, and no hour sees more pieces out than there are."""
        for (giver, taker), (_, hour) in handing.items():
            start, length, _ = kept[giver]
            if not start < hour <= start + length or hour >= sum(kept[taker][:2]):
                return False
        for hold_id, (_, _, pieces) in kept.items():
            if sum(many for pair, (many, _) in handing.items() if hold_id in pair) > pieces:
                return False
        return all(self.out(kept, handing, hour) <= OWNED[self.code] for hour in range(-1, 80))

    def out(self, kept: dict[int, tuple[int, int, int]], handing: Handing, hour: int) -> int:
        """Pieces out in this hour, each hold's counted one by one."""
        heads = 0
        for hold_id, (start, length, pieces) in kept.items():
            home = start + length + WASH_HOURS[self.code]
            spans = [(start, home)] * pieces
            for (giver, taker), (many, at) in handing.items():
                for _ in range(many):
                    if giver == hold_id:
                        spans[spans.index((start, home))] = (start, at)
                    elif taker == hold_id:
                        spans[spans.index((start, home))] = (at, home)
            heads += sum(begins <= hour < ends for begins, ends in spans)
        return heads


# Narrow, and mostly such as can be: so that windows meet, pieces are wanted elsewhere, and hand-overs are many.
SPAN = st.tuples(st.integers(0, 16), st.integers(6, 14))
PICK, PIECES, MANY = st.integers(0, 9), st.sampled_from([1, 1, 1, 2, 3]), st.sampled_from([1, 1, 1, 2])
AFTER = st.integers(1, 8) | st.integers(0, 15)
HOLD = st.tuples(st.just("hold"), SPAN, PIECES)
HAND_ON = st.tuples(st.just("hand on"), PICK, PICK, MANY, AFTER)
STRAIGHT = st.tuples(st.just("hold straight"), SPAN, PIECES, PICK, MANY, AFTER)
LATER = st.one_of(
    HOLD,
    HAND_ON,
    STRAIGHT,
    STRAIGHT,
    st.tuples(st.just("change"), PICK, SPAN, PIECES),
    st.tuples(st.just("change"), PICK, SPAN, PIECES),
    st.tuples(st.just("leave"), PICK, AFTER),
    st.tuples(st.just("undo"), PICK),
    st.tuples(st.just("release"), PICK),
)
DEEDS = st.tuples(st.lists(HOLD, min_size=2, max_size=3), st.lists(LATER, min_size=4, max_size=14))


@pytest.mark.parametrize("number", examples(24, 200))
def test_no_sequence_of_holds_and_hand_overs_promises_a_piece_twice(stocked: Stocked, number: int) -> None:
    @settings(UNHURRIED, max_examples=number)
    @given(st.sampled_from([RING, COVER]), DEEDS)
    def play(code: str, deeds: tuple[list[Any], list[Any]]) -> None:
        _play(stocked, code, deeds[0] + deeds[1])

    play()


def _play(stocked: Stocked, code: str, deeds: list[Any]) -> None:
    with stocked.house.enter(), transaction.atomic():
        Item.objects.filter(code=COVER).update(turnaround_hours=WASH_HOURS[COVER])
        movements.receive(Item.objects.get(code=COVER).pk, 1, key="a second cover")
        model = Model(code)
        for number, deed in enumerate(deeds):
            _do(stocked, model, f"{number}", deed)
            _agrees(stocked, model)
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        transaction.set_rollback(True)


@dataclass
class Deed:
    """Something to do, and how it stands afterwards if it may be done; a hold to be made is -1."""

    do: Callable[[], Any]
    kept: dict[int, tuple[int, int, int]]
    handing: Handing


def _do(stocked: Stocked, model: Model, key: str, told: tuple[Any, ...]) -> None:
    kind, *rest = told
    if kind != "hold" and not model.kept:
        return
    deed = DEED[kind](stocked, model, key, *rest)
    if deed is None:
        return
    try:
        with transaction.atomic():
            answer = deed.do()
    except holds.CannotHold:
        assert not model.can_be(deed.kept, deed.handing), told
    else:
        assert model.can_be(deed.kept, deed.handing), told
        new = answer.hold_id if -1 in deed.kept else 0
        model.kept = {(new if pk == -1 else pk): what for pk, what in deed.kept.items()}
        model.handing = {
            (giver, new if taker == -1 else taker): what for (giver, taker), what in deed.handing.items()
        }


def _hold(stocked: Stocked, model: Model, key: str, span: tuple[int, int], pieces: int) -> Deed:
    needs, window = [Material(model.code, pieces)], _window(stocked, span)
    return Deed(
        lambda: holds.hold(label=key, window=window, needs=needs, key=key),
        {**model.kept, -1: (*span, pieces)},
        model.handing,
    )


def _hold_straight(
    stocked: Stocked,
    model: Model,
    key: str,
    span: tuple[int, int],
    pieces: int,
    pick: int,
    many: int,
    after: int,
) -> Deed:
    giver = _picked(model, pick)
    hour = model.kept[giver][0] + after
    needs, window = [Material(model.code, pieces)], _window(stocked, span)
    straight = [TransferIn(giver, model.code, many, _at(stocked, hour), unwashed=True)]
    return Deed(
        lambda: holds.hold(label=key, window=window, needs=needs, key=key, transfers_in=straight),
        {**model.kept, -1: (*span, pieces)},
        {**model.handing, (giver, -1): (many, hour)},
    )


def _hand_on(
    stocked: Stocked, model: Model, key: str, first: int, second: int, many: int, after: int
) -> Deed | None:
    giver, taker = _picked(model, first), _picked(model, second)
    if giver == taker:
        return None
    hour = model.kept[giver][0] + after
    at, code = _at(stocked, hour), model.code
    return Deed(
        lambda: transfers.make_transfer(
            giver, taker, code=code, quantity=many, at=at, key=key, unwashed=True
        ),
        model.kept,
        {**model.handing, (giver, taker): (many, hour)},
    )


def _change(stocked: Stocked, model: Model, key: str, pick: int, span: tuple[int, int], pieces: int) -> Deed:
    hold_id, needs, window = _picked(model, pick), [Material(model.code, pieces)], _window(stocked, span)
    return Deed(
        lambda: holds.change(hold_id, key=key, needs=needs, window=window),
        {**model.kept, hold_id: (*span, pieces)},
        model.handing,
    )


def _leave(stocked: Stocked, model: Model, key: str, pick: int, after: int) -> Deed:
    hold_id = _picked(model, pick)
    hour = model.kept[hold_id][0] + after
    moved = {pair: (many, hour) for pair, (many, _) in model.handing.items() if pair[0] == hold_id}
    at = _at(stocked, hour)
    return Deed(lambda: holds.change(hold_id, key=key, leaves_at=at), model.kept, {**model.handing, **moved})


def _undo(_: Stocked, model: Model, key: str, pick: int) -> Deed | None:
    if not model.handing:
        return None
    pair = sorted(model.handing)[pick % len(model.handing)]
    link = AgreedTransfer.objects.get(giver=pair[0], taker=pair[1])
    left = {each: what for each, what in model.handing.items() if each != pair}
    return Deed(lambda: transfers.undo_transfer(link.pk, key=key), model.kept, left)


def _release(_: Stocked, model: Model, key: str, pick: int) -> Deed:
    hold_id = _picked(model, pick)
    return Deed(
        lambda: holds.release(hold_id, key),
        {pk: what for pk, what in model.kept.items() if pk != hold_id},
        {pair: what for pair, what in model.handing.items() if hold_id not in pair},
    )


DEED: Mapping[str, Callable[..., Deed | None]] = {
    "hold": _hold,
    "hold straight": _hold_straight,
    "hand on": _hand_on,
    "change": _change,
    "leave": _leave,
    "undo": _undo,
    "release": _release,
}


def _picked(model: Model, number: int) -> int:
    return sorted(model.kept)[number % len(model.kept)]


def _agrees(stocked: Stocked, model: Model) -> None:
    lines = list(
        HoldLine.objects.filter(item__code=model.code, standing=True).values_list(
            "busy_from", "busy_until", "quantity"
        )
    )
    for hour in range(80):
        at = _at(stocked, hour)
        out = sum(quantity for start, until, quantity in lines if start <= at < until)
        assert out == model.out(model.kept, model.handing, hour) <= OWNED[model.code]
    told = AgreedTransfer.objects.values_list("giver_id", "taker_id", "quantity", "at")
    assert {(giver, taker): (many, at) for giver, taker, many, at in told} == {
        pair: (many, _at(stocked, hour)) for pair, (many, hour) in model.handing.items()
    }


def _at(stocked: Stocked, hour: int) -> datetime:
    return stocked.now + timedelta(hours=FIRST_HOUR + hour)


def _window(stocked: Stocked, span: tuple[int, int]) -> Window:
    return Window(_at(stocked, span[0]), _at(stocked, sum(span)))
