"""A problem as OR-tools' CP-SAT sees it. Whatever can't be filled stays visible as missing, so that there is a plan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from events.planner.cost_weights import CHANGED, DRIVING, EARLY, MISSING, MOVED, OVERTIME, UNFAIR, WORK
from events.planner.hard_rules import HardRules
from events.planner.problem import (
    LONGEST_WAIT,
    USUAL_DAY,
    Assigned,
    Job,
    Problem,
    Tour,
    day_of,
    driving_saved,
    late_pieces,
    people_needed,
    work_saved,
)
from events.planner.shortage import shortages
from events.planner.variables import Variables

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, CpSolver, IntVar

    from events.planner.variables import Expr


class Model:
    """The variables, rules and costs of a problem."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.variables = Variables(problem)
        self.costs = self.variables.costs
        self.lacks: dict[tuple[str, str], IntVar] = {}
        self.late: dict[Tour, IntVar] = {}
        self.overtime: dict[int, list[Expr]] = {}
        for job in problem.jobs:
            self._fill(job)
            self._price(job)
        for each, driven in self.variables.tours.items():
            self._drive(each, driven)
        self.rules = HardRules(self.variables)
        self._share_fairly()
        self._add_shortages()
        self._add_costs_of_tours()
        self.variables.model.minimize(sum(self.costs))

    @property
    def model(self) -> CpModel:
        """What OR-tools solves."""
        return self.variables.model

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
        tours = variables.tours_of[job.key]
        if len(tours) > 1:
            self.model.add_at_most_one(driven for _, driven in tours)
        # On a tour nobody is left behind, though one of its shifts needs fewer.
        more = sum((self._crew(each) - needed) * driven for each, driven in tours)
        there = variables.people_on(job)
        self.model.add(there + self._lack(job, "people", needed) == needed + more)
        for skill in job.skills:
            able = [variables.on[job.key, each.key] for each in self.problem.workers if skill in each.skills]
            self.model.add(sum(able) + self._lack(job, f"skill {skill}", 1) >= 1)
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
        self.model.add(sum(chosen) + self._lack(job, "van", 1) == 1)

    def _lack(self, job: Job, what: str, most: int) -> IntVar:
        self.lacks[job.key, what] = lack = self.variables.new_count(most, f"{job.key} lacks {what}")
        self.costs.append(MISSING * lack)
        return lack

    def _price(self, job: Job) -> None:
        """Work, waiting, and what a shift changes of the last plan."""
        variables, start = self.variables, self.variables.start[job.key]
        self.costs.append(WORK * job.length * variables.people_on(job))
        self.costs.append(EARLY * (job.latest - start if job.late_is_better else start - job.earliest))
        for worker in job.before_people:
            if (job.key, worker) in variables.on:
                self.costs.append(CHANGED * (1 - variables.on[job.key, worker]))
        if job.before_van:
            stays = variables.van.get((job.key, job.before_van))
            self.costs.append(CHANGED if stays is None else CHANGED * (1 - stays))
        if job.before_start is not None:
            in_place = variables.new_bool(f"{job.key} isn't moved")
            variables.require(start == job.before_start, in_place)
            self.costs.append(MOVED * (1 - in_place))
        if answered := job.answered_starts:
            holds = variables.new_bool(f"{job.key} keeps its answers")
            variables.require(start >= answered[0], holds)
            variables.require(start <= answered[1], holds)
            self.costs.append(CHANGED * job.answers * (1 - holds))

    # --- Private: tours ---

    def _crew(self, each: Tour) -> int:
        return max(people_needed(self.problem.job[each.first]), people_needed(self.problem.job[each.then]))

    def _drive(self, each: Tour, driven: IntVar) -> None:
        """What holds on a tour, and what it saves."""
        variables, known = self.variables, self.problem.job
        first, then = known[each.first], known[each.then]
        self._one_crew_and_van(each, driven)
        left, sets_out = variables.start[first.key] + first.length - first.home, variables.begin[then.key]
        variables.require(sets_out >= left, driven)
        variables.require(sets_out <= left + LONGEST_WAIT, driven)
        if each.prep:
            ready = variables.start[each.prep] + known[each.prep].length
            variables.require(variables.begin[first.key] >= ready, driven)
        if each.brings_pieces:
            self.late[each] = late = variables.new_bool(f"{each} is late")
            in_time = variables.start[then.key] >= variables.start[first.key] + first.length
            variables.require(in_time, ~driven, ~late)
            self.costs.append(MISSING * late)
        saved = DRIVING * driving_saved(each, known) + WORK * self._crew(each) * work_saved(each, known)
        self.costs.append(-saved * driven)

    def _one_crew_and_van(self, each: Tour, driven: IntVar) -> None:
        """Whoever and whatever is on the one is on the other, and nothing is missing there."""
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
        for (key, _), lack in self.lacks.items():
            if key in pair:
                variables.require(lack == 0, driven)

    def _add_costs_of_tours(self) -> None:
        """Say beforehand what the solver sees late: the waiting that a tour asks for, and the overtime of whoever does
        both of its shifts on one day."""
        over: dict[int, list[Expr]] = {}
        for each, driven in self.variables.tours.items():
            first, then = self.problem.job[each.first], self.problem.job[each.then]
            start = self.variables.start
            later = start[first.key] - first.earliest + start[then.key] - then.earliest
            self.model.add(later >= _least_later(each, first, then) * driven)
            if day_of(first) == day_of(then):
                worked = first.length + then.length - work_saved(each, self.problem.job)
                beyond = max(0, worked - USUAL_DAY) * self._crew(each)
                over.setdefault(day_of(first), []).append(beyond * driven)
        for day, least in over.items():
            self.model.add(sum(self.overtime[day]) >= sum(least))

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

    def _add_shortages(self) -> None:
        for shortage in shortages(self.problem):
            what = f"skill {shortage.skill}" if shortage.skill else "people"
            missing = sum(weight * self.lacks[key, what] for key, weight in shortage.weights.items())
            self.model.add(missing >= shortage.least)

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


def _least_later(each: Tour, first: Job, then: Job) -> int:
    """How much later than they could the two start at least, in all, to meet."""
    left = first.earliest + first.length - first.home
    sets_out = then.earliest + then.out - each.drive
    return max(0, left - sets_out, sets_out - left - LONGEST_WAIT)
