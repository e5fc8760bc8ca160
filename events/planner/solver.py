"""The plan: a quick one first, then the best one by OR-tools' CP-SAT, which also says how good a plan can be."""

from __future__ import annotations

import importlib.util
import math
import time
from collections.abc import Mapping
from typing import Final

from events.planner.cp_search import ROUNDING, Goes, search
from events.planner.first_plan import make_first_plan
from events.planner.improving import improve
from events.planner.model import Model
from events.planner.nameless import Outline, outline
from events.planner.plan_cost import cost, least_cost
from events.planner.problem import Assigned, Plan, Problem
from events.planner.rules import find_breaches

LIMIT_SECONDS: Final = 5.0
OUTLINE_SHARE, IMPROVING_SHARE = 0.15, 0.8
"""The shares of the time that the outline and the improving have at most, before the solver begins with their plan."""
SHORTEST_SECONDS: Final = 0.3


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
    goes_on()
    rough = outline(problem, seconds=seconds * OUTLINE_SHARE, workers=workers, goes_on=goes_on)
    goes_on()
    first = _quick_plan(problem, start_from, rough, seconds * IMPROVING_SHARE, goes_on)
    goes_on()
    jobs, bound = _solve_model(problem, first, rough.bound, begun + seconds, workers, goes_on)
    goes_on()
    plans = [each for each in (jobs, first) if each]
    if not plans:
        raise NoPlan("No plan was found in the time given. Plan fewer days at once.")
    best = min(plans, key=lambda each: cost(problem, each))
    price = cost(problem, best)
    plan = Plan(best, price, bound, price == bound, time.monotonic() - begun)
    check_plan(problem, plan)
    return plan


def check_plan(problem: Problem, plan: Plan) -> None:
    """Raise :class:`WrongPlan` where a plan is none: it adds a breach, or costs less than the proven least."""
    for breach in find_breaches(problem, plan.jobs):
        if not breach.by_hand:
            raise WrongPlan(f"{breach.rule.name}: {breach.who} {breach.bookings}")
    if plan.cost < plan.bound:
        raise WrongPlan(f"It costs {plan.cost}, and no plan costs less than {plan.bound}.")


# --- Private ---


def _quick_plan(
    problem: Problem,
    start_from: Mapping[str, Assigned] | None,
    rough: Outline,
    seconds: float,
    goes_on: Goes,
) -> Mapping[str, Assigned]:
    """The best of the quick plans and the one to start from, improved; empty where there is none."""
    made = (make_first_plan(problem), make_first_plan(problem, rough.tours), start_from)
    plans = [jobs for jobs in made if jobs and _adds_no_breach(problem, jobs)]
    if not plans:
        return {}
    best = min(plans, key=lambda jobs: cost(problem, jobs))
    better = improve(problem, best, seconds=seconds, least=rough.bound, goes_on=goes_on)
    return better if _adds_no_breach(problem, better) else best


def _adds_no_breach(problem: Problem, jobs: Mapping[str, Assigned]) -> bool:
    return all(breach.by_hand for breach in find_breaches(problem, jobs))


def _solve_model(
    problem: Problem, start: Mapping[str, Assigned], least: int, until: float, workers: int, goes_on: Goes
) -> tuple[dict[str, Assigned], int]:
    """What CP-SAT makes of it, and what no plan costs less than; ``least`` is known before.

    Without jobs where it found none in time. There is always a plan: what is missing or broken by hand only costs.
    """
    from ortools.sat.python import cp_model

    least = max(least, least_cost(problem))
    if start and cost(problem, start) <= least:
        return {}, least
    model = Model(problem)
    if start:
        model.hint(start)
    seconds = max(SHORTEST_SECONDS, until - time.monotonic())
    solver, status = search(model.model, seconds=seconds, workers=workers, goes_on=goes_on)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN):
        raise WrongPlan(f"The solver says {solver.status_name(status)}.")
    jobs = model.plan(solver) if status != cp_model.UNKNOWN else {}
    return jobs, max(least, math.ceil(solver.best_objective_bound - ROUNDING))
