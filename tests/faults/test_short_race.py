"""A short race with every run of the tests, and proof that its judge can find fault."""

from __future__ import annotations

import random
from datetime import timedelta
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.db import connection
from django.utils import timezone
from psycopg.conninfo import make_conninfo

from tests import database, people
from tests.faults import race_checker, race_hands
from tests.faults.race import Race, run
from tests.faults.race_checker import Report, Told

HANDS, DEEDS_EACH = 6, 60


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_killed_hands_and_broken_connections_lose_and_double_nothing(tmp_path: Path) -> None:
    house = people.house("race", "Race", zone="UTC")
    with house.enter():
        race_hands.stock_shelf()
    shelf = race_hands.Shelf(house.studio.pk, house.owner.pk, timezone.now() + timedelta(days=2))
    name = str(connection.settings_dict["NAME"])
    connection.close()
    chance = random.Random(7)  # noqa: S311 -- a repeatable race
    race = Race(HANDS, HANDS * DEEDS_EACH, 0.25, 0.5, tmp_path, chance)

    def break_off() -> None:
        with psycopg.connect(database.admin_url(), autocommit=True) as admin:
            admin.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [name])

    def hand(number: int) -> None:
        race_hands.work(shelf, number, DEEDS_EACH, tmp_path / f"hand-{number}.jsonl", 3)

    run(race, hand, break_off)
    report = race_checker.check(make_conninfo(database.admin_url(), dbname=name), tmp_path)
    assert report.faults == []
    assert report.figures["deeds"] == HANDS * DEEDS_EACH
    assert report.figures["hold: held"] > HANDS
    assert race.kills
    assert race.restarts


def told(key: str, asked: float, answered: float, **entry: Any) -> Told:
    return Told(0, asked, answered, {"key": key, "deed": "hold", **entry})


def kept(key: str, asked: float, answered: float, hold_id: int, hours: float = 0) -> Told:
    needs = {"cover-0": 1}
    return told(key, asked, answered, told="held", hold_id=hold_id, needs=needs, from_h=hours, hours=4)


def test_the_judge_sees_one_thing_promised_twice_at_once() -> None:
    report = Report()
    race_checker._nothing_oversold([kept("a", 0, 1, 1), kept("b", 2, 3, 2, hours=3)], {"cover-0": 1}, report)
    assert report.faults == ["2 × cover-0 promised at once, 1 are there"]


def test_the_judge_lets_pass_what_was_given_back_before_or_is_for_later() -> None:
    report = Report()
    back = Told(0, 1.5, 1.8, {"key": "c", "deed": "release", "told": "done", "hold_id": 1})
    race_checker._nothing_oversold([kept("a", 0, 1, 1), back, kept("b", 2, 3, 2)], {"cover-0": 1}, report)
    race_checker._nothing_oversold([kept("a", 0, 1, 1), kept("b", 2, 3, 2, hours=4)], {"cover-0": 1}, report)
    assert report.faults == []


def test_the_judge_sees_a_refusal_of_what_was_free() -> None:
    report = Report()
    refused = told("b", 2, 3, told="refused", needs={"cover-0": 1}, from_h=0, hours=4)
    race_checker._nothing_refused_that_fitted([refused], {"cover-0": 1}, report)
    assert report.faults == ["b was refused though all of it was free"]
    race_checker._nothing_refused_that_fitted([kept("a", 0, 2.5, 1), refused], {"cover-0": 1}, report)
    assert len(report.faults) == 1
