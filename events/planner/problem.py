"""What is to be planned, and a plan of it: numbers and names only. Pure.

Time is counted in steps of a quarter of an hour from the start of the span.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from studio.measures.times import Window

STEP: Final = timedelta(minutes=15)
A_DAY: Final = timedelta(days=1) // STEP
USUAL_DAY: Final = timedelta(hours=8) // STEP
"""What is worked beyond this on one day is overtime (common practice, no source)."""

LONGEST_WAIT: Final = timedelta(hours=1) // STEP
"""So long at most a crew waits between two sites of a tour (common practice, no source)."""

MISSING: Final = 100_000
WORK: Final = 20
DRIVING: Final = 12
OVERTIME: Final = 10
UNFAIR: Final = 4
CHANGED: Final = 40
MOVED: Final = 10
EARLY: Final = 1
"""What a missing hand, skill or van costs, or pieces that come too late; a quarter of an hour of anybody's work; of a
van on the road; of overtime on top of the work (time and a half); of difference between who works most and least;
somebody or a van changed who stood in the last plan, or a shift moved; a quarter of an hour of prep earlier, or of
anything else later, than need be."""


@dataclass(frozen=True, slots=True)
class Job:
    """One shift of one event. ``earliest`` and ``latest`` are steps at which it may start."""

    key: str
    label: str
    earliest: int
    latest: int
    length: int
    hands: int
    starts: tuple[tuple[int, int], ...] = ()
    """Spans in which it may start, both ends included; none given: any step from earliest to latest."""
    skills: tuple[str, ...] = ()
    """For each of these somebody on it must have it."""
    needs_van: bool = False
    volume_m3: float = 0.0
    longest_m: float = 0.0
    after: str = ""
    """Key of the job that must be over before."""
    out: int = 0
    """Steps at its beginning before anybody is on site: loading, and the drive."""
    home: int = 0
    """Steps at its end after everybody left the site: the drive, and unloading."""
    drive: int = 0
    """Steps of the drive between the studio and the site."""
    late_is_better: bool = False
    """Prep: the later, the fresher. Everything else: the earlier, the calmer."""
    fixed_start: int | None = None
    fixed_van: str | None = None
    fixed_people: frozenset[str] = frozenset()
    not_people: frozenset[str] = frozenset()
    """Who said no to it."""
    before_people: frozenset[str] = frozenset()
    """Who stood on it in the last plan and may be changed, at a cost."""
    before_van: str | None = None
    before_start: int | None = None
    """When it starts in the last plan; another start costs something, as whoever was asked must be asked again."""


@dataclass(frozen=True, slots=True)
class Worker:
    """Somebody who can be called; ``off`` are half-open spans of steps in which they can't."""

    key: str
    name: str
    skills: frozenset[str] = frozenset()
    off: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class VanSpace:
    """A van; None: nobody measured it."""

    key: str
    name: str
    seats: int = 3
    volume_m3: float | None = None
    longest_m: float | None = None

    def takes(self, job: Job) -> bool:
        """Whether what the job carries goes in."""
        return (self.volume_m3 is None or job.volume_m3 <= self.volume_m3) and (
            self.longest_m is None or job.longest_m <= self.longest_m
        )


@dataclass(frozen=True, slots=True)
class Tour:
    """Two shifts that one van and one crew may do on one tour: from the first site straight to the next.

    The first then ends on its site, and the next begins there with the drive between the two.
    """

    first: str
    then: str
    drive: int
    """Steps from site to site."""
    loads: int = 0
    """Steps of loading for the second before the tour sets out; 0 where the second is a strike."""
    prep: str = ""
    """Key of the prep of what is loaded so."""
    volume_m3: float = 0.0
    """What is in the van when it is fullest."""
    brings_pieces: bool = False
    """Whether pieces go straight from the first to the next: not on one tour, the next must wait for the first."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything that a plan must mind."""

    jobs: tuple[Job, ...]
    workers: tuple[Worker, ...]
    vans: tuple[VanSpace, ...]
    rest: int
    """Steps of rest in one piece in every 24 hours."""
    week: int
    """Most steps anybody works in the span."""
    origin: datetime | None = None
    taken: tuple[tuple[str, int, int], ...] = ()
    """Key of a worker or van, and a span in which it is out for something that isn't planned here."""
    tours: tuple[Tour, ...] = ()
    """Each may be gone or not; a shift is on one of them at most."""

    def moment(self, step: int) -> datetime:
        """The moment of a step."""
        assert self.origin is not None
        return self.origin + step * STEP


@dataclass(frozen=True, slots=True)
class Assigned:
    """A job as planned, and what it still lacks."""

    start: int
    people: tuple[str, ...]
    van: str | None
    missing_hands: int = 0
    missing_skills: tuple[str, ...] = ()
    missing_van: bool = False
    comes_from: str = ""
    """Key of the shift before it on one tour."""

    @property
    def lacks(self) -> int:
        """How many hands, skills and vans are missing."""
        return self.missing_hands + len(self.missing_skills) + self.missing_van

    @property
    def is_whole(self) -> bool:
        """Whether it lacks nothing."""
        return not self.lacks


@dataclass(frozen=True, slots=True)
class Plan:
    """Every job's people, van and start; cost and the least cost that could be (a proven bound)."""

    jobs: Mapping[str, Assigned]
    cost: int
    bound: int
    is_optimal: bool
    seconds: float

    @property
    def gap(self) -> float:
        """How far above the bound the cost may lie, as a share of the cost; nought: nothing is better."""
        return 0.0 if self.is_optimal or not self.cost else max(0.0, (self.cost - self.bound) / self.cost)


def cost(problem: Problem, jobs: Mapping[str, Assigned]) -> int:
    """What a plan costs, reckoned from the plan alone: the solver's own figure must agree."""
    total = MISSING * len(late_pieces(problem, jobs))
    worked = {worker.key: 0 for worker in problem.workers}
    by_day: dict[tuple[str, int], int] = {}
    spans = hours(problem, jobs)
    for job in problem.jobs:
        done = jobs[job.key]
        begin, end = spans[job.key]
        total += MISSING * done.lacks
        total += DRIVING * 2 * job.drive * bool(done.van)
        for key in done.people:
            total += WORK * (end - begin)
            worked[key] += end - begin
            day = (key, day_of(job))
            by_day[day] = by_day.get(day, 0) + end - begin
        total += CHANGED * len(job.before_people - set(done.people))
        total += CHANGED * bool(job.before_van and job.before_van != done.van)
        total += MOVED * (job.before_start is not None and job.before_start != done.start)
        total += EARLY * (job.latest - done.start if job.late_is_better else done.start - job.earliest)
    known = {job.key: job for job in problem.jobs}
    total -= DRIVING * sum(driving_saved(each, known) for each in driven_tours(problem, jobs))
    total += OVERTIME * sum(max(0, steps - USUAL_DAY) for steps in by_day.values())
    total += UNFAIR * ((max(worked.values()) - min(worked.values())) if worked else 0)
    return total


def least_cost(problem: Problem) -> int:
    """What no plan costs less than, without any thought of who is free: all the work, all the driving, but for what the
    best tour of each first shift saves."""
    known = {job.key: job for job in problem.jobs}
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


def people_needed(job: Job) -> int:
    """How many are on it where nobody is missing: more where more were put on it by hand."""
    return max(job.hands, len(job.fixed_people))


def driven_tours(problem: Problem, jobs: Mapping[str, Assigned]) -> list[Tour]:
    """The tours that a plan goes."""
    return [each for each in problem.tours if jobs[each.then].comes_from == each.first]


def hours(problem: Problem, jobs: Mapping[str, Assigned]) -> dict[str, tuple[int, int]]:
    """From when to when whoever is on each shift works, with the tours that the plan goes."""
    spans = {job.key: (jobs[job.key].start, jobs[job.key].start + job.length) for job in problem.jobs}
    known = {job.key: job for job in problem.jobs}
    for each in driven_tours(problem, jobs):
        spans[each.first] = on_first(each, known, jobs[each.first].start)
        spans[each.then] = on_then(each, known, jobs[each.then].start)
    return spans


def on_first(each: Tour, known: Mapping[str, Job], start: int) -> tuple[int, int]:
    """The hours of a tour's first shift: with loading for the second, until its site is left."""
    return start - each.loads, start + known[each.first].length - known[each.first].home


def on_then(each: Tour, known: Mapping[str, Job], start: int) -> tuple[int, int]:
    """The hours of a tour's second shift, which begins with the drive from the first site."""
    then = known[each.then]
    return start + then.out - each.drive, start + then.length


def late_pieces(problem: Problem, jobs: Mapping[str, Assigned]) -> list[Tour]:
    """Where pieces should come straight, and the second shift sets out before the first is over."""
    return [
        each
        for each in problem.tours
        if each.brings_pieces
        and jobs[each.then].comes_from != each.first
        and jobs[each.then].start < jobs[each.first].start + _length(problem, each.first)
    ]


def driving_saved(each: Tour, known: Mapping[str, Job]) -> int:
    """How many steps less a van is on the road for the two on one tour."""
    return known[each.first].drive + known[each.then].drive - each.drive


def work_saved(each: Tour, known: Mapping[str, Job]) -> int:
    """How many steps less each of the crew works for the two on one tour; less than nought: more."""
    first, then = known[each.first], known[each.then]
    return first.home - each.loads + then.out - each.drive


def _length(problem: Problem, key: str) -> int:
    return next(job.length for job in problem.jobs if job.key == key)


def day_of(job: Job) -> int:
    """The day that a job's hours count to, whenever in its window it starts: that of the middle of its window."""
    return (job.earliest + job.latest + job.length) // 2 // A_DAY


def in_steps(window: Window, origin: datetime) -> tuple[int, int]:
    """A window in steps from ``origin``, widened to whole ones."""
    return (window.start - origin) // STEP, -((origin - window.end) // STEP)
