"""Many hands at once, on real connections: never oversold, never doubled, never lost, no deadlock."""

from __future__ import annotations

import random
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import psycopg
import pytest
from django.db import connection

from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import Item
from tests import database
from tests.people import House
from tests.stock.conftest import COVER, OAT_11, RING, Stocked

pytestmark = pytest.mark.django_db(transaction=True)

WRITERS = 16
ROUNDS = 20


def at_once(deeds: list[Callable[[], Any]]) -> list[Any]:
    """Run ``deeds`` side by side from one starting shot, each on its own connection; errors are given
    back."""
    shot = Barrier(len(deeds))

    def run(deed: Callable[[], Any]) -> Any:
        try:
            shot.wait(timeout=30)
            return deed()
        except Exception as error:  # noqa: BLE001 -- whatever it was, the test looks at it
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(len(deeds)) as pool:
        return list(pool.map(run, deeds))


def looked_up(query: str) -> list[tuple[Any, ...]]:
    """What the database says to somebody who knows nothing of the product: the superuser, past every
    policy."""
    with psycopg.connect(database.admin_url(), dbname=str(connection.settings_dict["NAME"])) as admin:
        return admin.execute(query).fetchall()


OVERSOLD = """
    SELECT i.code, l.busy_from, sum(m.quantity) AS out, o.owned
    FROM stock_holdline l
    JOIN stock_item i ON i.id = l.item_id AND i.nature = 'reusable'
    JOIN stock_holdline m ON m.item_id = l.item_id
        AND m.busy_from <= l.busy_from AND m.busy_until > l.busy_from
    JOIN stock_hold h ON h.id = m.hold_id AND h.state IN ('held', 'tentative')
    JOIN (SELECT item_id, sum(quantity) AS owned FROM stock_movement GROUP BY item_id) o
        ON o.item_id = l.item_id
    JOIN stock_hold g ON g.id = l.hold_id AND g.state IN ('held', 'tentative')
    GROUP BY l.id, i.code, l.busy_from, o.owned HAVING sum(m.quantity) > o.owned
"""
"""Moments at which more is out than is owned, straight from the ledger and the holds; a peak is always at
some start."""


def test_two_presses_at_the_same_moment_are_one_hold(stocked: Stocked) -> None:
    def press() -> holds.HoldAnswer:
        with stocked.house.enter():
            return holds.hold(
                label="Fair",
                window=stocked.days(5, 6),
                needs=[Material(RING, 1), Material(OAT_11, 20)],
                key="press",
            )

    answers = at_once([press] * 8)
    assert all(answer == answers[0] for answer in answers)
    assert isinstance(answers[0], holds.HoldAnswer)
    assert looked_up("SELECT count(*) FROM stock_hold") == [(1,)]
    assert looked_up("SELECT count(*), sum(quantity) FROM stock_holdline") == [(2, 21)]


def test_the_last_ring_goes_to_one_of_many(stocked: Stocked) -> None:
    def want(number: int) -> Callable[[], holds.HoldAnswer]:
        def press() -> holds.HoldAnswer:
            with stocked.house.enter():
                return holds.hold(
                    label=f"Event {number}",
                    window=stocked.days(5, 6),
                    needs=[Material(COVER, 1)],
                    key=f"k{number}",
                )

        return press

    answers = at_once([want(number) for number in range(8)])
    assert sum(isinstance(answer, holds.HoldAnswer) for answer in answers) == 1
    assert sum(isinstance(answer, holds.NotFree) for answer in answers) == 7
    assert looked_up("SELECT count(*) FROM stock_hold") == [(1,)]


def _writer(stocked: Stocked, number: int) -> Callable[[], dict[str, int]]:
    """One writer's work: holds of contested items in any order, some changed, some released; what it was
    told."""
    chance = random.Random(number)  # noqa: S311 -- a repeatable test

    def work() -> dict[str, int]:
        told: dict[str, int] = {}
        for step in range(ROUNDS):
            key = f"{number}-{step}"
            start = chance.choice([3, 3.5, 4, 4.5, 5, 5.5])
            needs = [Material(RING, chance.choice([1, 1, 2])), Material(COVER, 1), Material(OAT_11, 5)]
            chance.shuffle(needs)
            try:
                with stocked.house.enter():
                    window = stocked.days(start, start + chance.choice([0.4, 0.5, 1]))
                    made = holds.hold(
                        label=key, window=window, needs=needs[: chance.choice([1, 2, 3])], key=key
                    )
            except holds.NotFree:
                continue
            told[key] = made.hold_id
            if chance.random() < 0.6:
                with stocked.house.enter():
                    holds.release(made.hold_id, f"release-{key}")
                del told[key]
            elif chance.random() < 0.5:
                try:
                    with stocked.house.enter():
                        holds.change(made.hold_id, key=f"change-{key}", needs=[Material(RING, 2)])
                except holds.NotFree:
                    pass
            with stocked.house.enter():
                movements.receive(Item.objects.get(code=OAT_11).pk, 1, key=f"in-{key}")
        return told

    return work


def test_sixteen_writers_never_oversell_and_every_promise_told_stands(stocked: Stocked) -> None:
    answers = at_once([_writer(stocked, number) for number in range(WRITERS)])

    assert [answer for answer in answers if isinstance(answer, Exception)] == []
    assert looked_up(OVERSOLD) == []
    told = sorted(hold_id for answer in answers for hold_id in answer.values())
    assert told, "nothing was promised at all"
    assert [row[0] for row in looked_up("SELECT id FROM stock_hold WHERE state = 'held' ORDER BY id")] == told
    assert looked_up("SELECT label FROM stock_hold GROUP BY label HAVING count(*) > 1") == []
    assert (
        looked_up(
            "SELECT b.item_id FROM stock_balance b"
            " WHERE on_hand <> (SELECT sum(quantity) FROM stock_movement m WHERE m.item_id = b.item_id)"
        )
        == []
    )


def test_receiving_and_counting_at_once_lose_nothing(stocked: Stocked, federkorn: House) -> None:
    item_id = stocked.item(OAT_11).pk

    def receive(number: int) -> Callable[[], movements.Written]:
        def deed() -> movements.Written:
            with stocked.house.enter():
                return movements.receive(item_id, 10, key=f"in-{number}")

        return deed

    answers = at_once([receive(number) for number in range(12)])
    assert sorted(answer.on_hand for answer in answers) == list(range(210, 330, 10))
    with stocked.house.enter():
        assert movements.balances([item_id]) == {item_id: 320}
