"""The problem without names: its bound is never above what the best plan costs, and above what hours alone say."""

from __future__ import annotations

from dataclasses import replace

import pytest

from events.planner.nameless import outline
from events.planner.plan_cost import least_cost
from events.planner.problem import Problem, Worker
from tests.bench.test_weekend_speed import weekend
from tests.events.planner import plan_checks, test_tours
from tests.events.planner.test_solver import HOUR, best_by_trying, job, problem, small, solved
from tests.seeds import seeds


def bound(what: Problem) -> int:
    return outline(what, seconds=10, workers=1).bound


@pytest.mark.parametrize("seed", seeds(12, 40))
def test_no_plan_costs_less_than_the_bound(seed: int) -> None:
    """Compared with every choice tried, by code that knows nothing of the planner."""
    what = small(seed)
    assert 0 < bound(what) <= best_by_trying(what)


@pytest.mark.parametrize("seed", seeds(24, 60))
def test_no_plan_with_things_set_by_hand_costs_less_than_the_bound(seed: int) -> None:
    what = plan_checks.problem_with_fixed_people(seed)
    assert bound(what) <= plan_checks.best_by_trying(what)


@pytest.mark.parametrize("seed", seeds(12, 24))
def test_no_plan_with_tours_costs_less_than_the_bound(seed: int) -> None:
    what = test_tours.two_sites(seed)
    assert bound(what) <= test_tours.best_by_trying(what)[0]


@pytest.mark.parametrize("seed", range(3))
def test_of_a_small_weekend_the_best_plan_costs_no_less(seed: int) -> None:
    what = weekend(3, 5, 2, seed)
    assert least_cost(what) <= bound(what) <= solved(what).cost


def test_two_shifts_at_one_time_need_two_people_whoever_they_are() -> None:
    """By hand: two hours by one person cost 8 steps of 20; the second shift lacks somebody, which costs 100,000, or it
    waits half an hour, which is 2 steps later."""
    at_once = problem([job("a", 0, 2 * HOUR), job("b", HOUR, 2 * HOUR)], [Worker("w", "W")])
    assert bound(at_once) == 100_000 + 160
    later = replace(at_once, jobs=(at_once.jobs[0], replace(at_once.jobs[1], latest=2 * HOUR)))
    assert bound(later) == 320 + HOUR
    two = replace(at_once, workers=(Worker("w", "W"), Worker("v", "V")))
    assert bound(two) == 320


def test_who_is_away_is_none_to_count_on() -> None:
    away = problem([job("a", 0, 2 * HOUR)], [Worker("w", "W", off=((HOUR, 2 * HOUR),))])
    assert bound(away) == 100_000


def test_hours_beyond_everybodys_day_are_overtime() -> None:
    """By hand: ten hours by one person are two beyond the usual eight: 8 steps of 10 on top of 40 of 20."""
    long_day = problem([job("a", 0, 10 * HOUR)], [Worker("w", "W")])
    assert bound(long_day) == 40 * 20 + 8 * 10


def test_its_tours_come_with_the_starts_at_which_they_meet() -> None:
    what = weekend(4, 5, 2)
    for each, (start, then) in outline(what, seconds=10, workers=1).tours.items():
        left = start + what.job[each.first].length - what.job[each.first].home
        assert 0 <= then + what.job[each.then].out - each.drive - left <= HOUR
