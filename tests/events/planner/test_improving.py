"""What the search makes of a plan: gaps filled, work shared, tours driven, and nothing worse."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from events.planner.board import Board
from events.planner.first_plan import make_first_plan
from events.planner.improving import improve
from events.planner.plan_cost import RunningCost, cost
from events.planner.problem import Assigned, Worker
from tests.bench.test_weekend_speed import weekend
from tests.events.planner.test_solver import HOUR, job, kept, problem, small
from tests.seeds import seeds


@pytest.mark.parametrize("seed", seeds(20, 40))
def test_a_plan_is_never_made_worse_and_breaks_no_rule(seed: int) -> None:
    what = small(seed)
    first = make_first_plan(what)
    assert first is not None
    better = improve(what, first, seconds=1.0)
    assert kept(what, better)
    assert cost(what, better) <= cost(what, first)
    assert sum(done.lacks for done in better.values()) <= sum(done.lacks for done in first.values())


def test_a_gap_is_filled_by_moving_what_stands_around_it() -> None:
    """The one who drives was put on what anybody could do, and the shift that needs driving came after."""
    what = problem(
        [
            job("a", 0, 2 * HOUR, before_people=frozenset("w")),
            job("b", HOUR, 2 * HOUR, skills=("driver",)),
        ],
        [Worker("v", "V"), Worker("w", "W", frozenset({"driver"}))],
    )
    first = make_first_plan(what)
    assert first is not None
    assert [first[key].lacks for key in "ab"] == [0, 1]
    better = improve(what, first, seconds=5.0)
    assert {key: better[key].people for key in "ab"} == {"a": ("v",), "b": ("w",)}


def test_who_works_most_gives_some_of_it_to_who_works_least() -> None:
    """One person has both shifts of a long day; two people share them."""
    what = problem(
        [job("a", 0, 6 * HOUR), job("b", 6 * HOUR, 6 * HOUR)], [Worker("v", "V"), Worker("w", "W")]
    )
    one = {key: Assigned(at, ("v",), None) for key, at in (("a", 0), ("b", 6 * HOUR))}
    calm = improve(what, one, seconds=5.0)
    assert {done.people for done in calm.values()} == {("v",), ("w",)}


def test_the_same_tries_make_the_same_plan() -> None:
    what = weekend(4, 5, 2)
    first = make_first_plan(what)
    assert first is not None
    assert improve(what, first, seconds=60) == improve(what, first, seconds=60)


def test_a_plan_as_good_as_can_be_is_left_alone() -> None:
    what = weekend(4, 5, 2)
    first = make_first_plan(what)
    assert first is not None
    assert improve(what, first, seconds=60, least=cost(what, first)) == first


def test_who_asked_may_leave() -> None:
    class Left(Exception):
        pass

    def left() -> None:
        raise Left

    what = weekend(4, 5, 2)
    first = make_first_plan(what)
    assert first is not None
    with pytest.raises(Left):
        improve(what, first, seconds=60, goes_on=left)


def test_tours_set_by_hand_are_no_matter_of_the_search() -> None:
    what = weekend(4, 5, 2)
    by_hand = tuple(replace(each, fixed_van="v0") if each.needs_van else each for each in what.jobs)
    first = make_first_plan(replace(what, jobs=by_hand))
    assert first is not None
    better = improve(replace(what, jobs=by_hand), first, seconds=2)
    assert not any(done.comes_from for done in better.values())


@pytest.mark.parametrize("seed", seeds(10, 100))
def test_a_plan_that_was_changed_bit_by_bit_costs_what_it_costs_as_a_whole(seed: int) -> None:
    what, dice = weekend(4, 5, 2, seed), Random(seed)  # noqa: S311 - repeatable, not secret
    first = make_first_plan(what)
    assert first is not None
    board, running = Board(what, first), RunningCost(what)
    for _ in range(20):
        taken = dice.sample(what.jobs, 3)
        before = board.take_down_all(taken)
        chosen = {job.key: board.best(job, dice, at_any_cost=True) for job in taken}
        if dice.random() < 0.3:
            board.put_back(before)
        else:
            for job in taken:
                if done := chosen[job.key]:
                    board.put(job, replace(done, people=done.people[: dice.randint(0, 2)]))
        assert running.of(board.done, board.spans) == RunningCost(what).of(board.done, board.spans)


def test_a_plan_costs_what_is_added_up_by_hand() -> None:
    """In quarters of an hour: one works 40 and one 8, at 20 each; 8 of overtime at 10 more, a difference of 32 at 4;
    the second shift starts 4 late at 1 each.
    """
    what = problem([job("a", 0, 10 * HOUR), job("b", 0, 2 * HOUR)], [Worker("v", "V"), Worker("w", "W")])
    jobs = {"a": Assigned(0, ("v",), None), "b": Assigned(HOUR, ("w",), None)}
    assert cost(what, jobs) == 20 * (40 + 8) + 10 * 8 + 4 * 32 + 4
