"""What is kept of everybody's hours gives the answers that the rules give."""

from __future__ import annotations

from random import Random

import pytest

from events.planner.free_hours import FreeHours
from events.planner.problem import A_DAY, Job, Problem, Worker
from events.planner.rules import Booking, Span, may_add
from tests.events.planner.test_solver import HOUR
from tests.seeds import seeds


def span_by(dice: Random) -> Span:
    begin = dice.randrange(0, 9 * A_DAY)
    return begin, begin + dice.randint(1, 9 * HOUR)


def crowd(dice: Random) -> Problem:
    """Six people with days off, work that isn't planned here, and twelve shifts over nine days."""
    jobs = []
    for number in range(12):
        begin, end = span_by(dice)
        jobs.append(Job(f"j{number}", "", begin, begin + dice.randrange(8), end - begin, 1))
    workers = tuple(
        Worker(f"w{number}", "", off=tuple(span_by(dice) for _ in range(dice.randrange(3))))
        for number in range(6)
    )
    taken = tuple((f"w{dice.randrange(6)}", *span_by(dice)) for _ in range(4))
    return Problem(
        tuple(jobs),
        workers,
        (),
        rest=11 * HOUR,
        week=dice.choice((16, 30, 48)) * HOUR,
        taken=taken,
        weekly_rest=dice.choice((0, 35 * HOUR)),
    )


def bookings_by(dice: Random, what: Problem) -> dict[str, list[Booking]]:
    """What everybody has already, whether it breaks a rule or not: by hand it may."""
    found = {
        worker.key: [Booking(span) for span in what.taken_of.get(worker.key, ())] for worker in what.workers
    }
    for job in dice.sample(what.jobs, 8):
        found[dice.choice(what.workers).key].append(
            Booking((job.earliest, job.earliest + job.length), job.key)
        )
    return found


@pytest.mark.parametrize("seed", seeds(60, 1000))
def test_whoever_may_take_a_shift_by_the_rules_is_found_and_nobody_else(seed: int) -> None:
    dice = Random(seed)  # noqa: S311 - repeatable, not secret
    what = crowd(dice)
    bookings = bookings_by(dice, what)
    free = FreeHours(what, lambda who: bookings[who])
    for job in what.jobs:
        new = Booking((job.latest, job.latest + job.length), job.key, by_hand=False)
        able = [who for who in what.workers if may_add(what, who, bookings[who.key], new)]
        assert free.find_able(what.workers, new) == able
        if able:
            bookings[able[0].key].append(new)
            free.forget(able[0].key)


def test_somebody_is_free_between_two_shifts_and_at_no_step_of_them() -> None:
    what = Problem((Job("j", "", 0, 20, 4, 1),), (Worker("w", "", off=((12, 16),)),), (), rest=0, week=100)
    free = FreeHours(what, lambda _: [Booking((4, 8), "j")])
    taken = {step for step in range(20) if not free.is_free("w", (step, step + 1))}
    assert taken == {4, 5, 6, 7, 12, 13, 14, 15}
    assert free.is_free("w", (8, 12))
    assert not free.is_free("w", (7, 12))


def test_what_somebody_took_on_is_seen_once_they_are_forgotten() -> None:
    what = Problem((Job("j", "", 0, 20, 4, 1),), (Worker("w", ""),), (), rest=0, week=100)
    bookings: list[Booking] = []
    free = FreeHours(what, lambda _: bookings)
    assert free.is_free("w", (0, 4))
    bookings.append(Booking((0, 4), "j"))
    free.forget("w")
    assert not free.is_free("w", (0, 4))
