"""The question as OR-tools' CP-SAT sees it: what can't be filled stays visible as missing, so that there is a plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from events.weekend.board import working_days
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
    Problem,
    Worker,
    day_of,
)
from events.weekend.shortage import shortages


@dataclass(frozen=True, slots=True)
class Day:
    """A working day that somebody may have: whether they do, from when, how long, until when, and what is in it."""

    opens: int
    works: Any
    first: Any
    length: Any
    last: Any
    on: Mapping[str, Any]


class Model:
    """The variables and rules. ``by_hand`` names workers whose stretches were so put down by hand that no rest is left
    between them: those stay, and nothing is added within a rest of them."""

    def __init__(self, problem: Problem, by_hand: frozenset[str] = frozenset()) -> None:
        from ortools.sat.python import cp_model

        self.problem = problem
        self.by_hand = by_hand
        self.model = cp_model.CpModel()
        self.domain = cp_model.Domain
        self.costs: list[Any] = []
        self.start: dict[str, Any] = {}
        self.on: dict[tuple[str, str], Any] = {}
        self.van: dict[tuple[str, str], Any] = {}
        self.lacks: dict[tuple[str, str], Any] = {}
        self.days: dict[str, list[Day]] = {worker.key: [] for worker in problem.workers}
        for job in problem.jobs:
            self._add_job(job)
        self._nobody_twice()
        self._rest()
        self._order()
        self._fair()
        self._too_few()
        self.model.minimize(sum(self.costs))

    def hint(self, plan: Mapping[str, Assigned]) -> None:
        """Begin with this plan."""
        hint = self.model.add_hint
        for job in self.problem.jobs:
            done = plan[job.key]
            hint(self.start[job.key], done.start)
            for worker in self.problem.workers:
                hint(self.on[job.key, worker.key], worker.key in done.people)
            for van in self.problem.vans:
                if (job.key, van.key) in self.van:
                    hint(self.van[job.key, van.key], van.key == done.van)
        for worker in self.problem.workers:
            self._hint_days(worker, plan)

    def plan(self, solver: Any) -> dict[str, Assigned]:
        """What the solver found."""
        return {job.key: self._assigned(job, solver) for job in self.problem.jobs}

    # --- Private ---

    def _add_job(self, job: Job) -> None:
        model = self.model
        spans = job.starts or ((job.earliest, job.latest),)
        if job.fixed_start is not None:
            spans = ((job.fixed_start, job.fixed_start),)
        domain = self.domain.from_intervals([list(span) for span in spans])
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

    def _rest(self) -> None:
        """Whatever somebody works lies in working days of theirs, with a rest between any two of those.

        Two working days begin more than a rest apart, so that in any stretch of time as long as a rest at most one
        begins: each such stretch has room for one here, and nothing is lost by that.
        """
        for worker in self.problem.workers:
            fixed = sum(job.length for job in self.problem.jobs if worker.key in job.fixed_people)
            worked = sum(job.length * self.on[job.key, worker.key] for job in self.problem.jobs)
            self.model.add(worked <= max(self.problem.week, fixed))
            if self.problem.rest:
                self._working_days(worker)

    def _working_days(self, worker: Worker) -> None:
        model, rest = self.model, self.problem.rest
        most = A_DAY - rest
        jobs = self._to_rest_between(worker)
        within: dict[str, list[Any]] = {job.key: [] for job in jobs}
        opens_first = min((job.earliest for job in jobs), default=0)
        for opens in range(opens_first, max((job.latest for job in jobs), default=0) + 1, rest + 1):
            mine = [
                job
                for job in jobs
                if opens <= job.latest and job.earliest + job.length <= opens + rest + most
            ]
            if not mine:
                continue
            day = Day(
                opens,
                works=model.new_bool_var(""),
                first=model.new_int_var(opens, opens + rest, ""),
                length=model.new_int_var(0, most, ""),
                last=model.new_int_var(opens, opens + rest + most, ""),
                on={job.key: model.new_bool_var("") for job in mine},
            )
            model.add(day.last == day.first + day.length)
            for job in mine:
                on = day.on[job.key]
                model.add(self.start[job.key] >= day.first).only_enforce_if(on)
                model.add(self.start[job.key] + job.length <= day.last).only_enforce_if(on)
                model.add_implication(on, day.works)
                within[job.key].append(on)
            model.add(sum(job.length * day.on[job.key] for job in mine) <= most)
            self.days[worker.key].append(day)
        model.add_no_overlap(
            [
                model.new_optional_interval_var(day.first, day.length + rest, day.last + rest, day.works, "")
                for day in self.days[worker.key]
            ]
        )
        for job in jobs:
            model.add(sum(within[job.key]) == self.on[job.key, worker.key])

    def _to_rest_between(self, worker: Worker) -> list[Job]:
        """The stretches that are in working days of theirs: all, unless what was fixed by hand leaves no rest."""
        if worker.key not in self.by_hand:
            return list(self.problem.jobs)
        fixed = [job for job in self.problem.jobs if worker.key in job.fixed_people]
        others = [job for job in self.problem.jobs if worker.key not in job.fixed_people]
        for job in others:
            if not all(_always_rest_apart(job, each, self.problem.rest) for each in fixed):
                self.model.add(self.on[job.key, worker.key] == 0)
        return others

    def _too_few(self) -> None:
        for shortage in shortages(self.problem):
            what = f"skill {shortage.skill}" if shortage.skill else "hands"
            missing = sum(weight * self.lacks[key, what] for key, weight in shortage.weights.items())
            self.model.add(missing >= shortage.least)

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

    def _hint_days(self, worker: Worker, plan: Mapping[str, Assigned]) -> None:
        mine = {
            job.key: (plan[job.key].start, plan[job.key].start + job.length)
            for job in self.problem.jobs
            if worker.key in plan[job.key].people
        }
        worked = list(working_days(mine.values(), self.problem.rest))
        for day in self.days[worker.key]:
            begun = [each for each in worked if day.opens <= each[0] <= day.opens + self.problem.rest]
            first, last = begun[0] if begun else (day.opens, day.opens)
            self.model.add_hint(day.works, bool(begun))
            self.model.add_hint(day.first, first)
            self.model.add_hint(day.length, last - first)
            self.model.add_hint(day.last, last)
            for key, on in day.on.items():
                self.model.add_hint(on, bool(begun) and key in mine and first <= mine[key][0] < last)

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


def _merged(spans: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for begin, end in sorted(spans):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return found
