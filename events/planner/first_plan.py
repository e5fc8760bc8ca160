"""A plan by hand's method: shift by shift, whoever is free and has worked least; then what lacks is thought over.

Where the solver starts from. It breaks no rule, but leaves missing what better thinking would fill. Pure.
"""

from __future__ import annotations

import time
from collections.abc import Mapping
from itertools import product
from random import Random
from typing import Final

from events.planner.board import Board
from events.planner.plan_cost import cost
from events.planner.problem import (
    LONGEST_WAIT,
    Assigned,
    Job,
    Problem,
    Tour,
    driven_tours,
    driving_saved,
    work_saved,
)

MOST_TRIES: Final = 3000
IN_VAIN: Final = 300
"""So often a part of the plan is taken down and put up anew, at most; and so often in vain before it is let be."""
EASED_IN_VAIN: Final = 1000
"""So often in vain a few shifts are put up anew before they are let be."""
NEAR: Final = (8, 24, 48)
"""How far around a gap other shifts may be taken down with it, in steps."""
MOST_TAKEN_DOWN: Final = 14
SEED: Final = 1


def make_first_plan(problem: Problem) -> dict[str, Assigned] | None:
    """Go over the shifts once in order of time, what was set by hand first; None where a shift gets no start."""
    board = Board(problem)

    def turn(job: Job) -> tuple[bool, int, str]:
        by_hand = job.fixed_start is not None or bool(job.fixed_people or job.fixed_van)
        return not by_hand, board.wished_start(job), job.key

    for job in sorted(problem.jobs, key=turn):
        done = board.best(job, at_any_cost=True)
        if done is None:
            return None
        board.put(job, done)
    return dict(board.done)


def fill_gaps(problem: Problem, plan: Mapping[str, Assigned], *, seconds: float) -> dict[str, Assigned]:
    """The plan with less missing, where that is found by taking down what stands around a gap and putting it up in
    another order. It breaks no rule that ``plan`` keeps, and never lacks more."""
    board, dice = Board(problem, plan), Random(SEED)  # noqa: S311 - repeatable, not secret
    until, in_vain = time.monotonic() + seconds, 0
    stays = _on_tours(problem, plan)
    for _ in range(MOST_TRIES):
        gaps = [job for job in problem.jobs if not board.done[job.key].is_whole]
        if not gaps or in_vain >= IN_VAIN or time.monotonic() > until:
            break
        taken = [job for job in _around(board, dice.choice(gaps), dice) if job.key not in stays]
        before = {job.key: board.done[job.key] for job in taken}
        lacked = sum(done.lacks for done in before.values())
        for job in taken:
            board.take_down(job)
        lacks = sum(board.done[job.key].lacks for job in taken) if _put_up(board, taken, dice) else lacked + 1
        in_vain = 0 if lacks < lacked else in_vain + 1
        if lacks > lacked:
            _put_back(board, taken, before)
    return dict(board.done)


def add_tours(problem: Problem, plan: Mapping[str, Assigned], *, seconds: float) -> dict[str, Assigned]:
    """The plan with every tour in it that makes it cost less, tried one after the other: those that save most first.

    It breaks no rule that ``plan`` keeps.
    """
    until, known = time.monotonic() + seconds, problem.job
    best = dict(plan)
    least = cost(problem, best)
    for each in sorted(problem.tours, key=lambda each: -work_saved(each, known) - driving_saved(each, known)):
        if time.monotonic() > until:
            break
        if _on_tours(problem, best) & {each.first, each.then} or _is_by_hand(each, known):
            continue
        tried = _on_tour(problem, best, each)
        if tried and (price := cost(problem, tried)) < least:
            best, least = tried, price
    return best


def even_out(problem: Problem, plan: Mapping[str, Assigned], *, seconds: float) -> dict[str, Assigned]:
    """The plan with less overtime, unfairness and waiting, where that is found by putting a few shifts up anew, with
    others or at another time. It breaks no rule that ``plan`` keeps, and never costs more; tours stay."""
    board, dice = Board(problem, plan), Random(SEED)  # noqa: S311 - repeatable, not secret
    until, least = time.monotonic() + seconds, cost(problem, plan)
    stays = _on_tours(problem, plan)
    free = [job for job in problem.jobs if job.key not in stays]
    in_vain = 0
    while free and in_vain < EASED_IN_VAIN and time.monotonic() < until:
        taken = dice.sample(free, min(len(free), dice.randrange(1, 4)))
        before = {job.key: board.done[job.key] for job in taken}
        for job in taken:
            board.take_down(job)
        price = cost(problem, board.done) if _put_up(board, taken, dice) else least + 1
        if price > least:
            _put_back(board, taken, before)
        in_vain = 0 if price < least else in_vain + 1
        least = min(least, price)
    return dict(board.done)


# --- Private ---


def _is_by_hand(each: Tour, known: Mapping[str, Job]) -> bool:
    return any(known[key].fixed_people or known[key].fixed_van for key in (each.first, each.then))


def _on_tour(problem: Problem, plan: Mapping[str, Assigned], each: Tour) -> dict[str, Assigned] | None:
    """The plan with this tour in it, and the prep that it waits for put up anew; None where that can't be."""
    board = Board(problem, plan)
    known = problem.job
    first, then, prep = known[each.first], known[each.then], known.get(each.prep)
    for job in (first, then, prep):
        if job:
            board.take_down(job)
    for starts in _meetings(each, first, then):
        if board.put_tour(each, starts):
            return dict(board.done) if prep is None or _put_up(board, [prep]) else None
    return None


def _meetings(each: Tour, first: Job, then: Job) -> list[tuple[int, int]]:
    """At which starts the two meet, the least late first."""
    until_left, until_sets_out = first.length - first.home, then.out - each.drive
    both = product(range(first.earliest, first.latest + 1), range(then.earliest, then.latest + 1))
    found = [
        (start, other)
        for start, other in both
        if 0 <= other + until_sets_out - (start + until_left) <= LONGEST_WAIT
    ]
    return sorted(found, key=sum)


def _put_up(board: Board, jobs: list[Job], dice: Random | None = None) -> bool:
    for job in jobs:
        best = board.best(job, dice)
        if best is None:
            return False
        board.put(job, best)
    return True


def _put_back(board: Board, jobs: list[Job], before: Mapping[str, Assigned]) -> None:
    for job in jobs:
        if job.key in board.done:
            board.take_down(job)
    for job in jobs:
        board.put(job, before[job.key])


def _on_tours(problem: Problem, plan: Mapping[str, Assigned]) -> set[str]:
    """What is on a tour lacks nothing and stays, and so does the prep that its loading waits for."""
    return {key for each in driven_tours(problem, plan) for key in (each.first, each.then, each.prep) if key}


def _around(board: Board, gap: Job, dice: Random) -> list[Job]:
    """The gap and some of what stands near it, in the order in which they are put up again: it first."""
    reach, at = dice.choice(NEAR), board.done[gap.key].start
    near = [
        job for job in board.problem.jobs if job is not gap and abs(board.done[job.key].start - at) <= reach
    ]
    dice.shuffle(near)
    return [gap, *near[: dice.randrange(2, MOST_TAKEN_DOWN)]]
