"""What is planned, and a plan of it: numbers and names only. Pure.

Time is counted in steps of a quarter of an hour from the start of the span.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from typing import Final

from events.planner.cost_weights import BROKEN
from studio.measures.times import Window

STEP: Final = timedelta(minutes=15)
A_DAY: Final = timedelta(days=1) // STEP
A_WEEK: Final = 7 * A_DAY
USUAL_DAY: Final = timedelta(hours=8) // STEP
"""What is worked beyond this on one day is overtime (common practice, no source)."""

LONGEST_WAIT: Final = timedelta(hours=1) // STEP
"""So long at most a crew waits between two sites of a tour (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Job:
    """One shift of one event. ``earliest`` and ``latest`` are steps at which it may start."""

    key: str
    label: str
    earliest: int
    latest: int
    length: int
    people_needed: int
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
    """Who has said no."""
    before_people: frozenset[str] = frozenset()
    """Who was on it in the last plan and may be changed, at a cost."""
    before_van: str | None = None
    before_start: int | None = None
    """When it starts in the last plan; another start costs something."""
    answers: int = 0
    tolerance: int = 0
    """So many people said yes to that start; moved by more steps than this, each of them must be asked again."""

    @property
    def answered_starts(self) -> tuple[int, int] | None:
        """From and until which start nobody must be asked again; None where nobody has said yes."""
        if self.before_start is None or not self.answers:
            return None
        return self.before_start - self.tolerance, self.before_start + self.tolerance


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
    is_in_use: bool = True

    def takes(self, job: Job) -> bool:
        """Whether what the job carries goes in, or the van was chosen by hand."""
        if self.key == job.fixed_van:
            return True
        return self.is_in_use and self.holds(job)

    def holds(self, job: Job) -> bool:
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
class Reach:
    """The limits of a shift's hours, whatever its start and whatever tour it is on."""

    first_begin: int
    last_begin: int
    first_end: int
    last_end: int
    shortest: int
    longest: int


@dataclass(frozen=True, slots=True)
class Week:
    """The shifts that may begin within the same seven days, and what somebody works then beside the plan."""

    jobs: frozenset[str]
    taken: frozenset[tuple[int, int]]


@dataclass(frozen=True)
class Problem:
    """Everything that a plan must mind."""

    jobs: tuple[Job, ...]
    workers: tuple[Worker, ...]
    vans: tuple[VanSpace, ...]
    rest: int
    """Steps of rest in one piece in every 24 hours."""
    week: int
    """Most steps anybody works in seven days."""
    origin: datetime | None = None
    taken: tuple[tuple[str, int, int], ...] = ()
    """Key of a worker or van, and a span in which it is out for something that isn't planned here."""
    tours: tuple[Tour, ...] = ()
    """Each may be driven or not; a shift is on one of them at most."""
    weekly_rest: int = 0
    """Steps of rest in one piece in every seven days, the daily rest included; 0: the country has no such rule."""

    def moment(self, step: int) -> datetime:
        """The moment of a step."""
        assert self.origin is not None
        return self.origin + step * STEP

    @cached_property
    def job(self) -> Mapping[str, Job]:
        """Each job by its key."""
        return {job.key: job for job in self.jobs}

    @cached_property
    def reach(self) -> Mapping[str, Reach]:
        """The limits of each job's hours, by its key."""
        return {job.key: _reach(job, self.tours) for job in self.jobs}

    @cached_property
    def taken_of(self) -> Mapping[str, tuple[tuple[int, int], ...]]:
        """When each worker and van is out for something that isn't planned here, by its key."""
        keys = {key for key, _, _ in self.taken}
        return {key: tuple((begin, end) for who, begin, end in self.taken if who == key) for key in keys}

    @cached_property
    def weeks(self) -> Mapping[str, tuple[Week, ...]]:
        """For each worker the fullest sets of shifts that seven days may hold: no more is worked than in these.

        A shift counts wherever in its window it starts, so that near the edge of seven days this is stricter than the
        rule.
        """
        found: dict[tuple[tuple[int, int], ...], tuple[Week, ...]] = {}
        for worker in self.workers:
            taken = self.taken_of.get(worker.key, ())
            if taken not in found:
                found[taken] = tuple(_fullest(self._weeks(taken)))
        return {worker.key: found[self.taken_of.get(worker.key, ())] for worker in self.workers}

    def _weeks(self, taken: tuple[tuple[int, int], ...]) -> Iterator[Week]:
        """The seven days from each shift, and from each thing that somebody does beside the plan."""
        starts = {(reach.first_begin, reach.last_begin) for reach in self.reach.values()}
        for first, last in sorted(starts | {(begin, begin) for begin, _ in taken}):
            yield Week(
                frozenset(
                    key
                    for key, reach in self.reach.items()
                    if reach.last_begin >= first and reach.first_begin < last + A_WEEK
                ),
                frozenset(span for span in taken if first <= span[0] < last + A_WEEK),
            )


@dataclass(frozen=True, slots=True)
class Assigned:
    """A job as planned, and what it still lacks."""

    start: int
    people: tuple[str, ...]
    van: str | None
    missing_people: int = 0
    missing_skills: tuple[str, ...] = ()
    missing_van: bool = False
    comes_from: str = ""
    """Key of the shift before it on one tour."""

    @property
    def lacks(self) -> int:
        """How many people, skills and vans are missing."""
        return self.missing_people + len(self.missing_skills) + self.missing_van

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
        """How far above the bound the cost may lie, as a share of what can be saved; nought: nothing is better."""
        if self.is_optimal or self.cost <= self.bound:
            return 0.0
        return min(1.0, (self.cost - self.bound) / max(1, self.cost % BROKEN))


def people_needed(job: Job) -> int:
    """How many are on it where nobody is missing: more where more were put on it by hand."""
    return max(job.people_needed, len(job.fixed_people))


def driven_tours(problem: Problem, jobs: Mapping[str, Assigned]) -> list[Tour]:
    """Find the tours of a plan."""
    return [each for each in problem.tours if jobs[each.then].comes_from == each.first]


def hours(problem: Problem, jobs: Mapping[str, Assigned]) -> dict[str, tuple[int, int]]:
    """From when to when whoever is on each shift works, with the tours of the plan."""
    spans = {job.key: (jobs[job.key].start, jobs[job.key].start + job.length) for job in problem.jobs}
    for each in driven_tours(problem, jobs):
        spans[each.first] = on_first(each, problem.job, jobs[each.first].start)
        spans[each.then] = on_then(each, problem.job, jobs[each.then].start)
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
        and jobs[each.then].start < jobs[each.first].start + problem.job[each.first].length
    ]


def driving_saved(each: Tour, known: Mapping[str, Job]) -> int:
    """How many steps less a van is on the road for the two on one tour."""
    return known[each.first].drive + known[each.then].drive - each.drive


def work_saved(each: Tour, known: Mapping[str, Job]) -> int:
    """How many steps less each of the crew works for the two on one tour; less than nought: more."""
    first, then = known[each.first], known[each.then]
    return first.home - each.loads + then.out - each.drive


def day_of(job: Job) -> int:
    """The day that a job's hours count to, whenever in its window it starts: that of the middle of its window."""
    return (job.earliest + job.latest + job.length) // 2 // A_DAY


def in_steps(window: Window, origin: datetime) -> tuple[int, int]:
    """A window in steps from ``origin``, widened to whole ones."""
    return (window.start - origin) // STEP, -((origin - window.end) // STEP)


# --- Private ---


def _reach(job: Job, tours: tuple[Tour, ...]) -> Reach:
    mine = [each for each in tours if job.key in (each.first, each.then)]
    moves = [-each.loads if each.first == job.key else job.out - each.drive for each in mine]
    earlier, later = max(0, -min(moves, default=0)), max(0, max(moves, default=0))
    sooner_over = job.home if any(each.first == job.key for each in mine) else 0
    earliest = job.earliest if job.fixed_start is None else job.fixed_start
    latest = job.latest if job.fixed_start is None else job.fixed_start
    return Reach(
        earliest - earlier,
        latest + later,
        earliest + job.length - sooner_over,
        latest + job.length,
        shortest=job.length - max(later, sooner_over),
        longest=job.length + earlier,
    )


def _fullest(weeks: Iterator[Week]) -> Iterator[Week]:
    """Those that lie in no other."""
    found = list(dict.fromkeys(weeks))
    for week in found:
        if not any(
            week != other and week.jobs <= other.jobs and week.taken <= other.taken for other in found
        ):
            yield week
