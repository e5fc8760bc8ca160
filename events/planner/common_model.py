"""What holds and costs in a problem whoever is on a shift: starts, tours, and what is missing, for OR-tools' CP-SAT."""

from __future__ import annotations

from typing import TYPE_CHECKING

from events.planner.cost_weights import CHANGED, DRIVING, EARLY, MISSING, MOVED, WORK
from events.planner.problem import (
    LONGEST_WAIT,
    USUAL_DAY,
    Job,
    Problem,
    Tour,
    day_of,
    driving_saved,
    people_needed,
    work_saved,
)
from events.planner.shortage import shortages
from events.planner.variables import Variables

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntVar, LinearExpr


class CommonModel:
    """The part of a model that knows shifts and tours; who and which van is another's business."""

    def __init__(self, problem: Problem, variables: Variables) -> None:
        self.problem = problem
        self.variables = variables
        self.costs = variables.costs
        self.lacks: dict[tuple[str, str], IntVar] = {}
        self.late: dict[Tour, IntVar] = {}

    @property
    def model(self) -> CpModel:
        """What OR-tools solves."""
        return self.variables.model

    def lack(self, job: Job, what: str, most: int) -> IntVar:
        """How much of something a shift lacks, at a cost."""
        self.lacks[job.key, what] = lack = self.variables.new_count(most, f"{job.key} lacks {what}")
        self.costs.append(MISSING * lack)
        return lack

    def price_start(self, job: Job) -> None:
        """Waiting, and what another start changes of the last plan."""
        variables, start = self.variables, self.variables.start[job.key]
        self.costs.append(EARLY * (job.latest - start if job.late_is_better else start - job.earliest))
        if job.before_start is not None:
            in_place = variables.new_bool(f"{job.key} isn't moved")
            variables.require(start == job.before_start, in_place)
            self.costs.append(MOVED * (1 - in_place))
        if answered := job.answered_starts:
            holds = variables.new_bool(f"{job.key} keeps its answers")
            variables.require(start >= answered[0], holds)
            variables.require(start <= answered[1], holds)
            self.costs.append(CHANGED * job.answers * (1 - holds))

    def crew(self, each: Tour) -> int:
        """How many are on a tour: nobody is left behind, though one of its shifts needs fewer."""
        return max(people_needed(self.problem.job[each.first]), people_needed(self.problem.job[each.then]))

    def overtime_of(self, each: Tour) -> int:
        """Steps beyond a usual day that its crew works on a tour alone, where both of its shifts are on one day."""
        first, then = self.problem.job[each.first], self.problem.job[each.then]
        if day_of(first) != day_of(then):
            return 0
        worked = first.length + then.length - work_saved(each, self.problem.job)
        return max(0, worked - USUAL_DAY) * self.crew(each)

    def more_on_tours(self, job: Job) -> LinearExpr | int:
        """How many more than it needs are on a shift because of the tour that it is on; it is on one at most."""
        tours = self.variables.tours_of[job.key]
        if len(tours) > 1:
            self.model.add_at_most_one(driven for _, driven in tours)
        needed = people_needed(job)
        return sum((self.crew(each) - needed) * driven for each, driven in tours)

    def drive(self, each: Tour, driven: IntVar) -> None:
        """What holds on a tour, and what it saves."""
        variables, known = self.variables, self.problem.job
        first, then = known[each.first], known[each.then]
        for (key, _), lack in self.lacks.items():
            if key in (each.first, each.then):
                variables.require(lack == 0, driven)
        self._meet(each, driven)
        if each.brings_pieces:
            self.late[each] = late = variables.new_bool(f"{each} is late")
            in_time = variables.start[then.key] >= variables.start[first.key] + first.length
            variables.require(in_time, ~driven, ~late)
            self.costs.append(MISSING * late)
        saved = DRIVING * driving_saved(each, known) + WORK * self.crew(each) * work_saved(each, known)
        self.costs.append(-saved * driven)

    def add_shortages(self) -> None:
        """Say beforehand what is missing in every plan."""
        for shortage in shortages(self.problem):
            what = f"skill {shortage.skill}" if shortage.skill else "people"
            missing = sum(weight * self.lacks[key, what] for key, weight in shortage.weights.items())
            self.model.add(missing >= shortage.least)

    # --- Private ---

    def _meet(self, each: Tour, driven: IntVar) -> None:
        """The van sets out from the first site to the second with a short wait at most, all of it loaded before."""
        variables, known = self.variables, self.problem.job
        first, then = known[each.first], known[each.then]
        left, sets_out = variables.start[first.key] + first.length - first.home, variables.begin[then.key]
        variables.require(sets_out >= left, driven)
        variables.require(sets_out <= left + LONGEST_WAIT, driven)
        if each.prep:
            ready = variables.start[each.prep] + known[each.prep].length
            variables.require(variables.begin[first.key] >= ready, driven)
        # It follows, but the solver sees the waiting that a tour asks for sooner so.
        start = variables.start
        later = start[first.key] - first.earliest + start[then.key] - then.earliest
        self.model.add(later >= _least_later(each, first, then) * driven)


def _least_later(each: Tour, first: Job, then: Job) -> int:
    """How much later than they could the two start at least, in all, to meet."""
    left = first.earliest + first.length - first.home
    sets_out = then.earliest + then.out - each.drive
    return max(0, left - sets_out, sets_out - left - LONGEST_WAIT)
