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
    Job,
    Problem,
    day_of,
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
    return RunningCost(problem).of(jobs, hours(problem, jobs))


class RunningCost:
    """What one plan after another costs that breaks no rule: only shifts that are others now are reckoned again."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._tours = {(each.first, each.then): each for each in problem.tours}
        self._bring = any(each.brings_pieces for each in problem.tours)
        self._day = {job.key: day_of(job) for job in problem.jobs}
        self._seen: dict[str, tuple[Assigned, tuple[int, int]]] = {}
        self._shifts = 0
        self._worked = {worker.key: 0 for worker in problem.workers}
        self._by_day: dict[tuple[str, int], int] = {}

    def of(self, jobs: Mapping[str, Assigned], spans: Mapping[str, tuple[int, int]]) -> int:
        """Sum what the plan costs whose shifts take these hours; it has all shifts of the problem."""
        for job in self.problem.jobs:
            done, span = jobs[job.key], spans[job.key]
            before = self._seen.get(job.key)
            if before is None or before[0] is not done or before[1] != span:
                if before:
                    self._count(job, *before, sign=-1)
                self._count(job, done, span, sign=1)
                self._seen[job.key] = done, span
        late = MISSING * len(late_pieces(self.problem, jobs)) if self._bring else 0
        overtime = sum(steps - USUAL_DAY for steps in self._by_day.values() if steps > USUAL_DAY)
        worked = self._worked.values()
        unfair = max(worked) - min(worked) if worked else 0
        return self._shifts + late + OVERTIME * overtime + UNFAIR * unfair

    # --- Private ---

    def _count(self, job: Job, done: Assigned, span: tuple[int, int], *, sign: int) -> None:
        """Count a shift, or count it no more."""
        steps = sign * (span[1] - span[0])
        self._shifts += sign * self._cost_of(job, done) + WORK * steps * len(done.people)
        for who in done.people:
            self._worked[who] += steps
            day = who, self._day[job.key]
            self._by_day[day] = self._by_day.get(day, 0) + steps

    def _cost_of(self, job: Job, done: Assigned) -> int:
        """What a shift costs but for the work: what it lacks, driving, what it changes of the last plan, waiting."""
        total = MISSING * done.lacks + DRIVING * 2 * job.drive * bool(done.van)
        if done.comes_from:
            total -= DRIVING * driving_saved(self._tours[done.comes_from, job.key], self.problem.job)
        if job.before_people:
            total += CHANGED * len(job.before_people - set(done.people))
        total += CHANGED * bool(job.before_van and job.before_van != done.van)
        total += MOVED * (job.before_start is not None and job.before_start != done.start)
        if answered := job.answered_starts:
            total += CHANGED * job.answers * (not answered[0] <= done.start <= answered[1])
        return total + EARLY * (job.latest - done.start if job.late_is_better else done.start - job.earliest)


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
