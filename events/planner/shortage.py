"""What is missing in every plan, from hours and numbers alone. Pure.

The solver would find this late: told beforehand, it knows sooner how good a plan can be.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from events.planner.problem import A_DAY, A_WEEK, Job, Problem, Worker
from events.planner.rules import may_break_by_hand


@dataclass(frozen=True, slots=True)
class Shortage:
    """Of these shifts so much is missing: the sum of weight times what each lacks is ``least`` or more."""

    skill: str
    """Of which skill; empty: of people."""
    weights: Mapping[str, int]
    least: int


def shortages(problem: Problem) -> Iterator[Shortage]:
    """For people and for every skill: what must be under way at one moment, and what must lie within one span of
    time, beyond what so many people can do."""
    may_break = {worker.key for worker in problem.workers if may_break_by_hand(problem, worker)}
    problem = replace(problem, jobs=tuple(_cores(problem)))
    crowd = _Crowd(problem, may_break)
    for skill in ("", *sorted({skill for job in problem.jobs for skill in job.skills})):
        jobs = [job for job in problem.jobs if not skill or skill in job.skills]
        able = [worker for worker in problem.workers if not skill or skill in worker.skills]
        yield from _at_moments(crowd, skill, jobs, able)
        yield from _within_spans(crowd, skill, jobs, able)


# --- Private ---


def _cores(problem: Problem) -> Iterator[Job]:
    """What is left of each shift whatever tour it is on."""
    comes = {job.key: 0 for job in problem.jobs}
    leaves = dict(comes)
    known = {job.key: job for job in problem.jobs}
    for each in problem.tours:
        comes[each.then] = max(comes[each.then], known[each.then].out - each.drive)
        leaves[each.first] = known[each.first].home
    for job in problem.jobs:
        later, length = comes[job.key], job.length - comes[job.key] - leaves[job.key]
        if length > 0:
            yield replace(job, earliest=job.earliest + later, latest=job.latest + later, length=length)


class _Crowd:
    """How much everybody can work between two steps."""

    def __init__(self, problem: Problem, may_break: Collection[str]) -> None:
        self.problem = problem
        self.begin = min((_first(job) for job in problem.jobs), default=0)
        self.end = max((_over_by(job) for job in problem.jobs), default=0) + 1
        self.off = {worker.key: list(accumulate(self._off(worker), initial=0)) for worker in problem.workers}
        """Of each, how many steps they are off before each step from the first on."""
        self.may_break = may_break

    def can_work(self, able: Sequence[Worker], begin: int, end: int, jobs: Sequence[Job]) -> int:
        """Steps of work by all of these together, with their rest; more where what was set by hand may break a rule."""
        steps, most = end - begin, A_DAY - self.problem.rest
        unbroken = steps // A_DAY * most + min(steps % A_DAY, most)
        first, last = begin - self.begin, end - self.begin
        by_hand = {who: 0 for job in jobs for who in job.fixed_people}
        for job in jobs:
            for who in job.fixed_people:
                by_hand[who] += min(job.length, steps)
        total = 0
        for worker in able:
            off = self.off[worker.key]
            can = max(0, min(unbroken, self._week_left(worker, begin, end), steps - off[last] + off[first]))
            total += can + (by_hand.get(worker.key, 0) if worker.key in self.may_break else 0)
        return total

    def _week_left(self, worker: Worker, begin: int, end: int) -> int:
        """How much of the weekly hours is left beside what isn't planned here."""
        if end - begin > A_WEEK:
            return -(-(end - begin) // A_WEEK) * self.problem.week
        taken = self.problem.taken_of.get(worker.key, ())
        return self.problem.week - sum(
            over - begun for begun, over in taken if begin <= begun and over <= end
        )

    def _off(self, worker: Worker) -> Iterator[bool]:
        taken = [(begin, end) for key, begin, end in self.problem.taken if key == worker.key]
        spans = (*worker.off, *taken)
        return (any(begin <= step < end for begin, end in spans) for step in range(self.begin, self.end))


def _first(job: Job) -> int:
    return job.earliest if job.fixed_start is None else job.fixed_start


def _last(job: Job) -> int:
    return job.latest if job.fixed_start is None else job.fixed_start


def _over_by(job: Job) -> int:
    return _last(job) + job.length


def _needs(job: Job, skill: str) -> int:
    return 1 if skill else max(job.people_needed, len(job.fixed_people))


def _at_moments(crowd: _Crowd, skill: str, jobs: Sequence[Job], able: Sequence[Worker]) -> Iterator[Shortage]:
    """Whenever a shift starts at the latest: all that must run then, wherever in its window it starts."""
    for moment in sorted({_last(job) for job in jobs}):
        running = [job for job in jobs if _last(job) <= moment < _first(job) + job.length]
        needed = sum(_needs(job, skill) for job in running)
        missing = needed - crowd.can_work(able, moment, moment + 1, running)
        if missing > 0:
            yield Shortage(skill, {job.key: 1 for job in running}, missing)


def _within_spans(
    crowd: _Crowd, skill: str, jobs: Sequence[Job], able: Sequence[Worker]
) -> Iterator[Shortage]:
    """From each first start on, the span of time that is most overfull."""
    for begin in sorted({_first(job) for job in jobs}):
        inside = sorted((job for job in jobs if _first(job) >= begin), key=_over_by)
        work, most, worst = 0, 0, 0
        for number, job in enumerate(inside, start=1):
            work += job.length * _needs(job, skill)
            missing = work - crowd.can_work(able, begin, _over_by(job), inside[:number])
            if missing > most:
                most, worst = missing, number
        if worst:
            yield Shortage(skill, {job.key: job.length for job in inside[:worst]}, most)
