"""The variables of a plan for OR-tools' CP-SAT: starts, who and which van is on each shift, which tours are driven."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, TypeAlias

from events.planner.problem import Job, Problem, Tour, Worker

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import (
        BoolVarT,
        BoundedLinearExpression,
        IntervalVar,
        IntVar,
        LinearExpr,
    )

    Expr: TypeAlias = LinearExpr | int


class Variables:
    """The variables of a problem, and the costs that rules add to them.

    OR-tools is an extra: it is imported where a plan is made.
    """

    def __init__(self, problem: Problem) -> None:
        from ortools.sat.python import cp_model

        self.problem = problem
        self.model = cp_model.CpModel()
        self.domain = cp_model.Domain
        self.costs: list[Expr] = []
        self.tours: dict[Tour, IntVar] = {each: self.new_bool(f"{each}") for each in problem.tours}
        self.tours_of: dict[str, list[tuple[Tour, IntVar]]] = {job.key: [] for job in problem.jobs}
        for each, driven in self.tours.items():
            self.tours_of[each.first].append((each, driven))
            self.tours_of[each.then].append((each, driven))
        self.start: dict[str, IntVar] = {}
        self.begin: dict[str, Expr] = {}
        self.end: dict[str, Expr] = {}
        self.on: dict[tuple[str, str], IntVar] = {}
        self.van: dict[tuple[str, str], IntVar] = {}
        self._on_tour: dict[tuple[Tour, str], IntVar] = {}
        for job in problem.jobs:
            self._add_times(job)
            self._add_people(job)
            self._add_vans(job)

    def new_bool(self, name: str = "") -> IntVar:
        """A new yes or no."""
        return self.model.new_bool_var(name)

    def new_count(self, most: int, name: str = "") -> IntVar:
        """A new number of steps or things."""
        return self.model.new_int_var(0, most, name)

    def people_on(self, job: Job) -> Expr:
        """How many are on a shift."""
        return sum(self.on[job.key, worker.key] for worker in self.problem.workers)

    def worked_on(self, job: Job, worker: Worker) -> Expr:
        """Steps that somebody works on a shift, with what the tour that it is on saves or adds."""
        steps: Expr = job.length * self.on[job.key, worker.key]
        for each, _ in self.tours_of[job.key]:
            saved = job.home - each.loads if job.key == each.first else job.out - each.drive
            steps = steps - saved * self.on_tour(each, worker)
        return steps

    def on_tour(self, each: Tour, worker: Worker) -> IntVar:
        """Whether the tour is driven and somebody is on it."""
        if (each, worker.key) not in self._on_tour:
            driven, on = self.tours[each], self.on[each.first, worker.key]
            self._on_tour[each, worker.key] = both = self.new_bool(f"{worker.key} on {each}")
            self.model.add_implication(both, driven)
            self.model.add_implication(both, on)
            self.model.add_bool_or(both, ~driven, ~on)
        return self._on_tour[each, worker.key]

    def shifts_of(self, who: str) -> Iterator[tuple[Job, IntVar]]:
        """The shifts that a worker or van may be on, and whether they are."""
        for job in self.problem.jobs:
            there = self.on.get((job.key, who), self.van.get((job.key, who)))
            if there is not None:
                yield job, there

    def interval(self, job: Job, there: IntVar) -> IntervalVar:
        """The hours of a shift, for whoever is there."""
        if not self.tours_of[job.key]:
            return self.model.new_optional_fixed_size_interval_var(self.start[job.key], job.length, there, "")
        reach = self.problem.reach[job.key]
        size = self.model.new_int_var(reach.shortest, reach.longest, "")
        return self.model.new_optional_interval_var(self.begin[job.key], size, self.end[job.key], there, "")

    def keep_apart(self, first: Job, second: Job, *when: BoolVarT) -> None:
        """Let one shift end before the other begins, where all of ``when`` hold."""
        before = self.new_bool()
        self.require(self.end[first.key] <= self.begin[second.key], before, *when)
        self.require(self.end[second.key] <= self.begin[first.key], ~before, *when)

    def keep_clear(self, job: Job, begin: int, end: int, *when: BoolVarT) -> None:
        """Let a shift end before these hours, or begin after them, where all of ``when`` hold."""
        before = self.new_bool()
        self.require(self.end[job.key] <= begin, before, *when)
        self.require(self.begin[job.key] >= end, ~before, *when)

    def require(self, rule: BoundedLinearExpression | bool, *when: BoolVarT) -> None:
        """Add a rule that holds where all of ``when`` hold."""
        self.model.add(rule).only_enforce_if(*when)

    # --- Private ---

    def _add_times(self, job: Job) -> None:
        spans = job.starts or ((job.earliest, job.latest),)
        if job.fixed_start is not None:
            spans = ((job.fixed_start, job.fixed_start),)
        domain = self.domain.from_intervals([list(span) for span in spans])
        start = self.start[job.key] = self.model.new_int_var_from_domain(domain, job.key)
        self.begin[job.key], self.end[job.key] = start, start + job.length
        if self.tours_of[job.key]:
            self._move_by_tours(job)

    def _move_by_tours(self, job: Job) -> None:
        """A tour moves when its people begin and end."""
        begin, end = self.begin[job.key], self.end[job.key]
        for each, driven in self.tours_of[job.key]:
            if job.key == each.first:
                begin, end = begin - each.loads * driven, end - job.home * driven
            else:
                begin = begin + (job.out - each.drive) * driven
        reach = self.problem.reach[job.key]
        begins = self.model.new_int_var(reach.first_begin, reach.last_begin, f"{job.key} begins")
        ends = self.model.new_int_var(reach.first_end, reach.last_end, f"{job.key} ends")
        self.model.add(begins == begin)
        self.model.add(ends == end)
        self.begin[job.key], self.end[job.key] = begins, ends

    def _add_people(self, job: Job) -> None:
        for worker in self.problem.workers:
            on = self.on[job.key, worker.key] = self.new_bool(f"{worker.key} on {job.key}")
            if worker.key in job.fixed_people:
                self.model.add(on == 1)
            elif worker.key in job.not_people:
                self.model.add(on == 0)

    def _add_vans(self, job: Job) -> None:
        if not job.needs_van:
            return
        for van in self.problem.vans:
            if van.takes(job):
                goes = self.van[job.key, van.key] = self.new_bool(f"{van.key} for {job.key}")
                if van.key == job.fixed_van:
                    self.model.add(goes == 1)
