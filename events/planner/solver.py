"""The plan: thought over by hand's method first, then by OR-tools' CP-SAT, which also says how good it could be."""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from events.planner.board import working_days
from events.planner.first_plan import add_tours, even_out, fill_gaps, make_first_plan
from events.planner.model import Model
from events.planner.problem import A_DAY, Assigned, Plan, Problem, Worker, cost, least_cost

LIMIT_SECONDS: Final = 5.0
SEED: Final = 1
THINKING_SHARE: Final = 0.15
"""The share of the time that each way of thinking a plan over has, before the solver begins with it."""
SHORTEST_SECONDS: Final = 0.3


class NotInstalled(RuntimeError):
    """OR-tools, an extra, isn't there."""


class NoPlan(RuntimeError):
    """What was fixed by hand contradicts itself."""


def is_installed() -> bool:
    """Whether planning can be offered."""
    return importlib.util.find_spec("ortools") is not None


def solve(
    problem: Problem,
    *,
    seconds: float = LIMIT_SECONDS,
    workers: int = 2,
    start_from: Mapping[str, Assigned] | None = None,
) -> Plan:
    """The best plan found within ``seconds``, with its bound. Deterministic where it ends proven optimal.

    ``start_from`` is a plan that keeps the rules of this problem, if one is known. Raises :class:`NotInstalled`,
    :class:`NoPlan`.
    """
    if not is_installed():
        raise NotInstalled("Planning needs OR-tools: install requirements/plan.txt.")
    begun = time.monotonic()
    best = _thought_over(problem, start_from, seconds * THINKING_SHARE)
    until = begun + seconds
    without_rest = frozenset(worker.key for worker in problem.workers if _works_too_long(problem, worker))
    found = _solved(problem, without_rest, best, until, workers)
    if found is None:
        # Not only those, perhaps: what was fixed by hand stays whatever rest it leaves.
        by_hand = frozenset(who for job in problem.jobs for who in job.fixed_people)
        found = _solved(problem, by_hand, best, until, workers)
    if found is None:
        raise NoPlan("What was fixed by hand contradicts itself: look at the times and vans set by hand.")
    plan = min((each for each in (found, best) if each.jobs), key=lambda each: each.cost, default=None)
    if plan is None:
        raise NoPlan("No plan was found in the time given. Plan fewer days at once.")
    is_optimal = plan.cost <= found.bound
    return replace(plan, bound=found.bound, is_optimal=is_optimal, seconds=time.monotonic() - begun)


# --- Private ---


def _thought_over(problem: Problem, start_from: Mapping[str, Assigned] | None, seconds: float) -> Plan:
    """The plan by hand's method, or the one to start from where that is better; without jobs where there is none."""
    plans = [jobs for jobs in (make_first_plan(problem), start_from) if jobs]
    if not plans:
        return Plan({}, 0, 0, is_optimal=False, seconds=0.0)
    # Gaps once more after the tours: those leave others free.
    for think in (fill_gaps, add_tours, fill_gaps, even_out):
        best = min(plans, key=lambda jobs: cost(problem, jobs))
        plans.append(think(problem, best, seconds=seconds))
    best = min(plans, key=lambda jobs: cost(problem, jobs))
    return Plan(best, cost(problem, best), 0, is_optimal=False, seconds=0.0)


def _solved(
    problem: Problem, by_hand: frozenset[str], start: Plan, until: float, workers: int
) -> Plan | None:
    """What CP-SAT makes of it; None where there is no plan at all, a plan without jobs where it found none in time."""
    from ortools.sat.python import cp_model

    model = Model(problem, by_hand)
    if start.jobs:
        model.hint(start.jobs)
    solver: Any = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(SHORTEST_SECONDS, until - time.monotonic())
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = SEED
    solver.parameters.relative_gap_limit = 0.0
    status = solver.solve(model.model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN):
        return None
    jobs = model.plan(solver) if status != cp_model.UNKNOWN else {}
    # The bound is of the solver; the cost is reckoned again from the plan itself.
    bound = max(least_cost(problem), round(solver.best_objective_bound))
    return Plan(jobs, cost(problem, jobs) if jobs else 0, bound, is_optimal=False, seconds=0.0)


def _works_too_long(problem: Problem, worker: Worker) -> bool:
    """Whether what they were put on by hand leaves too little rest by itself."""
    spans = [
        (start, start + job.length)
        for job in problem.jobs
        if worker.key in job.fixed_people
        for start in (job.earliest if job.fixed_start is None else job.fixed_start,)
    ]
    most = A_DAY - problem.rest
    return bool(problem.rest) and any(
        last - first > most for first, last in working_days(spans, problem.rest)
    )
