"""The hard rules of a plan: one place at a time, days off, rest, weekly hours, prep before install. Pure.

The planner breaks none of them. What the studio set by hand may: it stays, and each breach is found here.

Daily rest, weekly rest and weekly hours are those of Directive 2003/88/EC, articles 3, 5 and 6.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from itertools import combinations

from events.planner.problem import (
    A_DAY,
    A_WEEK,
    LONGEST_WAIT,
    Assigned,
    Job,
    Problem,
    Worker,
    driven_tours,
    hours,
)

Span = tuple[int, int]


class Rule(Enum):
    """What must hold."""

    ONE_PLACE = auto()
    AVAILABLE = auto()
    DAILY_REST = auto()
    WEEKLY_REST = auto()
    WEEKLY_HOURS = auto()
    PREP_FIRST = auto()
    TOUR = auto()


@dataclass(frozen=True, slots=True)
class Booking:
    """Somebody, or a van, on a shift; without a job for what isn't planned here."""

    span: Span
    job: str = ""
    by_hand: bool = True


@dataclass(frozen=True, slots=True)
class Breach:
    """A broken rule: whose bookings break it, and by how many steps; 1 where steps have no meaning."""

    rule: Rule
    who: str
    bookings: tuple[Booking, ...]
    steps: int = 1

    @property
    def by_hand(self) -> bool:
        """Whether nothing that the planner chose is part of it."""
        return all(booking.by_hand for booking in self.bookings)


def is_set_by_hand(job: Job, who: str) -> bool:
    """Whether the studio put somebody, or a van, on the shift."""
    return who in job.fixed_people or who == job.fixed_van


def find_breaches(problem: Problem, jobs: Mapping[str, Assigned]) -> Iterator[Breach]:
    """Find every rule that a plan breaks, by hand or not."""
    spans = hours(problem, jobs)
    bookings: dict[str, list[Booking]] = {
        key: [Booking(span) for span in taken] for key, taken in problem.taken_of.items()
    }
    for key, done in jobs.items():
        for who in (*done.people, *((done.van,) if done.van else ())):
            mine = Booking(spans[key], key, is_set_by_hand(problem.job[key], who))
            bookings.setdefault(who, []).append(mine)
    for worker in problem.workers:
        yield from find_worker_breaches(problem, worker, bookings.get(worker.key, ()))
    for van in problem.vans:
        yield from _in_two_places(van.key, bookings.get(van.key, ()))
    yield from _broken_tours(problem, jobs, spans)
    for job in problem.jobs:
        before = jobs.get(job.after)
        if before and jobs[job.key].start < before.start + problem.job[job.after].length:
            yield Breach(
                Rule.PREP_FIRST, "", (Booking(spans[job.after], job.after), Booking(spans[job.key], job.key))
            )


def find_worker_breaches(problem: Problem, worker: Worker, bookings: Sequence[Booking]) -> Iterator[Breach]:
    """Find every rule that somebody's bookings break."""
    yield from _in_two_places(worker.key, bookings)
    for booking in bookings:
        if booking.job and any(_overlap(booking.span, off) for off in worker.off):
            yield Breach(Rule.AVAILABLE, worker.key, (booking,))
    for rule, rest, most in rests(problem):
        for block in blocks_of_work(bookings, rest):
            if (steps := _length(block) - most) > 0:
                yield Breach(rule, worker.key, tuple(block), steps)
    yield from _too_many_hours(problem, worker.key, bookings)


def may_add(problem: Problem, worker: Worker, bookings: Sequence[Booking], new: Booking) -> bool:
    """Whether somebody with these bookings may take one more: no breach has it in it."""
    begin, end = new.span
    spans = [each.span for each in bookings]
    # Asked a hundred thousand times for one plan: without calls.
    for begins, ends in (*worker.off, *spans):
        if begin < ends and begins < end:
            return False
    for _, rest, most in rests(problem):
        if _length_around(new.span, spans, rest) > most:
            return False
    together = [*bookings, new]
    return not any(new in breach.bookings for breach in _too_many_hours(problem, worker.key, together))


def rests(problem: Problem) -> Iterator[tuple[Rule, int, int]]:
    """The rests that hold: steps in one piece, and how long a block of work without one may be."""
    if problem.rest:
        yield Rule.DAILY_REST, problem.rest, A_DAY - problem.rest
    if problem.weekly_rest:
        yield Rule.WEEKLY_REST, problem.weekly_rest, A_WEEK - problem.weekly_rest


def blocks_of_work(bookings: Iterable[Booking], rest: int) -> Iterator[list[Booking]]:
    """Group bookings between which less than a rest lies, in order of time."""
    block: list[Booking] = []
    over = 0
    for booking in sorted(bookings, key=lambda each: each.span):
        if block and booking.span[0] - over >= rest:
            yield block
            block = []
        over = max(over, booking.span[1]) if block else booking.span[1]
        block.append(booking)
    if block:
        yield block


def may_break_by_hand(problem: Problem, worker: Worker) -> bool:
    """Whether what somebody is on by hand could break a rule at any of its starts."""
    mine = [Booking(span) for span in problem.taken_of.get(worker.key, ())]
    mine += [
        Booking((reach.first_begin, reach.last_end), key)
        for key, reach in problem.reach.items()
        if is_set_by_hand(problem.job[key], worker.key)
    ]
    return any(True for _ in find_worker_breaches(problem, worker, mine))


def merged(spans: Iterable[Span]) -> list[Span]:
    """The same hours without overlaps, in order of time."""
    found: list[Span] = []
    for begin, end in sorted(spans):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        elif end > begin:
            found.append((begin, end))
    return found


# --- Private ---


def _broken_tours(
    problem: Problem, jobs: Mapping[str, Assigned], spans: Mapping[str, Span]
) -> Iterator[Breach]:
    """Tours without one whole crew and one van, with too long a wait, or loaded before the prep is over."""
    for each in driven_tours(problem, jobs):
        first, then = jobs[each.first], jobs[each.then]
        waits = spans[each.then][0] - spans[each.first][1]
        holds = (first.people, first.van) == (then.people, then.van) and first.is_whole and then.is_whole
        prep_over = (
            jobs[each.prep].start + problem.job[each.prep].length if each.prep else spans[each.first][0]
        )
        if not holds or not 0 <= waits <= LONGEST_WAIT or spans[each.first][0] < prep_over:
            pair = (each.first, each.then)
            yield Breach(Rule.TOUR, "", tuple(Booking(spans[key], key, by_hand=False) for key in pair))


def _in_two_places(who: str, bookings: Sequence[Booking]) -> Iterator[Breach]:
    """Pairs at one time; two things that aren't planned here are no matter of the plan."""
    for first, second in combinations(bookings, 2):
        if (first.job or second.job) and _overlap(first.span, second.span):
            yield Breach(Rule.ONE_PLACE, who, (first, second))


def _too_many_hours(problem: Problem, who: str, bookings: Sequence[Booking]) -> Iterator[Breach]:
    if sum(end - begin for begin, end in (booking.span for booking in bookings)) <= problem.week:
        return
    for week in problem.weeks[who]:
        inside = [
            each for each in bookings if (each.job in week.jobs if each.job else each.span in week.taken)
        ]
        worked = sum(booking.span[1] - booking.span[0] for booking in inside)
        if worked > problem.week:
            yield Breach(Rule.WEEKLY_HOURS, who, tuple(inside), worked - problem.week)


def _overlap(first: Span, second: Span) -> bool:
    return first[0] < second[1] and second[0] < first[1]


def _length_around(span: Span, others: Sequence[Span], rest: int) -> int:
    """How long the block of work is that this span is in, which none of the others meets."""
    first, last = span
    for begin, end in sorted(others, key=_end, reverse=True):
        if end <= span[0]:
            if first - end >= rest:
                break
            first = min(first, begin)
    for begin, end in sorted(others):
        if begin >= span[1]:
            if begin - last >= rest:
                break
            last = max(last, end)
    return last - first


def _end(span: Span) -> int:
    return span[1]


def _length(block: Sequence[Booking]) -> int:
    return max(booking.span[1] for booking in block) - block[0].span[0]
