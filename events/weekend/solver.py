"""The plan by OR-tools' CP-SAT: what can't be filled stays visible as missing, so that there always is a plan."""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Mapping, Sequence
from dataclasses import replace
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
FREE_SHARE: Final = 0.3
"""The share of the time in which times and people are sought together; then people alone, where somebody lacks rest."""
SHORTEST_SECONDS: Final = 0.3


class NotInstalled(RuntimeError):
    """OR-tools, an extra, isn't there."""


class NoPlan(RuntimeError):
    """What was fixed by hand contradicts itself."""


def is_installed() -> bool:
    """Whether planning can be offered."""
    return importlib.util.find_spec("ortools") is not None


def solve(problem: Problem, *, seconds: float = LIMIT_SECONDS, workers: int = 2) -> Plan:
    """The best plan found within ``seconds``, with its bound. Deterministic where it ends proven optimal.

    Rest over strings of stretches is minded as it turns out to matter: a plan that strings too many together is solved
    again with that ruled out, and where time runs out before, whoever would not rest is taken off and is missing.

    Raises :class:`NotInstalled`, :class:`NoPlan`.
    """
    if not is_installed():
        raise NotInstalled("Planning needs OR-tools: install requirements/plan.txt.")
    begun = time.monotonic()
    model = _Model(problem)
    best = _first(problem)
    bound, share = 0, seconds * FREE_SHARE
    while True:
        left = seconds - (time.monotonic() - begun)
        found = model.solved(max(SHORTEST_SECONDS, min(left, share)), workers, begun)
        bound = max(bound, found.bound)
        broken = _without_rest(problem, found.jobs)
        is_proven = found.is_optimal and not broken
        if broken:
            model.mind(broken)
            left = seconds - (time.monotonic() - begun)
            if not found.is_optimal and left > SHORTEST_SECONDS:
                found = _at_these_times(problem, found, seconds, workers, begun)
        best = _better(best, _relieved(problem, found))
        model.start_from = best.jobs
        seen = time.monotonic() - begun
        if is_proven or seen >= seconds - SHORTEST_SECONDS:
            return replace(best, bound=bound, is_optimal=is_proven or best.cost <= bound, seconds=seen)
        share = seconds


# --- Private ---


def _first(problem: Problem) -> Plan | None:
    """The plan by hand's method, where it is in time."""
    jobs = first_plan(problem)
    if any(jobs[job.key].start > job.latest for job in problem.jobs) or _without_rest(problem, jobs):
        return None
    return Plan(jobs, cost(problem, jobs), 0, is_optimal=False, seconds=0.0)


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


def _better(best: Plan | None, other: Plan) -> Plan:
    return best if best and best.cost <= other.cost else other


def _at_these_times(problem: Problem, plan: Plan, seconds: float, workers: int, begun: float) -> Plan:
    """People and vans sought anew for the plan's times, at which it is known which stretches leave no rest."""
    starts = {key: done.start for key, done in plan.jobs.items()}
    pinned = [
        replace(job, earliest=starts[job.key], latest=starts[job.key], starts=()) for job in problem.jobs
    ]
    model = _Model(replace(problem, jobs=tuple(pinned)))
    model.rule_out(_strings(pinned, problem.rest))
    model.start_from = plan.jobs
    left = seconds - (time.monotonic() - begun)
    if left < SHORTEST_SECONDS:
        return plan
    found = model.solved(left, workers, begun)
    return replace(found, cost=cost(problem, found.jobs), bound=0, is_optimal=False)


def _strings(pinned: Sequence[Job], rest: int) -> list[tuple[str, str, str]]:
    """Three stretches that hang together without a rest and are longer than a working day may be."""
    found = []
    for middle in pinned:
        near = [job for job in pinned if job is not middle and not _always_rest_apart(job, middle, rest)]
        found += [
            (first.key, middle.key, last.key)
            for first, last in combinations(near, 2)
            if not _always_within(first, last, A_DAY - rest)
        ]
    return found


def _relieved(problem: Problem, plan: Plan) -> Plan:
    """The plan with whoever would not rest taken off, the last first, and missing there."""
    broken = _without_rest(problem, plan.jobs)
    if not broken:
        return plan
    known = {job.key: job for job in problem.jobs}
    jobs = dict(plan.jobs)
    while broken:
        for who, day in broken:
            key = next(key for key in reversed(day) if who not in known[key].fixed_people)
            jobs[key] = _without(problem, known[key], jobs[key], who)
        broken = _without_rest(problem, jobs)
    return replace(plan, jobs=jobs, cost=cost(problem, jobs), is_optimal=False)


def _without(problem: Problem, job: Job, done: Assigned, who: str) -> Assigned:
    people = tuple(key for key in done.people if key != who)
    able = {skill for worker in problem.workers if worker.key in people for skill in worker.skills}
    return replace(
        done,
        people=people,
        missing_hands=max(0, max(job.hands, len(job.fixed_people)) - len(people)),
        missing_skills=tuple(skill for skill in job.skills if skill not in able),
    )


class _Model:
    """The problem as CP-SAT sees it."""

    def __init__(self, problem: Problem) -> None:
        from ortools.sat.python import cp_model

        self.cp = cp_model
        self.problem = problem
        self.model = cp_model.CpModel()
        self.costs: list[Any] = []
        self.start: dict[str, Any] = {}
        self.on: dict[tuple[str, str], Any] = {}
        self.van: dict[tuple[str, str], Any] = {}
        self.lacks: dict[tuple[str, str], Any] = {}
        self.known = {job.key: job for job in problem.jobs}
        self.ways: dict[tuple[str, str], list[Any]] = {}
        self.start_from: Mapping[str, Assigned] = first_plan(problem)
        for job in problem.jobs:
            self._add_job(job)
        self._nobody_twice()
        self._rest()
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

    def mind(self, broken: Sequence[tuple[str, tuple[str, ...]]]) -> None:
        """Rule strings of stretches out for everybody: who works two of three without a rest between, and two more,
        works all three within one day."""
        for who, day in broken:
            if any(who in self.known[key].fixed_people for key in day):
                self.model.add_bool_or(*(~self.on[key, who] for key in day))
        for three in sorted({three for _, day in broken for three in combinations(sorted(day), 3)}):
            for first, middle, last in (
                three,
                (three[1], three[0], three[2]),
                (three[0], three[2], three[1]),
            ):
                apart = [*self._ways(first, middle)[:2], *self._ways(middle, last)[:2]]
                within = self._ways(first, last)[2]
                for worker in self.problem.workers:
                    if not any(worker.key in self.known[key].fixed_people for key in three):
                        self.model.add_bool_or(*apart, within, *(~self.on[key, worker.key] for key in three))

    def rule_out(self, strings: Sequence[tuple[str, ...]]) -> None:
        """Nobody works all of a string, unless it was so fixed by hand."""
        for worker in self.problem.workers:
            for string in strings:
                if not any(worker.key in self.known[key].fixed_people for key in string):
                    self.model.add_bool_or(*(~self.on[key, worker.key] for key in string))

    def _rest(self) -> None:
        """Two jobs of one person lie a rest apart, or both within what is left of 24 hours beside one."""
        rest, most = self.problem.rest, A_DAY - self.problem.rest
        if rest:
            for first, second in combinations(self.problem.jobs, 2):
                if _always_rest_apart(first, second, rest) or _always_within(first, second, most):
                    continue
                ways = self._ways(first.key, second.key)
                both_fixed = first.fixed_people & second.fixed_people
                for worker in self.problem.workers:
                    if worker.key in both_fixed:
                        continue
                    self.model.add_bool_or(
                        *ways, ~self.on[first.key, worker.key], ~self.on[second.key, worker.key]
                    )
        for worker in self.problem.workers:
            fixed = sum(job.length for job in self.problem.jobs if worker.key in job.fixed_people)
            worked = sum(job.length * self.on[job.key, worker.key] for job in self.problem.jobs)
            self.model.add(worked <= max(self.problem.week, fixed))

    def _ways(self, one: str, other: str) -> list[Any]:
        """A rest between them, the one or the other way round, or both within one day: the same three for a pair."""
        pair = (min(one, other), max(one, other))
        if pair not in self.ways:
            self.ways[pair] = self._ways_to_rest(self.known[pair[0]], self.known[pair[1]])
        return self.ways[pair]

    def _ways_to_rest(self, first: Job, second: Job) -> list[Any]:
        model, start, rest = self.model, self.start, self.problem.rest
        most = A_DAY - rest
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
        self._hint(self.start_from)
        status = solver.solve(self.model)
        if status not in (self.cp.OPTIMAL, self.cp.FEASIBLE, self.cp.UNKNOWN):
            raise NoPlan("What was fixed by hand contradicts itself: look at the times and vans set by hand.")
        found = status != self.cp.UNKNOWN
        jobs = (
            {job.key: self._assigned(job, solver) for job in self.problem.jobs} if found else self.start_from
        )
        # The bound is of the solver; the cost is reckoned again from the plan itself.
        return Plan(
            jobs=jobs,
            cost=cost(self.problem, jobs),
            bound=max(0, round(solver.best_objective_bound)) if found else 0,
            is_optimal=status == self.cp.OPTIMAL,
            seconds=time.monotonic() - begun,
        )

    def _hint(self, plan: Mapping[str, Assigned]) -> None:
        self.model.clear_hints()  # type: ignore[no-untyped-call]
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
