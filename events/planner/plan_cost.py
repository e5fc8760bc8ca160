"""What a plan costs, and what every plan costs at least. Pure."""

from __future__ import annotations

from collections.abc import Mapping

from events.planner.cost_weights import (
    BROKEN,
    CHANGED,
    DRIVING,
    EARLY,
    MISSING,
    MOVED,
    OVERTIME,
    UNFAIR,
    WORK,
)
from events.planner.problem import (
    USUAL_DAY,
    Assigned,
    Problem,
    day_of,
    driven_tours,
    driving_saved,
    hours,
    late_pieces,
    people_needed,
    work_saved,
)
from events.planner.rules import find_breaches


def cost(problem: Problem, jobs: Mapping[str, Assigned]) -> int:
    """Sum what a plan costs, from the plan alone: the solver's own figure must agree."""
    broken = BROKEN * sum(breach.steps for breach in find_breaches(problem, jobs))
    return broken + cost_where_nothing_breaks(problem, jobs)


def cost_where_nothing_breaks(problem: Problem, jobs: Mapping[str, Assigned]) -> int:
    """Sum what a plan costs that breaks no rule."""
    total = MISSING * len(late_pieces(problem, jobs))
    worked = {worker.key: 0 for worker in problem.workers}
    by_day: dict[tuple[str, int], int] = {}
    spans = hours(problem, jobs)
    for job in problem.jobs:
        done = jobs[job.key]
        begin, end = spans[job.key]
        total += MISSING * done.lacks
        total += DRIVING * 2 * job.drive * bool(done.van)
        for key in done.people:
            total += WORK * (end - begin)
            worked[key] += end - begin
            day = (key, day_of(job))
            by_day[day] = by_day.get(day, 0) + end - begin
        total += CHANGED * len(job.before_people - set(done.people))
        total += CHANGED * bool(job.before_van and job.before_van != done.van)
        total += MOVED * (job.before_start is not None and job.before_start != done.start)
        if answered := job.answered_starts:
            total += CHANGED * job.answers * (not answered[0] <= done.start <= answered[1])
        total += EARLY * (job.latest - done.start if job.late_is_better else done.start - job.earliest)
    total -= DRIVING * sum(driving_saved(each, problem.job) for each in driven_tours(problem, jobs))
    total += OVERTIME * sum(max(0, steps - USUAL_DAY) for steps in by_day.values())
    total += UNFAIR * ((max(worked.values()) - min(worked.values())) if worked else 0)
    return total


def least_cost(problem: Problem) -> int:
    """Sum what every plan costs at least: all work and driving, less the most that each first shift's tours save."""
    known = problem.job
    total = sum(
        WORK * job.length * people_needed(job) + DRIVING * 2 * job.drive * job.needs_van
        for job in problem.jobs
    )
    saved: dict[str, int] = {}
    for each in problem.tours:
        crew = max(people_needed(known[key]) for key in (each.first, each.then))
        value = DRIVING * driving_saved(each, known) + WORK * crew * work_saved(each, known)
        saved[each.first] = max(saved.get(each.first, 0), value)
    return max(0, total - sum(saved.values()))
