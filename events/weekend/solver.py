"""The plan by OR-tools' CP-SAT: what can't be filled stays visible as missing, so that there always is a plan."""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Any, Final

from events.weekend.first_plan import first_plan
from events.weekend.problem import (
    A_DAY,
    CHANGED,
    EARLY,
    MISSING,
    OVERTIME,
    UNFAIR,
    USUAL_DAY,
    WORK,
    Assigned,
    Job,
    Plan,
    Problem,
    cost,
    day_of,
)

LIMIT_SECONDS: Final = 5.0
SEED: Final = 1
ROUNDS: Final = 4


class NotInstalled(RuntimeError):
    """OR-tools, an extra, isn't there."""


class NoPlan(RuntimeError):
    """What was fixed by hand contradicts itself, or nobody would rest."""


def is_installed() -> bool:
    """Whether planning can be offered."""
    return importlib.util.find_spec("ortools") is not None


def solve(problem: Problem, *, seconds: float = LIMIT_SECONDS, workers: int = 2) -> Plan:
    """The best plan found within ``seconds``, with its bound. Deterministic where it ends proven optimal.

    Raises :class:`NotInstalled`, :class:`NoPlan`.
    """
    if not is_installed():
        raise NotInstalled("Planning needs OR-tools: install requirements/plan.txt.")
    begun = time.monotonic()
    forbidden: list[tuple[str, tuple[str, ...]]] = []
    for _ in range(ROUNDS):
        left = max(0.5, seconds - (time.monotonic() - begun))
        model = _Model(problem, forbidden)
        plan = model.solved(left, workers, begun)
        broken = _without_rest(problem, plan.jobs)
        if not broken:
            return plan
        forbidden += broken
    raise NoPlan("No plan in which everybody rests was found in time.")


# --- Private ---


def _without_rest(problem: Problem, jobs: Mapping[str, Assigned]) -> list[tuple[str, tuple[str, ...]]]:
    """Workers and the jobs that, strung together, leave too little rest: pairs are ruled out in the model already."""
    broken = []
    most = A_DAY - problem.rest
    lengths = {job.key: job.length for job in problem.jobs}
    fixed = {(who, job.key) for job in problem.jobs for who in job.fixed_people}
    for worker in problem.workers:
        mine = sorted((done.start, key) for key, done in jobs.items() if worker.key in done.people)
        day: list[str] = []
        first = last = 0
        for start, key in mine:
            if not day or start - last >= problem.rest:
                day, first, last = [], start, start
            day.append(key)
            last = max(last, start + lengths[key])
            if last - first > most and len(day) > 1:
                # What was all fixed by hand stays; the conflict is shown on its page.
                if any((worker.key, each) not in fixed for each in day):
                    broken.append((worker.key, tuple(day)))
                day, first, last = [key], start, start + lengths[key]
    return broken


class _Model:
    """The problem as CP-SAT sees it."""

    def __init__(self, problem: Problem, forbidden: Sequence[tuple[str, tuple[str, ...]]]) -> None:
        from ortools.sat.python import cp_model

        self.cp = cp_model
        self.problem = problem
        self.model = cp_model.CpModel()
        self.costs: list[Any] = []
        self.start: dict[str, Any] = {}
        self.on: dict[tuple[str, str], Any] = {}
        self.van: dict[tuple[str, str], Any] = {}
        self.lacks: dict[tuple[str, str], Any] = {}
        for job in problem.jobs:
            self._add_job(job)
        self._nobody_twice()
        self._rest(forbidden)
        self._order()
        self._fair()
        self.model.minimize(sum(self.costs))

    def _add_job(self, job: Job) -> None:
        model = self.model
        spans = job.starts or ((job.earliest, job.latest),)
        if job.fixed_start is not None:
            spans = ((job.fixed_start, job.fixed_start),)
        domain = self.cp.Domain.from_intervals([list(span) for span in spans])
        self.start[job.key] = start = model.new_int_var_from_domain(domain, job.key)
        for worker in self.problem.workers:
            self.on[job.key, worker.key] = model.new_bool_var(f"{worker.key} on {job.key}")
            if worker.key in job.fixed_people:
                model.add(self.on[job.key, worker.key] == 1)
            elif worker.key in job.not_people:
                model.add(self.on[job.key, worker.key] == 0)
            elif worker.key in job.before_people:
                self.costs.append(CHANGED * (1 - self.on[job.key, worker.key]))
        there = sum(self.on[job.key, worker.key] for worker in self.problem.workers)
        self.costs.append(WORK * job.length * there)
        hands = max(job.hands, len(job.fixed_people))
        short = self._lack(job, "hands", hands)
        model.add(there + short == hands)
        for skill in job.skills:
            able = [self.on[job.key, each.key] for each in self.problem.workers if skill in each.skills]
            model.add(sum(able) + self._lack(job, f"skill {skill}", 1) >= 1)
        if job.needs_van:
            self._add_van(job, there)
        self.costs.append(EARLY * (job.latest - start if job.late_is_better else start - job.earliest))

    def _lack(self, job: Job, what: str, most: int) -> Any:
        self.lacks[job.key, what] = lack = self.model.new_int_var(0, most, f"{job.key} lacks {what}")
        self.costs.append(MISSING * lack)
        return lack

    def _add_van(self, job: Job, there: Any) -> None:
        for van in self.problem.vans:
            if van.takes(job) or van.key == job.fixed_van:
                self.van[job.key, van.key] = goes = self.model.new_bool_var(f"{van.key} for {job.key}")
                if van.key == job.fixed_van:
                    self.model.add(goes == 1)
                self.model.add(there <= max(van.seats, len(job.fixed_people))).only_enforce_if(goes)
        chosen = [goes for (key, _), goes in self.van.items() if key == job.key]
        self.model.add(sum(chosen) + self._lack(job, "van", 1) == 1)
        if job.before_van:
            stays = self.van.get((job.key, job.before_van))
            self.costs.append(CHANGED if stays is None else CHANGED * (1 - stays))

    def _nobody_twice(self) -> None:
        """Nobody and no van in two places; nobody when they can't come. What was fixed by hand is minded as it is."""
        lengths = {job.key: job.length for job in self.problem.jobs}
        fixed = {(job.key, who) for job in self.problem.jobs for who in job.fixed_people} | {
            (job.key, job.fixed_van) for job in self.problem.jobs if job.fixed_van
        }
        off = {worker.key: list(worker.off) for worker in self.problem.workers}
        for key, begin, end in self.problem.taken:
            off.setdefault(key, []).append((begin, end))
        by_one: dict[str, list[Any]] = {}
        for (job, who), there in (*self.on.items(), *self.van.items()):
            span = self.model.new_optional_fixed_size_interval_var(
                self.start[job], lengths[job], there, f"{who} at {job}"
            )
            by_one.setdefault(who, [])
            if (job, who) not in fixed:
                by_one[who].append(span)
                continue
            # Two fixed by hand may clash: that is shown as a conflict, not planned away.
            for other, there_too in self._of(who):
                if other != job and (other, who) not in fixed:
                    self._apart(job, other, there_too, lengths)
        for who, spans in by_one.items():
            blocked = [
                self.model.new_fixed_size_interval_var(begin, end - begin, f"{who} is off")
                for begin, end in _merged(off.get(who, []))
                if end > begin
            ]
            self.model.add_no_overlap([*spans, *blocked])

    def _of(self, who: str) -> list[tuple[str, Any]]:
        return [(job, there) for (job, key), there in (*self.on.items(), *self.van.items()) if key == who]

    def _apart(self, first: str, second: str, there: Any, lengths: Mapping[str, int]) -> None:
        before = self.model.new_bool_var("")
        start = self.start
        self.model.add(start[first] + lengths[first] <= start[second]).only_enforce_if(before, there)
        self.model.add(start[second] + lengths[second] <= start[first]).only_enforce_if(~before, there)

    def _rest(self, forbidden: Sequence[tuple[str, tuple[str, ...]]]) -> None:
        """Two jobs of one person lie a rest apart, or both within what is left of 24 hours beside one."""
        rest, most = self.problem.rest, A_DAY - self.problem.rest
        if rest:
            for first, second in combinations(self.problem.jobs, 2):
                if _always_rest_apart(first, second, rest) or _always_within(first, second, most):
                    continue
                ways = self._ways_to_rest(first, second, rest, most)
                both_fixed = first.fixed_people & second.fixed_people
                for worker in self.problem.workers:
                    if worker.key in both_fixed:
                        continue
                    self.model.add_bool_or(
                        *ways, ~self.on[first.key, worker.key], ~self.on[second.key, worker.key]
                    )
        for who, jobs in forbidden:
            self.model.add_bool_or(*(~self.on[job, who] for job in jobs))
        for worker in self.problem.workers:
            fixed = sum(job.length for job in self.problem.jobs if worker.key in job.fixed_people)
            worked = sum(job.length * self.on[job.key, worker.key] for job in self.problem.jobs)
            self.model.add(worked <= max(self.problem.week, fixed))

    def _ways_to_rest(self, first: Job, second: Job, rest: int, most: int) -> list[Any]:
        model, start = self.model, self.start
        ways = [model.new_bool_var("") for _ in range(3)]
        model.add(start[second.key] - start[first.key] >= first.length + rest).only_enforce_if(ways[0])
        model.add(start[first.key] - start[second.key] >= second.length + rest).only_enforce_if(ways[1])
        model.add(start[second.key] + second.length - start[first.key] <= most).only_enforce_if(ways[2])
        model.add(start[first.key] + first.length - start[second.key] <= most).only_enforce_if(ways[2])
        return ways

    def _order(self) -> None:
        known = {job.key: job for job in self.problem.jobs}
        for job in self.problem.jobs:
            before = known.get(job.after)
            if before and not (job.fixed_start is not None and before.fixed_start is not None):
                self.model.add(self.start[job.key] >= self.start[before.key] + before.length)

    def _fair(self) -> None:
        total = sum(job.length for job in self.problem.jobs)
        if not self.problem.workers:
            return
        most, least = (self.model.new_int_var(0, total, name) for name in ("most", "least"))
        days = sorted({day_of(job) for job in self.problem.jobs})
        for worker in self.problem.workers:
            mine = [(job, self.on[job.key, worker.key]) for job in self.problem.jobs]
            worked = sum(job.length * there for job, there in mine)
            self.model.add(worked <= most)
            self.model.add(worked >= least)
            for day in days:
                steps = sum(job.length * there for job, there in mine if day_of(job) == day)
                over = self.model.new_int_var(0, total, f"{worker.key} over on {day}")
                self.model.add(over >= steps - USUAL_DAY)
                self.costs.append(OVERTIME * over)
        self.costs.append(UNFAIR * (most - least))

    def solved(self, seconds: float, workers: int, begun: float) -> Plan:
        """Run it."""
        solver = self.cp.CpSolver()
        solver.parameters.max_time_in_seconds = seconds
        solver.parameters.num_workers = workers
        solver.parameters.random_seed = SEED
        solver.parameters.relative_gap_limit = 0.0
        first = first_plan(self.problem)
        self._start_from(first)
        status = solver.solve(self.model)
        if status not in (self.cp.OPTIMAL, self.cp.FEASIBLE, self.cp.UNKNOWN):
            raise NoPlan("What was fixed by hand contradicts itself: look at the times and vans set by hand.")
        found = status != self.cp.UNKNOWN
        jobs = {job.key: self._assigned(job, solver) for job in self.problem.jobs} if found else first
        # Short of time the solver may be behind the plan that it started from.
        in_time = all(first[job.key].start <= job.latest for job in self.problem.jobs)
        if in_time and cost(self.problem, first) < cost(self.problem, jobs):
            jobs = first
        # The bound is of the solver; the cost is reckoned again from the plan itself.
        return Plan(
            jobs=jobs,
            cost=cost(self.problem, jobs),
            bound=max(0, round(solver.best_objective_bound)) if found else 0,
            is_optimal=status == self.cp.OPTIMAL,
            seconds=time.monotonic() - begun,
        )

    def _start_from(self, plan: Mapping[str, Assigned]) -> None:
        for key, done in plan.items():
            self.model.add_hint(self.start[key], done.start)
            for worker in self.problem.workers:
                self.model.add_hint(self.on[key, worker.key], worker.key in done.people)
            for van in self.problem.vans:
                if (key, van.key) in self.van:
                    self.model.add_hint(self.van[key, van.key], van.key == done.van)

    def _assigned(self, job: Job, solver: Any) -> Assigned:
        people = [each.key for each in self.problem.workers if solver.value(self.on[job.key, each.key])]
        vans = [van for (key, van), goes in self.van.items() if key == job.key and solver.value(goes)]
        lacks = {what: solver.value(lack) for (key, what), lack in self.lacks.items() if key == job.key}
        return Assigned(
            start=solver.value(self.start[job.key]),
            people=tuple(people),
            van=vans[0] if vans else None,
            missing_hands=lacks["hands"],
            missing_skills=tuple(skill for skill in job.skills if lacks[f"skill {skill}"]),
            missing_van=bool(lacks.get("van")),
        )


def _always_rest_apart(first: Job, second: Job, rest: int) -> bool:
    return (
        second.earliest - (first.latest + first.length) >= rest
        or first.earliest - (second.latest + second.length) >= rest
    )


def _always_within(first: Job, second: Job, most: int) -> bool:
    return (
        max(first.latest + first.length, second.latest + second.length) - min(first.earliest, second.earliest)
        <= most
    )


def _merged(spans: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for begin, end in sorted(spans):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return found
