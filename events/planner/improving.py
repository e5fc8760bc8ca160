"""A plan made better: a few shifts at a time are taken down and planned again, with others, later, or on one tour.

What costs a little more is let stand in the beginning, so that the search leaves a hollow again (simulated annealing;
Kirkpatrick, Gelatt and Vecchi 1983). Pure.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice, product
from random import Random
from typing import Final

from events.planner.board import Board
from events.planner.cp_search import Goes
from events.planner.first_plan import is_by_hand
from events.planner.plan_cost import RunningCost, cost
from events.planner.problem import LONGEST_WAIT, Assigned, Job, Problem, Tour
from events.planner.rules import may_break_by_hand

SEED: Final = 1
TRIES_A_CHOICE: Final = 28
"""So many tries for each shift and each person there is to choose from, so that small problems are done with soon."""
WARMEST: Final = 30.0
"""In the beginning a plan may cost so much more than the one before, in the end no more."""
WARMTH_OF_GAPS: Final = 300.0
"""While something is missing it may always cost so much more: filling it is worth a thousand times that."""
MOST_TAKEN_DOWN: Final = 4
MORE_AT_GAPS: Final = 3
NEAR: Final = 48
"""Mostly shifts that start within so many steps of each other are taken down together."""
MOSTLY: Final = 0.7
RARELY: Final = 0.2
MEETINGS: Final = 6
"""So many pairs of starts are tried for a tour."""
TRIES_A_LOOK: Final = 50


def improve(
    problem: Problem,
    plan: Mapping[str, Assigned],
    *,
    seconds: float,
    least: int = 0,
    goes_on: Goes = lambda: None,
) -> dict[str, Assigned]:
    """The best plan found in the time, or until it costs the ``least`` that a plan can. It breaks no rule that ``plan``
    keeps. Raises what ``goes_on`` raises."""
    search, tries = _Search(problem, plan), TRIES_A_CHOICE * len(problem.jobs) * len(problem.workers)
    begun = time.monotonic()
    for number in range(tries):
        if number % TRIES_A_LOOK == 0:
            goes_on()
        gone = max(number / tries, (time.monotonic() - begun) / seconds)
        if search.least <= least or gone > 1:
            break
        search.move(WARMEST * (1 - gone) ** 2)
    return search.best


# --- Private ---


class _Search:
    """A plan on its board, what it costs, and the best one so far."""

    def __init__(self, problem: Problem, plan: Mapping[str, Assigned]) -> None:
        self.problem = problem
        self.dice = Random(SEED)  # noqa: S311 - repeatable, not secret
        self.board = Board(problem, plan)
        self.may_break = _may_break(problem)
        self.running = RunningCost(problem)
        self.price = self.least = self._cost()
        self.best = dict(plan)
        self.tours_from: dict[str, list[Tour]] = {key: [] for key in problem.job}
        for each in problem.tours:
            if not any(is_by_hand(problem.job[key]) for key in (each.first, each.then)):
                self.tours_from[each.first].append(each)

    def move(self, warmth: float) -> None:
        """Try one change; it stays unless it costs too much more."""
        board = self.board
        gaps = [job for job in self.problem.jobs if not board.done[job.key].is_whole]
        most = self.price + self.dice.random() * (WARMTH_OF_GAPS if gaps else warmth)
        taken = self._chosen(gaps)
        before = board.take_down_all(taken)
        if self._plan_again(taken) and (price := self._cost()) <= most:
            self._keep(price)
            return
        board.take_down_all([job for job in taken if job.key in board.done])
        board.put_back(before)

    def _cost(self) -> int:
        if self.may_break:
            return cost(self.problem, self.board.done)
        return self.running.of(self.board.done, self.board.spans)

    def _keep(self, price: int) -> None:
        self.price = price
        if price < self.least:
            self.least, self.best = price, dict(self.board.done)

    def _chosen(self, gaps: Sequence[Job]) -> list[Job]:
        """A few shifts, mostly near each other and near something missing, each with its partner on a tour."""
        dice, done, jobs = self.dice, self.board.done, self.problem.jobs
        first = dice.choice(gaps if gaps and dice.random() < MOSTLY else jobs)
        near = [job for job in jobs if abs(done[job.key].start - done[first.key].start) <= NEAR]
        among = near if dice.random() < MOSTLY else jobs
        most = MOST_TAKEN_DOWN + (MORE_AT_GAPS if gaps else 0)
        keys = {first.key, *(job.key for job in dice.sample(among, min(len(among), dice.randint(1, most))))}
        for each in self.problem.tours:
            if done[each.then].comes_from == each.first and keys & {each.first, each.then, each.prep}:
                keys |= {each.first, each.then}
        return [job for job in jobs if job.key in keys]

    def _plan_again(self, taken: Sequence[Job]) -> bool:
        """Put them back in another way; False where one gets no start."""
        board, dice = self.board, self.dice
        keys = {job.key for job in taken}
        tours = [each for job in taken for each in self.tours_from[job.key] if each.then in keys]
        dice.shuffle(tours)
        for each in tours:
            if each.first not in board.done and each.then not in board.done and dice.random() > RARELY:
                self._put_tour(each)
        rest = [job for job in taken if job.key not in board.done]
        dice.shuffle(rest)
        for job in rest:
            best = board.best(job, dice)
            if best is None:
                return False
            board.put(job, best)
        return True

    def _put_tour(self, each: Tour) -> None:
        known = self.problem.job
        for starts in islice(_meetings(each, known[each.first], known[each.then]), MEETINGS):
            if self.board.may_put_tour(each, starts) and self.board.put_tour(each, starts, self.dice):
                return


def _may_break(problem: Problem) -> bool:
    """Whether a plan may break a rule: by what was set by hand, for the board breaks none."""
    return any(job.fixed_van for job in problem.jobs) or any(
        may_break_by_hand(problem, worker) for worker in problem.workers
    )


def _meetings(each: Tour, first: Job, then: Job) -> Iterator[tuple[int, int]]:
    """Pairs of starts at which the two meet, the earliest first."""
    until_left, until_sets_out = first.length - first.home, then.out - each.drive
    both = product(range(first.earliest, first.latest + 1), range(then.earliest, then.latest + 1))
    meet = (
        (start, other)
        for start, other in both
        if 0 <= other + until_sets_out - (start + until_left) <= LONGEST_WAIT
    )
    yield from sorted(meet, key=sum)
