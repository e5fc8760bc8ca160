"""A quick plan for the search to start from: shift by shift, whoever is free and has worked least.

It breaks no rule, but leaves open what a better plan would fill. Pure.
"""

from __future__ import annotations

from collections.abc import Mapping

from events.planner.board import Board
from events.planner.problem import Assigned, Job, Problem, Tour


def make_first_plan(
    problem: Problem, wished: Mapping[Tour, tuple[int, int]] | None = None
) -> dict[str, Assigned] | None:
    """Go over the shifts once in order of time, what was set by hand first, then the ``wished`` tours at their two
    starts, as far as that is possible; None where a shift gets no start."""
    board = Board(problem)
    by_hand = [job for job in problem.jobs if is_by_hand(job)]
    if not _put_all(board, by_hand, wished):
        return None
    for each, starts in sorted((wished or {}).items(), key=lambda wish: wish[1]):
        if each.first not in board.done and each.then not in board.done and board.may_put_tour(each, starts):
            board.put_tour(each, starts)
    rest = [job for job in problem.jobs if job.key not in board.done]
    return dict(board.done) if _put_all(board, rest, wished) else None


def is_by_hand(job: Job) -> bool:
    """Whether something of it was set by hand."""
    return job.fixed_start is not None or bool(job.fixed_people or job.fixed_van)


# --- Private ---


def _put_all(board: Board, jobs: list[Job], wished: Mapping[Tour, tuple[int, int]] | None) -> bool:
    def turn(job: Job) -> tuple[bool, int, str]:
        # Among tours, preps have the most time to give way.
        return bool(wished) and job.late_is_better, board.wished_start(job), job.key

    for job in sorted(jobs, key=turn):
        done = board.best(job, at_any_cost=True)
        if done is None:
            return False
        board.put(job, done)
    return True
