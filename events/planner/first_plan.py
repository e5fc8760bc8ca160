"""A quick plan for the solver to start from: shift by shift, whoever is free and has worked least; then improved.

It breaks no rule, but leaves open what a better plan would fill. Pure.
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
"""Parts of the plan are planned again so many times at most, and stop after so many times without success."""
EASED_IN_VAIN: Final = 1000
"""A few shifts are planned again until so many tries have brought nothing."""
NEAR: Final = (8, 24, 48)
"""How far around a gap other shifts are planned again with it, in steps."""
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
    """Fill gaps by planning the shifts around each again in another order.

    It breaks no rule that ``plan`` keeps, and nothing more is missing.
    """
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
        lacks = (
            sum(board.done[job.key].lacks for job in taken) if _assign_all(board, taken, dice) else lacked + 1
        )
        in_vain = 0 if lacks < lacked else in_vain + 1
        if lacks > lacked:
            _restore(board, taken, before)
    return dict(board.done)


def add_tours(problem: Problem, plan: Mapping[str, Assigned], *, seconds: float) -> dict[str, Assigned]:
    """Add each tour that makes the plan cost less, those that save most first.

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
    """Reduce overtime, unequal hours and waiting by planning a few shifts again, with others or at another time.

    It breaks no rule that ``plan`` keeps, and never costs more; tours stay.
    """
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
        price = cost(problem, board.done) if _assign_all(board, taken, dice) else least + 1
        if price > least:
            _restore(board, taken, before)
        in_vain = 0 if price < least else in_vain + 1
        least = min(least, price)
    return dict(board.done)


# --- Private ---


def _is_by_hand(each: Tour, known: Mapping[str, Job]) -> bool:
    return any(known[key].fixed_people or known[key].fixed_van for key in (each.first, each.then))


def _on_tour(problem: Problem, plan: Mapping[str, Assigned], each: Tour) -> dict[str, Assigned] | None:
    """Add this tour, and plan the prep that it waits for again; None where that isn't possible."""
    board = Board(problem, plan)
    known = problem.job
    first, then, prep = known[each.first], known[each.then], known.get(each.prep)
    for job in (first, then, prep):
        if job:
            board.take_down(job)
    for starts in _meetings(each, first, then):
        if board.put_tour(each, starts):
            return dict(board.done) if prep is None or _assign_all(board, [prep]) else None
    return None


def _meetings(each: Tour, first: Job, then: Job) -> list[tuple[int, int]]:
    """Pairs of starts at which the two meet, the earliest first."""
    until_left, until_sets_out = first.length - first.home, then.out - each.drive
    both = product(range(first.earliest, first.latest + 1), range(then.earliest, then.latest + 1))
    found = [
        (start, other)
        for start, other in both
        if 0 <= other + until_sets_out - (start + until_left) <= LONGEST_WAIT
    ]
    return sorted(found, key=sum)


def _assign_all(board: Board, jobs: list[Job], dice: Random | None = None) -> bool:
    for job in jobs:
        best = board.best(job, dice)
        if best is None:
            return False
        board.put(job, best)
    return True


def _restore(board: Board, jobs: list[Job], before: Mapping[str, Assigned]) -> None:
    for job in jobs:
        if job.key in board.done:
            board.take_down(job)
    for job in jobs:
        board.put(job, before[job.key])


def _on_tours(problem: Problem, plan: Mapping[str, Assigned]) -> set[str]:
    """The shifts on tours, and the preps that their loading waits for: they stay as they are."""
    return {key for each in driven_tours(problem, plan) for key in (each.first, each.then, each.prep) if key}


def _around(board: Board, gap: Job, dice: Random) -> list[Job]:
    """The gap and some shifts near it, in the order in which they are planned again: the gap first."""
    reach, at = dice.choice(NEAR), board.done[gap.key].start
    near = [
        job for job in board.problem.jobs if job is not gap and abs(board.done[job.key].start - at) <= reach
    ]
    dice.shuffle(near)
    return [gap, *near[: dice.randrange(2, MOST_TAKEN_DOWN)]]
