"""A plan while it is put together shift by shift: who and what is out when, and what a shift would get. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from random import Random

from events.planner.problem import (
    A_DAY,
    Assigned,
    Job,
    Problem,
    Tour,
    VanSpace,
    Worker,
    hours,
    on_first,
    on_then,
)

Span = tuple[int, int]


class Board:
    """The shifts put up so far. No plan on it gives anybody two things at once or too little rest, but for what
    was fixed by hand."""

    def __init__(self, problem: Problem, plan: Mapping[str, Assigned] | None = None) -> None:
        self.problem = problem
        self.done: dict[str, Assigned] = {}
        self._known = {job.key: job for job in problem.jobs}
        self._next = {job.after: job.key for job in problem.jobs if job.after}
        keys = [worker.key for worker in problem.workers] + [van.key for van in problem.vans]
        self._out: dict[str, list[Span]] = {key: [] for key in keys}
        self._off: dict[str, list[Span]] = {worker.key: list(worker.off) for worker in problem.workers}
        for key, begin, end in problem.taken:
            self._off.setdefault(key, []).append((begin, end))
        self._spans: dict[str, Span] = {}
        if plan:
            for key, span in hours(problem, plan).items():
                self._put(key, plan[key], span)

    def wanted(self, job: Job) -> int:
        """When it would start if nothing else were."""
        if job.fixed_start is not None:
            return job.fixed_start
        return job.latest if job.late_is_better else job.earliest

    def put(self, job: Job, done: Assigned) -> None:
        """Put it up as it is said, on no tour."""
        self._put(job.key, done, (done.start, done.start + job.length))

    def put_tour(self, each: Tour, starts: Span) -> bool:
        """Put both shifts of a tour up at these starts, with one van and one crew; False where none is free."""
        first, then = (self._known[key] for key in (each.first, each.then))
        spans = on_first(each, self._known, starts[0]), on_then(each, self._known, starts[1])
        van = self._van_for_tour(each, spans)
        crew = self._crew_for_tour(first, then, spans) if van else None
        if van is None or crew is None or len(crew) > van.seats:
            return False
        people = tuple(worker.key for worker in self.problem.workers if worker in crew)
        self._put(first.key, Assigned(starts[0], people, van.key), spans[0])
        self._put(then.key, Assigned(starts[1], people, van.key, comes_from=first.key), spans[1])
        return True

    def take_down(self, job: Job) -> None:
        """Take it down; whoever was on it is free again."""
        done, span = self.done.pop(job.key), self._spans.pop(job.key)
        for who in self._whose(done):
            self._out[who].remove(span)

    def best(self, job: Job, dice: Random | None = None) -> Assigned | None:
        """The start, van and people with which least is missing; None where what it waits for, or what waits for it,
        leaves it no time. With ``dice`` not always the same."""
        found: Assigned | None = None
        for start in self._starts(job, dice):
            done = self._filled(job, start, dice)
            if found is None or done.lacks < found.lacks:
                found = done
            if done.is_whole:
                break
        return found

    # --- Private ---

    def _put(self, key: str, done: Assigned, span: Span) -> None:
        self.done[key], self._spans[key] = done, span
        for who in self._whose(done):
            self._out.setdefault(who, []).append(span)

    @staticmethod
    def _whose(done: Assigned) -> Iterator[str]:
        yield from done.people
        if done.van:
            yield done.van

    def _starts(self, job: Job, dice: Random | None) -> Sequence[int]:
        if job.fixed_start is not None:
            return [job.fixed_start]
        before = self.done.get(job.after)
        least = before.start + self._known[job.after].length if before else job.earliest
        most = min(self._waited_for(job)) - job.length
        starts = [
            step
            for first, last in job.starts or ((job.earliest, job.latest),)
            for step in range(max(first, least), min(last, most) + 1)
        ]
        if dice and dice.random() < 0.5:
            dice.shuffle(starts)
        elif job.late_is_better:
            starts.reverse()
        return starts

    def _waited_for(self, job: Job) -> Iterator[int]:
        """When at the latest it must be over: for what comes after it, and for the tour that it is loaded for."""
        yield job.latest + job.length
        if after := self.done.get(self._next.get(job.key, "")):
            yield after.start
        for each in self.problem.tours:
            then = self.done.get(each.then)
            if each.prep == job.key and then and then.comes_from == each.first:
                yield self._spans[each.first][0]

    def _filled(self, job: Job, start: int, dice: Random | None) -> Assigned:
        span = (start, start + job.length)
        van = job.fixed_van or (self._free_van(job, span) if job.needs_van else None)
        seats = next((each.seats for each in self.problem.vans if each.key == van), job.hands)
        people = [worker for worker in self.problem.workers if worker.key in job.fixed_people]
        lacking = [skill for skill in job.skills if not any(skill in who.skills for who in people)]
        able = self._able(job, span)
        if dice:
            dice.shuffle(able)
        worked = {who.key: sum(end - begin for begin, end in self._out[who.key]) for who in able}
        while len(people) < min(job.hands, max(seats, len(people))) and able:
            chosen = min(
                able,
                key=lambda who: (
                    -sum(skill in who.skills for skill in lacking),
                    who.key not in job.before_people,
                    dice.random() if dice else worked[who.key],
                ),
            )
            able.remove(chosen)
            people.append(chosen)
            lacking = [skill for skill in lacking if skill not in chosen.skills]
        on = {who.key for who in people}
        return Assigned(
            start=start,
            people=tuple(worker.key for worker in self.problem.workers if worker.key in on),
            van=van,
            missing_hands=max(0, max(job.hands, len(job.fixed_people)) - len(people)),
            missing_skills=tuple(lacking),
            missing_van=job.needs_van and van is None,
        )

    def _van_for_tour(self, each: Tour, spans: Sequence[Span]) -> VanSpace | None:
        jobs = [self._known[key] for key in (each.first, each.then)]
        fits = [
            van
            for van in self.problem.vans
            if all(van.takes(job) for job in jobs)
            and (van.volume_m3 is None or each.volume_m3 <= van.volume_m3)
            and all(_is_free(span, self._out[van.key], self._off.get(van.key, ())) for span in spans)
        ]
        return min(fits, key=lambda van: van.volume_m3 or 1e9, default=None)

    def _crew_for_tour(self, first: Job, then: Job, spans: Sequence[Span]) -> list[Worker] | None:
        """Whoever is free for both and has worked least, so that every skill is there."""
        free = [
            who
            for who in self.problem.workers
            if who.key not in first.not_people | then.not_people
            and all(_is_free(span, self._out[who.key], self._off[who.key]) for span in spans)
            and self._rests([*self._out[who.key], *spans])
        ]
        free.sort(key=lambda who: sum(end - begin for begin, end in self._out[who.key]))
        lacking, crew = {*first.skills, *then.skills}, list[Worker]()
        hands = max(first.hands, then.hands)
        while len(crew) < hands and free:
            chosen = max(
                free, key=lambda who: len(lacking & who.skills)
            )  # the first of those: the least worked
            free.remove(chosen)
            crew.append(chosen)
            lacking -= chosen.skills
        return None if lacking or len(crew) < hands else crew

    def _free_van(self, job: Job, span: Span) -> str | None:
        fits = [
            van
            for van in self.problem.vans
            if van.takes(job) and _is_free(span, self._out[van.key], self._off.get(van.key, ()))
        ]
        fits.sort(key=lambda van: (van.key != job.before_van, van.volume_m3 or 1e9))
        return fits[0].key if fits else None

    def _able(self, job: Job, span: Span) -> list[Worker]:
        return [
            who
            for who in self.problem.workers
            if who.key not in job.fixed_people
            and who.key not in job.not_people
            and _is_free(span, self._out[who.key], self._off[who.key])
            and self._rests([*self._out[who.key], span])
        ]

    def _rests(self, spans: list[Span]) -> bool:
        """Whether no working day leaves too little rest, and the span isn't too full."""
        rest = self.problem.rest
        if sum(end - begin for begin, end in spans) > self.problem.week:
            return False
        return all(last - first <= A_DAY - rest for first, last in working_days(spans, rest))


def working_days(spans: Iterable[Span], rest: int) -> Iterator[Span]:
    """What is worked without a rest of so many steps in between: from when to when, in order."""
    first = last = None
    for begin, end in sorted(spans):
        if first is not None and last is not None and begin - last >= rest:
            yield first, last
            first = None
        first, last = (begin, end) if first is None or last is None else (first, max(last, end))
    if first is not None and last is not None:
        yield first, last


def _is_free(span: Span, *taken: Iterable[Span]) -> bool:
    return not any(begin < span[1] and span[0] < end for spans in taken for begin, end in spans)
