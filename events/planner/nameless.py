"""A problem in which nobody has a name: how many people, skills and vans are out, not who.

Every plan of the problem is one of this as well and costs no more here: what no plan costs less than here, none costs
less than there. It has hundreds of variables where the problem has thousands, so it is solved much sooner.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from events.planner.common_model import CommonModel
from events.planner.cost_weights import DRIVING, OVERTIME, WORK
from events.planner.cp_search import ROUNDING, Goes, search
from events.planner.problem import USUAL_DAY, Job, Problem, Tour, day_of, people_needed
from events.planner.rules import may_break_by_hand, merged
from events.planner.variables import Variables

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import IntervalVar, IntVar

    from events.planner.variables import Expr

STEADY_SHARE: Final = 0.1
"""Of the seconds, as OR-tools' deterministic time: on a usual machine this ends the search, and alike on any."""


@dataclass(frozen=True, slots=True)
class Outline:
    """What no plan costs less than, and the tours that would be best if names were no matter, with both starts."""

    bound: int
    tours: Mapping[Tour, tuple[int, int]]


def outline(problem: Problem, *, seconds: float, workers: int, goes_on: Goes = lambda: None) -> Outline:
    """Solve the problem without names, as well as it can be in the time."""
    from ortools.sat.python import cp_model

    nameless = Nameless(problem)
    steady = seconds * STEADY_SHARE
    solver, status = search(nameless.model, seconds=seconds, workers=workers, goes_on=goes_on, steady=steady)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Outline(0, {})
    start = nameless.variables.start
    tours = {
        each: (solver.value(start[each.first]), solver.value(start[each.then]))
        for each, driven in nameless.variables.tours.items()
        if solver.value(driven)
    }
    return Outline(math.ceil(solver.best_objective_bound - ROUNDING), tours)


class Nameless(CommonModel):
    """The variables, rules and costs of a problem without names. What was set by hand may break a rule, so where it
    could, that rule is left out."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem, Variables(replace(problem, workers=(), vans=())))
        self.there: dict[str, Expr] = {}
        self.worked: dict[int, list[Expr]] = {day_of(job): [] for job in problem.jobs}
        for job in problem.jobs:
            self._fill(job)
        for each, driven in self.variables.tours.items():
            self.drive(each, driven)
            self._shorten(each, driven)
        self._prep_first()
        self.add_shortages()
        self._add_overtime()
        if not any(may_break_by_hand(problem, worker) for worker in problem.workers):
            self._limit_people()
        if not any(job.fixed_van for job in problem.jobs):
            self._limit_vans()
        self.model.minimize(sum(self.costs))

    # --- Private ---

    def _fill(self, job: Job) -> None:
        """Count who is on a shift, and what is missing."""
        needed = people_needed(job)
        self.there[job.key] = needed + self.more_on_tours(job) - self.lack(job, "people", needed)
        for skill in job.skills:
            self.lack(job, f"skill {skill}", 1)
        if job.needs_van:
            self.costs.append(DRIVING * 2 * job.drive * (1 - self.lack(job, "van", 1)))
        self.costs.append(WORK * job.length * self.there[job.key])
        self.worked[day_of(job)].append(job.length * self.there[job.key])
        self.price_start(job)

    def _shorten(self, each: Tour, driven: IntVar) -> None:
        """A tour changes its shifts' hours, and needs a van that holds all of it."""
        known, vans = self.problem.job, self.problem.vans
        first, then = known[each.first], known[each.then]
        self.worked[day_of(first)].append(-(first.home - each.loads) * self.crew(each) * driven)
        self.worked[day_of(then)].append(-(then.out - each.drive) * self.crew(each) * driven)
        holds = any(van.volume_m3 is None or each.volume_m3 <= van.volume_m3 for van in vans)
        if first.needs_van and then.needs_van and not holds:
            self.model.add(driven == 0)

    def _prep_first(self) -> None:
        for job in self.problem.jobs:
            before = self.problem.job.get(job.after)
            if before is None:
                continue
            earliest = before.earliest if before.fixed_start is None else before.fixed_start
            latest = job.latest if job.fixed_start is None else job.fixed_start
            if earliest + before.length <= latest:
                start = self.variables.start
                self.model.add(start[job.key] >= start[before.key] + before.length)

    def _add_overtime(self) -> None:
        """What is worked on a day beyond everybody's usual hours is somebody's overtime; so is what one tour is."""
        for day, worked in self.worked.items():
            most = sum(reach.longest for reach in self.problem.reach.values()) * len(self.problem.workers)
            over = self.variables.new_count(max(0, most), f"over on {day}")
            self.model.add(over >= sum(worked) - USUAL_DAY * len(self.problem.workers))
            self.model.add(
                over
                >= sum(
                    self.overtime_of(each) * driven
                    for each, driven in self.variables.tours.items()
                    if day_of(self.problem.job[each.first]) == day
                )
            )
            self.costs.append(OVERTIME * over)

    def _limit_people(self) -> None:
        """No more are out at one moment than there are, of all and with each skill."""
        jobs, workers = self.problem.jobs, self.problem.workers
        self._limit(jobs, self.there, [worker.key for worker in workers])
        for skill in sorted({skill for job in jobs for skill in job.skills}):
            mine = [job for job in jobs if skill in job.skills]
            wanted: dict[str, Expr] = {job.key: 1 - self.lacks[job.key, f"skill {skill}"] for job in mine}
            self._limit(mine, wanted, [worker.key for worker in workers if skill in worker.skills])

    def _limit_vans(self) -> None:
        """No more vans are out at one moment than take what is carried."""
        taking = {
            job.key: frozenset(van.key for van in self.problem.vans if van.takes(job))
            for job in self.problem.jobs
            if job.needs_van
        }
        for vans in set(taking.values()):
            mine = [self.problem.job[key] for key, each in taking.items() if each <= vans]
            wanted: dict[str, Expr] = {job.key: 1 - self.lacks[job.key, "van"] for job in mine}
            self._limit(mine, wanted, sorted(vans))

    def _limit(self, jobs: Sequence[Job], wanted: Mapping[str, Expr], able: Sequence[str]) -> None:
        """At no moment more are on these shifts than of these people or vans aren't away."""
        off = {worker.key: worker.off for worker in self.problem.workers}
        away = [
            self.model.new_fixed_size_interval_var(begin, end - begin, "")
            for key in able
            for begin, end in merged([*off.get(key, ()), *self.problem.taken_of.get(key, ())])
        ]
        demands = [*(wanted[job.key] for job in jobs), *(1 for _ in away)]
        self.model.add_cumulative([*map(self._hours, jobs), *away], demands, len(able))

    def _hours(self, job: Job) -> IntervalVar:
        reach, variables = self.problem.reach[job.key], self.variables
        size = self.model.new_int_var(reach.shortest, reach.longest, "")
        return self.model.new_interval_var(variables.begin[job.key], size, variables.end[job.key], "")
