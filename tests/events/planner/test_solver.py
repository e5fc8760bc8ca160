"""The planner against brute force, its own cost reckoned again, rest kept, and what can't be shown as missing."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import chain, combinations, pairwise, product
from random import Random

import pytest

from events.day_plan import rest
from events.planner import cp_search, solver
from events.planner.breach_words import explain_breaches
from events.planner.first_plan import make_first_plan
from events.planner.plan_cost import cost
from events.planner.problem import A_DAY, STEP, Assigned, Job, Plan, Problem, VanSpace, Worker
from events.planner.shortage import shortages
from studio.measures.times import Window
from tests.checks.test_rest_rules import MONDAY
from tests.seeds import seeds

REST, WEEK = timedelta(hours=11) // STEP, timedelta(hours=48) // STEP
HOUR = timedelta(hours=1) // STEP


def job(key: str, at: int, length: int, **more: object) -> Job:
    facts = {"label": key, "earliest": at, "latest": at, "length": length, "people_needed": 1, **more}
    return Job(key=key, **facts)  # type: ignore[arg-type] # each has its field's type


def problem(jobs: list[Job], workers: list[Worker], vans: list[VanSpace] | None = None) -> Problem:
    return Problem(tuple(jobs), tuple(workers), tuple(vans or ()), rest=REST, week=WEEK)


def solved(what: Problem) -> Plan:
    plan = solver.solve(what, seconds=60, workers=1)
    assert plan.is_optimal
    return plan


def kept(what: Problem, jobs: dict[str, Assigned]) -> bool:
    """Whether a plan breaks no rule, checked without the solver."""
    lengths = {each.key: each.length for each in what.jobs}
    for worker in what.workers:
        mine = sorted(
            (done.start, done.start + lengths[key]) for key, done in jobs.items() if worker.key in done.people
        )
        if any(second[0] < first[1] for first, second in pairwise(mine)):
            return False
        if any(begin < last and first < end for begin, end in mine for first, last in worker.off):
            return False
        windows = [Window(MONDAY + begin * STEP, MONDAY + end * STEP) for begin, end in mine]
        if (
            rest.too_little_rest(windows, what.rest * STEP)
            or sum(end - begin for begin, end in mine) > what.week
        ):
            return False
    for van in what.vans:
        out = sorted(
            (done.start, done.start + lengths[key]) for key, done in jobs.items() if done.van == van.key
        )
        if any(second[0] < first[1] for first, second in pairwise(out)):
            return False
        for each in what.jobs:
            done = jobs[each.key]
            if done.van == van.key and (not van.takes(each) or len(done.people) > van.seats):
                return False
    return True


def best_by_trying(what: Problem) -> int:
    """The least cost over every choice of starts, people and vans."""
    choices = []
    for each in what.jobs:
        crews = chain.from_iterable(
            combinations([worker.key for worker in what.workers], size)
            for size in range(each.people_needed + 1)
        )
        vans: list[str | None] = [None, *(van.key for van in what.vans)] if each.needs_van else [None]
        choices.append(list(product(range(each.earliest, each.latest + 1), list(crews), vans)))
    skills = {worker.key: worker.skills for worker in what.workers}
    least = None
    for picked in product(*choices):
        jobs = {
            each.key: Assigned(
                start, people, van, each.people_needed - len(people),
                tuple(skill for skill in each.skills if not any(skill in skills[who] for who in people)),
                each.needs_van and van is None,
            )
            for each, (start, people, van) in zip(what.jobs, picked, strict=True)
        }  # fmt: skip
        price = cost(what, jobs)
        if (least is None or price < least) and kept(what, jobs):
            least = price
    assert least is not None
    return least


def small(seed: int) -> Problem:
    """Three or four shifts over two days, two or three people, a van or two."""
    dice = Random(seed)  # noqa: S311 - repeatable, not secret
    jobs = []
    for number in range(dice.choice((3, 4))):
        at = dice.randrange(0, 40 * HOUR)
        jobs.append(
            job(
                f"job {number}", at, dice.randrange(HOUR, 7 * HOUR),
                latest=at + dice.choice((0, 1)), people_needed=dice.choice((1, 1, 2)),
                skills=dice.choice(((), ("driver",))), needs_van=dice.choice((True, False)),
                volume_m3=dice.choice((1.0, 4.0)), late_is_better=dice.choice((True, False)),
            )
        )  # fmt: skip
    workers = [
        Worker(f"w{number}", f"W{number}", frozenset(dice.choice(((), ("driver",)))),
               dice.choice(((), ((0, 12 * HOUR),))))
        for number in range(dice.choice((2, 3)) if len(jobs) == 3 else 2)
    ]  # fmt: skip
    vans = [VanSpace("v0", "V0", seats=2, volume_m3=dice.choice((2.0, None)))]
    return problem(jobs, workers, vans)


@pytest.mark.parametrize("seed", range(8))
def test_no_plan_costs_less_than_the_one_found(seed: int) -> None:
    what = small(seed)
    plan = solved(what)
    assert kept(what, dict(plan.jobs))
    assert plan.cost == plan.bound == best_by_trying(what)


def test_two_at_once_by_one_person_leave_one_missing() -> None:
    what = problem([job("a", 0, HOUR), job("b", 2, HOUR)], [Worker("w", "W")])
    plan = solved(what)
    assert sorted(done.missing_people for done in plan.jobs.values()) == [0, 1]


def test_a_chain_of_short_breaks_is_no_rest() -> None:
    """Eight hours, a gap of seven, two hours, a gap of five: no eleven hours in one piece in the first 24."""
    what = problem(
        [job("a", 0, 4 * HOUR), job("b", 8 * HOUR, 2 * HOUR), job("c", 15 * HOUR, 2 * HOUR)],
        [Worker("w", "W")],
    )
    plan = solved(what)
    assert kept(what, dict(plan.jobs))
    assert sum(done.missing_people for done in plan.jobs.values()) == 1


def test_what_was_fixed_by_hand_stays_even_against_the_rules() -> None:
    what = problem(
        [
            job("a", 0, 4 * HOUR, fixed_people=frozenset("w")),
            job("b", HOUR, HOUR, fixed_people=frozenset("w")),
        ],
        [Worker("w", "W", off=((0, A_DAY),)), Worker("x", "X")],
    )
    plan = solved(what)
    assert [plan.jobs[key].people for key in "ab"] == [("w",), ("w",)]


def test_a_day_too_long_that_was_fixed_by_hand_is_planned_around() -> None:
    alone = frozenset("w")
    long_day = [
        job("a", 0, 4 * HOUR, fixed_people=alone),
        job("b", 8 * HOUR, 2 * HOUR, fixed_people=alone),
        job("c", 15 * HOUR, 2 * HOUR, fixed_people=alone),
        job("d", 20 * HOUR, HOUR),
    ]
    plan = solved(problem(long_day, [Worker("w", "W"), Worker("x", "X")]))
    assert [plan.jobs[key].people for key in "abcd"] == [("w",), ("w",), ("w",), ("x",)]


def test_planning_anew_keeps_who_stood_there() -> None:
    people = [Worker(key, key) for key in "uvwx"]
    for who in "uvwx":
        stood = problem([job("a", 0, HOUR, before_people=frozenset(who))], people)
        assert solved(stood).jobs["a"].people == (who,)


def test_planning_anew_keeps_the_hours_that_stood_there_where_little_is_gained_by_others() -> None:
    people = [Worker("w", "w")]
    for before in (0, 3, 9):
        stands = problem([job("a", 0, HOUR, latest=12, before_start=before)], people)
        assert solved(stands).jobs["a"].start == before
    long_ago = problem([job("a", 0, HOUR, latest=12, before_start=11)], people)
    assert solved(long_ago).jobs["a"].start == 0


def test_whoever_said_no_is_not_asked_again() -> None:
    what = problem([job("a", 0, HOUR, not_people=frozenset("w"))], [Worker("w", "W")])
    assert solved(what).jobs["a"].missing_people == 1


def test_a_piece_too_long_for_every_van_lacks_one() -> None:
    what = problem(
        [job("a", 0, HOUR, needs_van=True, longest_m=3.0)],
        [Worker("w", "W")],
        [VanSpace("v", "V", longest_m=2.0)],
    )
    assert solved(what).jobs["a"].missing_van


def test_the_install_waits_for_its_prep() -> None:
    what = problem(
        [
            job("prep", 0, HOUR, latest=8, late_is_better=True),
            job("install", 6, HOUR, latest=20, after="prep"),
        ],
        [Worker("w", "W")],
    )
    plan = solved(what)
    assert plan.jobs["install"].start >= plan.jobs["prep"].start + HOUR


@pytest.mark.parametrize("seed", seeds(20, 40))
def test_the_first_plan_breaks_no_rule_and_is_no_better_than_the_best(seed: int) -> None:
    what = small(seed)
    first = make_first_plan(what)
    assert first is not None
    assert kept(what, first)
    if seed < 8:
        assert cost(what, first) >= best_by_trying(what)


@pytest.mark.parametrize("seed", range(8))
def test_no_plan_lacks_less_than_what_must_be_missing(seed: int) -> None:
    what = small(seed)
    plan = solved(replace(what, workers=what.workers[:1]))
    found = list(shortages(replace(what, workers=what.workers[:1])))
    for shortage in found:
        lacks = {
            key: (shortage.skill in done.missing_skills) if shortage.skill else done.missing_people
            for key, done in plan.jobs.items()
        }
        assert sum(weight * lacks[key] for key, weight in shortage.weights.items()) >= shortage.least


def test_what_must_be_missing_is_counted_by_moment_and_by_day() -> None:
    people = [Worker("w", "W"), Worker("v", "V", off=((0, 3 * A_DAY),))]
    at_once = problem([job(key, 0, HOUR, people_needed=2, latest=2) for key in "abc"], people)
    assert next((each.least, set(each.weights)) for each in shortages(at_once)) == (5, {*"abc"})
    # Sixteen hours within a day, and thirteen is the most that leaves eleven of rest.
    a_day = problem([job(str(at), at * 5 * HOUR, 4 * HOUR) for at in range(4)], people)
    assert [(each.least, len(each.weights)) for each in shortages(a_day)] == [(3 * HOUR, 4)]
    one_more = replace(a_day, workers=(*people, Worker("x", "X")))
    assert list(shortages(one_more)) == []


def test_the_hours_left_of_a_week_are_those_beside_what_is_not_planned_here() -> None:
    """Six days of seven hours, from the second day on; ten of the 48 hours of the week are taken in between."""
    week = [job(str(day), day * A_DAY, 7 * HOUR) for day in range(1, 7)]
    taken = (("w", 3 * A_DAY + 8 * HOUR, 3 * A_DAY + 18 * HOUR), ("w", 9 * A_DAY, 9 * A_DAY + HOUR))
    what = replace(problem(week, [Worker("w", "W")]), taken=taken)
    assert [(each.least, len(each.weights)) for each in shortages(what)] == [(4 * HOUR, 6)]


@pytest.mark.parametrize(("length", "least"), [(7 * HOUR, []), (7 * HOUR + 1, [1]), (8 * HOUR, [HOUR])])
def test_beyond_a_whole_day_only_what_is_left_of_the_next_counts(length: int, least: list[int]) -> None:
    """Within 30 hours, 13 of the first 24 and 6 of the rest can be worked."""
    jobs = [job(str(at), at * 8 * HOUR, 4 * HOUR) for at in range(3)]
    jobs.append(job("last", 30 * HOUR - length, length))
    found = shortages(problem(jobs, [Worker("w", "W")]))
    assert [each.least for each in found if len(each.weights) == len(jobs)] == least


def test_a_season_of_strings_is_planned_in_time_with_everybody_rested() -> None:
    """More shifts than can be proven in the time given: still a plan, which keeps every rule."""
    dice = Random(3)  # noqa: S311 - repeatable, not secret
    jobs = [
        job(
            f"{number}-{part}",
            at + part * 7 * HOUR,
            3 * HOUR,
            people_needed=2,
            latest=at + part * 7 * HOUR + HOUR,
        )
        for number in range(8)
        for at in [dice.randrange(0, 60 * HOUR)]
        for part in range(3)
    ]
    what = problem(jobs, [Worker(f"w{number}", f"W{number}") for number in range(7)])
    plan = solver.solve(what, seconds=1.0)
    assert kept(what, dict(plan.jobs))
    first = make_first_plan(what)
    assert first is not None
    assert plan.bound <= plan.cost == cost(what, plan.jobs) <= cost(what, first)
    assert plan.seconds < 3.0


def test_who_was_put_on_two_at_once_by_hand_is_told() -> None:
    by_hand = frozenset({"w"})
    what = problem(
        [job("a", 0, 4 * HOUR, fixed_people=by_hand), job("b", 2 * HOUR, 4 * HOUR, fixed_people=by_hand)],
        [Worker("w", "Marit"), Worker("v", "Teo")],
    )
    (reason,) = explain_breaches(what, solved(what))
    assert reason.lacks == "Marit is on a and on b at once."
    apart = replace(what, jobs=(what.jobs[0], replace(what.jobs[1], earliest=5 * HOUR, latest=5 * HOUR)))
    assert list(explain_breaches(apart, solved(apart))) == []


class Unwanted(Exception):
    """Nobody wants the plan any more."""


def test_a_search_that_nobody_waits_for_is_left_off_in_its_middle(monkeypatch: pytest.MonkeyPatch) -> None:
    from ortools.sat.python.cp_model import CpSolver

    monkeypatch.setattr(cp_search, "LOOK_SECONDS", 0.01)
    looks, stopped, searched = [0], [0], CpSolver.solve

    def goes_on() -> None:
        looks[0] += 1
        if looks[0] > 1:
            raise Unwanted

    def stop(_: CpSolver) -> None:
        stopped[0] += 1

    def slowly(self: CpSolver, model: object) -> object:
        while not stopped[0]:
            pass
        return searched(self, model)  # type: ignore[arg-type] # handed on as it came

    monkeypatch.setattr(CpSolver, "stop_search", stop)
    monkeypatch.setattr(CpSolver, "solve", slowly)
    with pytest.raises(Unwanted):
        solver.solve(small(1), goes_on=goes_on)
    assert stopped == [1]


def test_a_plan_that_is_unwanted_from_the_start_is_not_searched_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solver, "_solve_model", pytest.fail)

    def goes_on() -> None:
        raise Unwanted

    with pytest.raises(Unwanted):
        solver.solve(small(1), goes_on=goes_on)
