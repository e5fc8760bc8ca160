"""The plan: a quick one first, then the best one by OR-tools' CP-SAT, which also says how good a plan can be."""

from __future__ import annotations

import contextvars
import importlib.util
import math
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from events.planner.first_plan import add_tours, even_out, fill_gaps, make_first_plan
from events.planner.model import Model
from events.planner.plan_cost import cost, least_cost
from events.planner.problem import Assigned, Plan, Problem
from events.planner.rules import find_breaches

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpSolver

Goes = Callable[[], None]
"""Raises an error where nobody wants the plan any more."""

LIMIT_SECONDS: Final = 5.0
SEED: Final = 1
IMPROVING_SHARE: Final = 0.15
"""The share of the time that each improvement of the quick plan has, before the solver begins with it."""
SHORTEST_SECONDS: Final = 0.3
LOOK_SECONDS: Final = 0.5
"""Between two looks at whether anybody still wants the plan."""
ROUNDING: Final = 1e-6


class NotInstalled(RuntimeError):
    """OR-tools, an extra, isn't there."""


class NoPlan(RuntimeError):
    """No plan was found in the time given."""


class WrongPlan(RuntimeError):
    """The plan breaks a rule, or costs less than every plan must: a mistake of the planner, so there is no result."""


def is_installed() -> bool:
    """Whether planning can be offered."""
    return importlib.util.find_spec("ortools") is not None


def solve(
    problem: Problem,
    *,
    seconds: float = LIMIT_SECONDS,
    workers: int = 2,
    start_from: Mapping[str, Assigned] | None = None,
    goes_on: Goes = lambda: None,
) -> Plan:
    """The best plan found within ``seconds``, with its bound. Deterministic where it is optimal.

    ``start_from`` is a plan that keeps the rules of this problem, if one is known. Raises :class:`NotInstalled`,
    :class:`NoPlan`, :class:`WrongPlan`, and what ``goes_on`` raises.
    """
    if not is_installed():
        raise NotInstalled("Planning needs OR-tools: install requirements/plan.txt.")
    begun = time.monotonic()
    first = _quick_plan(problem, start_from, seconds * IMPROVING_SHARE)
    goes_on()
    jobs, bound, is_proven = _solve_model(problem, first, begun + seconds, workers, goes_on)
    goes_on()
    plans = [each for each in (jobs, first) if each]
    if not plans:
        raise NoPlan("No plan was found in the time given. Plan fewer days at once.")
    best = min(plans, key=lambda each: cost(problem, each))
    plan = Plan(best, cost(problem, best), bound, is_proven, time.monotonic() - begun)
    check_plan(problem, plan)
    return replace(plan, is_optimal=is_proven and plan.cost == bound)


def check_plan(problem: Problem, plan: Plan) -> None:
    """Raise :class:`WrongPlan` where a plan is none: it adds a breach, or costs less than the proven least."""
    for breach in find_breaches(problem, plan.jobs):
        if not breach.by_hand:
            raise WrongPlan(f"{breach.rule.name}: {breach.who} {breach.bookings}")
    if plan.cost < plan.bound:
        raise WrongPlan(f"It costs {plan.cost}, and no plan costs less than {plan.bound}.")


# --- Private ---


def _quick_plan(
    problem: Problem, start_from: Mapping[str, Assigned] | None, seconds: float
) -> Mapping[str, Assigned]:
    """The quick plan, improved, or the one to start from where that is better; empty where there is none."""
    plans = [
        jobs for jobs in (make_first_plan(problem), start_from) if jobs and _adds_no_breach(problem, jobs)
    ]
    if not plans:
        return {}
    # Gaps once more after the tours: those leave others free.
    for improve in (fill_gaps, add_tours, fill_gaps, even_out):
        best = min(plans, key=lambda jobs: cost(problem, jobs))
        plans.append(improve(problem, best, seconds=seconds))
    return min(plans, key=lambda jobs: cost(problem, jobs))


def _adds_no_breach(problem: Problem, jobs: Mapping[str, Assigned]) -> bool:
    return all(breach.by_hand for breach in find_breaches(problem, jobs))


def _solve_model(
    problem: Problem, start: Mapping[str, Assigned], until: float, workers: int, goes_on: Goes
) -> tuple[dict[str, Assigned], int, bool]:
    """What CP-SAT makes of it, what no plan costs less than, and whether it proved that its plan is the best.

    Without jobs where it found none in time. There is always a plan: what is missing or broken by hand only costs.
    """
    from ortools.sat.python import cp_model

    model = Model(problem)
    if start:
        model.hint(start)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(SHORTEST_SECONDS, until - time.monotonic())
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = SEED
    solver.parameters.relative_gap_limit = 0.0
    with _stopped_by(goes_on, solver):
        status = solver.solve(model.model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN):
        raise WrongPlan(f"The solver says {solver.status_name(status)}.")
    jobs = model.plan(solver) if status != cp_model.UNKNOWN else {}
    bound = max(least_cost(problem), math.ceil(solver.best_objective_bound - ROUNDING))
    return jobs, bound, status == cp_model.OPTIMAL


@contextmanager
def _stopped_by(goes_on: Goes, solver: CpSolver) -> Iterator[None]:
    """Let the solver leave off once ``goes_on`` raises, which is looked at beside it, in the same studio."""
    over = threading.Event()

    def look() -> None:
        while not over.wait(LOOK_SECONDS):
            try:
                goes_on()
            except Exception:  # noqa: BLE001 # Whoever called hears of it: it is asked once more after the search.
                solver.stop_search()
                return

    beside = threading.Thread(target=contextvars.copy_context().run, args=(look,), daemon=True)
    beside.start()
    try:
        yield
    finally:
        over.set()
        beside.join()
