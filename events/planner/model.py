"""A problem as OR-tools' CP-SAT sees it. Whatever can't be filled stays visible as missing, so that there is a plan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from events.planner.common_model import CommonModel
from events.planner.cost_weights import CHANGED, DRIVING, OVERTIME, UNFAIR, WORK
from events.planner.hard_rules import HardRules
from events.planner.problem import USUAL_DAY, Assigned, Job, Problem, Tour, day_of, late_pieces, people_needed
from events.planner.variables import Variables

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpSolver, IntVar

    from events.planner.variables import Expr


class Model(CommonModel):
    """The variables, rules and costs of a problem."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem, Variables(problem))
        self.overtime: dict[int, list[Expr]] = {}
        for job in problem.jobs:
            self._fill(job)
            self._price(job)
        for each, driven in self.variables.tours.items():
            self._one_crew_and_van(each, driven)
            self.drive(each, driven)
        self.rules = HardRules(self.variables)
        self._share_fairly()
        self.add_shortages()
        self._add_overtime_of_tours()
        self.variables.model.minimize(sum(self.costs))

    def hint(self, plan: Mapping[str, Assigned]) -> None:
        """Begin with this plan."""
        hint = self.model.add_hint
        for job in self.problem.jobs:
            done = plan[job.key]
            hint(self.variables.start[job.key], done.start)
            for worker in self.problem.workers:
                hint(self.variables.on[job.key, worker.key], worker.key in done.people)
            for van in self.problem.vans:
                if (job.key, van.key) in self.variables.van:
                    hint(self.variables.van[job.key, van.key], van.key == done.van)
        for each, driven in self.variables.tours.items():
            hint(driven, plan[each.then].comes_from == each.first)
        too_late = late_pieces(self.problem, plan)
        for each, late in self.late.items():
            hint(late, each in too_late)
        self.rules.hint(plan)

    def plan(self, solver: CpSolver) -> dict[str, Assigned]:
        """Read what the solver found."""
        return {job.key: self._assigned(job, solver) for job in self.problem.jobs}

    # --- Private: shifts ---

    def _fill(self, job: Job) -> None:
        """A shift needs people, skills and a van; what isn't there is missing."""
        variables, needed = self.variables, people_needed(job)
        there = variables.people_on(job)
        self.model.add(there + self.lack(job, "people", needed) == needed + self.more_on_tours(job))
        for skill in job.skills:
            able = [variables.on[job.key, each.key] for each in self.problem.workers if skill in each.skills]
            self.model.add(sum(able) + self.lack(job, f"skill {skill}", 1) >= 1)
        if job.needs_van:
            self._send_van(job)

    def _send_van(self, job: Job) -> None:
        there, chosen = self.variables.people_on(job), []
        for van in self.problem.vans:
            goes = self.variables.van.get((job.key, van.key))
            if goes is None:
                continue
            chosen.append(goes)
            # More may sit in a van only where people and van were both set by hand.
            seats = max(van.seats, len(job.fixed_people)) if van.key == job.fixed_van else van.seats
            self.variables.require(there <= seats, goes)
            self.costs.append(DRIVING * 2 * job.drive * goes)
        self.model.add(sum(chosen) + self.lack(job, "van", 1) == 1)

    def _price(self, job: Job) -> None:
        """Work, waiting, and what a shift changes of the last plan."""
        variables = self.variables
        self.costs.append(WORK * job.length * variables.people_on(job))
        self.price_start(job)
        for worker in job.before_people:
            if (job.key, worker) in variables.on:
                self.costs.append(CHANGED * (1 - variables.on[job.key, worker]))
        if job.before_van:
            stays = variables.van.get((job.key, job.before_van))
            self.costs.append(CHANGED if stays is None else CHANGED * (1 - stays))

    # --- Private: tours ---

    def _one_crew_and_van(self, each: Tour, driven: IntVar) -> None:
        """Whoever and whatever is on the one is on the other."""
        variables, pair = self.variables, (each.first, each.then)
        for worker in self.problem.workers:
            first, then = (variables.on[key, worker.key] for key in pair)
            variables.require(first == then, driven)
        for van in self.problem.vans:
            holds_it = van.volume_m3 is None or each.volume_m3 <= van.volume_m3
            sent = [variables.van[key, van.key] for key in pair if (key, van.key) in variables.van]
            if holds_it and len(sent) == len(pair):
                variables.require(sent[0] == sent[1], driven)
                continue
            for goes in sent:
                variables.require(goes == 0, driven)

    def _add_overtime_of_tours(self) -> None:
        """Say beforehand what the solver sees late: the overtime of whoever does both of a tour's shifts on one day."""
        over: dict[int, list[Expr]] = {}
        for each, driven in self.variables.tours.items():
            over.setdefault(day_of(self.problem.job[each.first]), []).append(self.overtime_of(each) * driven)
        for day, least in over.items():
            self.model.add(sum(self.overtime.get(day, ())) >= sum(least))

    # --- Private: everybody ---

    def _share_fairly(self) -> None:
        """Overtime costs something, and so does the difference between who works most and least."""
        if not self.problem.workers:
            return
        total = sum(self.problem.reach[job.key].longest for job in self.problem.jobs)
        most, least = (self.variables.new_count(total, name) for name in ("most", "least"))
        for worker in self.problem.workers:
            by_day: dict[int, list[Expr]] = {}
            for job in self.problem.jobs:
                by_day.setdefault(day_of(job), []).append(self.variables.worked_on(job, worker))
            worked = sum(sum(steps) for steps in by_day.values())
            self.model.add(worked <= most)
            self.model.add(worked >= least)
            for day, steps in by_day.items():
                over = self.variables.new_count(total, f"{worker.key} over on {day}")
                self.model.add(over >= sum(steps) - USUAL_DAY)
                self.costs.append(OVERTIME * over)
                self.overtime.setdefault(day, []).append(over)
        self.costs.append(UNFAIR * (most - least))

    def _assigned(self, job: Job, solver: CpSolver) -> Assigned:
        variables = self.variables
        people = [each.key for each in self.problem.workers if solver.value(variables.on[job.key, each.key])]
        vans = [van for (key, van), goes in variables.van.items() if key == job.key and solver.value(goes)]
        lacks = {what: solver.value(lack) for (key, what), lack in self.lacks.items() if key == job.key}
        before = [
            each.first
            for each, driven in variables.tours_of[job.key]
            if each.then == job.key and solver.value(driven)
        ]
        return Assigned(
            start=solver.value(variables.start[job.key]),
            people=tuple(people),
            van=vans[0] if vans else None,
            missing_people=lacks["people"],
            missing_skills=tuple(skill for skill in job.skills if lacks[f"skill {skill}"]),
            missing_van=bool(lacks.get("van")),
            comes_from=before[0] if before else "",
        )
