"""What was set by hand and breaks a rule, in words for the proposal: the plan keeps it, and the studio mends it."""

from __future__ import annotations

from collections.abc import Iterator

from events.planner.problem import STEP, Job, Plan, Problem
from events.planner.rules import Breach, Rule, find_breaches
from events.planner.unfilled import Reason

CHANGE_IT = "It was set by hand or has a yes, and a plan keeps that: change it on the event’s crew page."
NO_TIME = "Their hours leave no time for both: change the times of one on the event’s crew page."
HOUR = 60 * 60


def explain_breaches(problem: Problem, plan: Plan) -> Iterator[Reason]:
    """One reason for each rule that bookings set by hand break."""
    names = {worker.key: worker.name for worker in problem.workers}
    names |= {van.key: van.name for van in problem.vans}
    for breach in find_breaches(problem, plan.jobs):
        jobs = [problem.job[booking.job] for booking in breach.bookings if booking.job]
        if jobs:
            why = NO_TIME if breach.rule == Rule.PREP_FIRST else CHANGE_IT
            yield Reason(jobs[0].key, _words(problem, breach, names.get(breach.who, ""), jobs), why, ())
    yield from _overfull_vans(problem, plan)


# --- Private ---


def _words(problem: Problem, breach: Breach, name: str, jobs: list[Job]) -> str:
    where = " and on ".join(job.label for job in jobs)
    match breach.rule:
        case Rule.ONE_PLACE if len(jobs) == 1:
            return f"{name} is on {where}, and out for another event then."
        case Rule.ONE_PLACE:
            return f"{name} is on {where} at once."
        case Rule.AVAILABLE:
            return f"{name} is on {where}, but has the day off or doesn’t work then."
        case Rule.DAILY_REST:
            return f"{name} has less than {_hours(problem.rest)} of rest in 24 hours: on {where}."
        case Rule.WEEKLY_REST:
            return f"{name} has less than {_hours(problem.weekly_rest)} of rest in one piece in 7 days: on {where}."
        case Rule.WEEKLY_HOURS:
            worked = _hours(problem.week + breach.steps)
            return f"{name} works {worked} in 7 days; {_hours(problem.week)} is the most: on {where}."
        case Rule.PREP_FIRST:
            return f"{jobs[1].label} begins before {jobs[0].label} is over."
        case Rule.TOUR:
            return f"One van and crew can’t do {where} on one tour."


def _hours(steps: int) -> str:
    return f"{steps * STEP.total_seconds() / HOUR:g} h"


def _overfull_vans(problem: Problem, plan: Plan) -> Iterator[Reason]:
    """Vans set by hand that are too small for the load, or for the people."""
    vans = {van.key: van for van in problem.vans}
    for job in problem.jobs:
        van = vans.get(job.fixed_van or "")
        if van is None:
            continue
        people = len(plan.jobs[job.key].people)
        if not van.holds(job):
            yield Reason(job.key, f"{van.name} is too small for the load of {job.label}.", CHANGE_IT, ())
        if people > van.seats:
            yield Reason(
                job.key, f"{van.name} seats {van.seats}, and {people} are on {job.label}.", CHANGE_IT, ()
            )
