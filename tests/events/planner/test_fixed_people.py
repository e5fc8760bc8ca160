"""Plans with people, vans and times set by hand: nothing added breaks a rule, and the best plan is the best."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from events.planner import solver
from events.planner.breach_words import explain_breaches
from events.planner.first_plan import make_first_plan
from events.planner.improving import improve
from events.planner.plan_cost import cost
from events.planner.problem import Assigned, Job, Plan, Problem, VanSpace, Worker
from tests.events.planner.plan_checks import (
    DAY,
    HOUR,
    REST,
    best_by_trying,
    kept,
    price,
    problem_with_fixed_people,
)
from tests.seeds import seeds

BY_HAND = frozenset({"w"})


@pytest.mark.parametrize("seed", seeds(16, 40))
def test_no_plan_breaks_a_rule_or_beats_the_best_by_trying(seed: int) -> None:
    what = problem_with_fixed_people(seed)
    plan = solver.solve(what, seconds=60, workers=1)
    assert kept(what, plan.jobs).own == ()
    assert plan.is_optimal
    assert plan.cost == plan.bound == price(what, plan.jobs) == best_by_trying(what)


@pytest.mark.parametrize("seed", seeds(24, 60))
def test_a_plan_without_the_solver_breaks_no_rule_either(seed: int) -> None:
    what = problem_with_fixed_people(seed)
    first = make_first_plan(what)
    assert first is not None
    for jobs in (first, improve(what, first, seconds=0.5)):
        assert kept(what, jobs).own == ()
        assert cost(what, jobs) == price(what, jobs)


def job(key: str, at: int, length: int, *, people_needed: int = 1, **more: Any) -> Job:
    return Job(key, key, at, more.pop("latest", at), length, people_needed, **more)


def problem(jobs: list[Job], workers: list[Worker], vans: tuple[VanSpace, ...] = (), **more: Any) -> Problem:
    return Problem(tuple(jobs), tuple(workers), vans, rest=REST, week=48 * HOUR, **more)


def solved(what: Problem) -> Plan:
    plan = solver.solve(what, seconds=60, workers=1)
    assert plan.is_optimal
    return plan


def words(what: Problem) -> list[str]:
    return [reason.lacks for reason in explain_breaches(what, solved(what))]


def test_somebody_set_by_hand_gets_no_second_shift_at_that_time() -> None:
    """The only other person has said no: the shift stays open, though one more person seems to be there."""
    what = problem(
        [
            job("a", 0, 4 * HOUR, fixed_people=BY_HAND, late_is_better=True),
            job("b", 2 * HOUR, 4 * HOUR, not_people=frozenset({"x"})),
        ],
        [Worker("w", "W"), Worker("x", "X")],
    )
    plan = solved(what)
    assert (plan.jobs["b"].people, plan.jobs["b"].missing_people) == ((), 1)
    assert words(what) == []


def test_a_day_too_long_by_hand_gets_nothing_more_but_another_day_does() -> None:
    """Eighteen hours of one person's Friday are by hand. Within the rest after it nothing is added; on Sunday it is."""
    what = problem(
        [
            job("friday", 0, 18 * HOUR, fixed_people=BY_HAND),
            job("saturday", 20 * HOUR, 2 * HOUR),
            job("sunday", 2 * DAY, 6 * HOUR, fixed_people=BY_HAND),
            job("sunday evening", 2 * DAY + 7 * HOUR, 2 * HOUR),
        ],
        [Worker("w", "Marit")],
    )
    plan = solved(what)
    assert [plan.jobs[each.key].people for each in what.jobs] == [("w",), (), ("w",), ("w",)]
    assert words(what) == ["Marit has less than 11 h of rest in 24 hours: on friday."]


def test_work_beside_the_plan_counts_for_rest_and_hours() -> None:
    """Out for another event until midnight, nobody loads at six; after forty hours of others eight are left."""
    late = problem([job("a", 30 * HOUR, 4 * HOUR)], [Worker("w", "W")], taken=(("w", 18 * HOUR, 24 * HOUR),))
    assert solved(late).jobs["a"].missing_people == 1
    rested = problem(
        [job("a", 35 * HOUR, 4 * HOUR)], [Worker("w", "W")], taken=(("w", 18 * HOUR, 24 * HOUR),)
    )
    assert solved(rested).jobs["a"].people == ("w",)
    others = tuple(("w", day * DAY, day * DAY + 10 * HOUR) for day in range(4))
    for length, missing in ((8 * HOUR, 0), (9 * HOUR, 1)):
        full = problem([job("a", 5 * DAY, length)], [Worker("w", "W")], taken=others)
        assert solved(full).jobs["a"].missing_people == missing


def test_two_overlapping_things_beside_the_plan_take_the_time_of_both() -> None:
    taken = (("w", 0, 4 * HOUR), ("w", 2 * HOUR, 6 * HOUR))
    one = [Worker("w", "W")]
    for at in (HOUR, 5 * HOUR):
        assert solved(problem([job("a", at, HOUR)], one, taken=taken)).jobs["a"].people == (), at
    free = solved(problem([job("a", 6 * HOUR, HOUR)], one, taken=taken))
    assert free.jobs["a"].people == ("w",)


def test_two_things_at_once_beside_the_plan_are_no_matter_of_the_plan() -> None:
    """Together they last eleven and a half hours; one after the other they would be too long a day."""
    twice = (("w", 0, 7 * HOUR), ("w", 5 * HOUR, 11 * HOUR + 2))
    what = problem([job("a", 2 * DAY, HOUR)], [Worker("w", "W")], taken=twice)
    assert solved(what).jobs["a"].people == ("w",)


def test_nobody_works_seven_days_without_a_day_of_rest() -> None:
    """Six hours on each of eight days: 35 hours in one piece are needed once in seven days, where that is the law."""
    days = [job(f"day {number}", number * DAY, 6 * HOUR) for number in range(8)]
    one = [Worker("w", "W")]
    assert all(done.is_whole for done in solved(problem(days, one)).jobs.values())
    rested = solved(problem(days, one, weekly_rest=35 * HOUR))
    assert sum(done.missing_people for done in rested.jobs.values()) == 1
    worked = [number for number in range(8) if rested.jobs[f"day {number}"].people]
    assert not any(set(range(first, first + 7)) <= set(worked) for first in range(2))


def test_more_than_seven_days_hold_more_than_the_hours_of_one_week() -> None:
    days = [job(f"day {number}", number * DAY, 8 * HOUR) for number in range(10)]
    plan = solved(problem(days, [Worker("w", "W")]))
    worked = [number for number in range(10) if plan.jobs[f"day {number}"].people]
    assert len(worked) == 9, "one day off lies in every seven of the ten"
    assert all(len([each for each in worked if first <= each < first + 7]) <= 6 for first in range(4))


@pytest.mark.parametrize(
    ("jobs", "vans", "expected"),
    [
        (
            [job("a", 0, 4 * HOUR, fixed_people=BY_HAND), job("b", HOUR, HOUR, fixed_people=BY_HAND)],
            (),
            ["Marit is on a and on b at once."],
        ),
        (
            [
                job("a", 0, 4 * HOUR, needs_van=True, fixed_van="v"),
                job("b", HOUR, HOUR, needs_van=True, fixed_van="v"),
            ],
            (VanSpace("v", "Van 1"),),
            ["Van 1 is on a and on b at once."],
        ),
        (
            [job("prep", 0, 4 * HOUR, fixed_start=3 * HOUR), job("install", 4 * HOUR, HOUR, after="prep")],
            (),
            ["install begins before prep is over."],
        ),
        (
            [job("a", 2 * DAY, HOUR, fixed_people=BY_HAND)],
            (),
            ["Marit is on a, but has the day off or doesn’t work then."],
        ),
        (
            [job("a", 0, HOUR, needs_van=True, volume_m3=3.0, fixed_van="v", fixed_people=frozenset("wx"))],
            (VanSpace("v", "Van 1", seats=1, volume_m3=2.0),),
            ["Van 1 is too small for the load of a.", "Van 1 seats 1, and 2 are on a."],
        ),
        (
            [job(f"day {day}", day * DAY // 2, 10 * HOUR, fixed_people=BY_HAND) for day in range(4)],
            (),
            ["Marit has less than 11 h of rest in 24 hours: on day 0 and on day 1 and on day 2 and on day 3."],
        ),
    ],
)  # fmt: skip
def test_bookings_by_hand_that_contradict_each_other_are_planned_around_and_said(
    jobs: list[Job], vans: tuple[VanSpace, ...], expected: list[str]
) -> None:
    people = [Worker("w", "Marit", off=((2 * DAY, 3 * DAY),)), Worker("x", "Teo")]
    assert words(problem(jobs, people, vans)) == expected


def test_a_plan_that_costs_less_than_the_bound_or_breaks_a_rule_is_no_result() -> None:
    what = problem([job("a", 0, HOUR), job("b", 2, HOUR)], [Worker("w", "W")])
    good = solved(what)
    with pytest.raises(solver.WrongPlan, match="no plan costs less"):
        solver.check_plan(what, replace(good, bound=good.cost + 1))
    twice = {key: Assigned(done.start, ("w",), None) for key, done in good.jobs.items()}
    with pytest.raises(solver.WrongPlan, match="ONE_PLACE: w"):
        solver.check_plan(what, replace(good, jobs=twice, bound=0))
