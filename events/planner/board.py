"""A plan while it is put together shift by shift: who and what is out when, and what a shift would get. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from random import Random

from events.planner.free_hours import FreeHours
from events.planner.problem import (
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
from events.planner.rules import Booking, Span, find_worker_breaches, is_set_by_hand, may_add

ANY_VOLUME = 1e9


class Board:
    """The shifts assigned so far. The board adds nobody and no van against a rule.

    Whoever was assigned by hand counts as out from the beginning, also while the shift itself is not on the board.
    """

    def __init__(self, problem: Problem, plan: Mapping[str, Assigned] | None = None) -> None:
        self.problem = problem
        self.done: dict[str, Assigned] = {}
        self._workers = {worker.key: worker for worker in problem.workers}
        self._next = {job.after: job.key for job in problem.jobs if job.after}
        self._loaded_from: dict[str, list[Tour]] = {}
        for each in problem.tours:
            self._loaded_from.setdefault(each.prep, []).append(each)
        keys = [*self._workers, *(van.key for van in problem.vans)]
        self._taken = {key: [Booking(span) for span in problem.taken_of.get(key, ())] for key in keys}
        self._out: dict[str, dict[str, Booking]] = {key: {} for key in keys}
        self.spans: dict[str, Span] = {}
        """The hours that each shift on the board takes, with its tour."""
        self._free = FreeHours(problem, self._bookings)
        self._reserve_by_hand()
        if plan:
            for key, span in hours(problem, plan).items():
                self._put(key, plan[key], span)

    def wished_start(self, job: Job) -> int:
        """When it would start if there were nothing else."""
        if job.fixed_start is not None:
            return job.fixed_start
        return job.latest if job.late_is_better else job.earliest

    def put(self, job: Job, done: Assigned) -> None:
        """Put a shift on the board, on no tour."""
        self._put(job.key, done, (done.start, done.start + job.length))

    def may_put_tour(self, each: Tour, starts: Span) -> bool:
        """Whether what both shifts wait for, and what waits for them, leaves time for these starts."""
        first, then = (self.problem.job[key] for key in (each.first, each.then))
        begins = on_first(each, self.problem.job, starts[0])[0]
        ready = [first.after, then.after, each.prep]
        waits = max(
            (self.done[key].start + self.problem.job[key].length for key in ready if key in self.done),
            default=begins,
        )
        return waits <= begins

    def take_down_all(self, jobs: Iterable[Job]) -> dict[str, tuple[Assigned, Span]]:
        """Take shifts off the board; what they were, for :meth:`put_back`."""
        before = {job.key: (self.done[job.key], self.spans[job.key]) for job in jobs}
        for key in before:
            self.take_down(self.problem.job[key])
        return before

    def put_back(self, before: Mapping[str, tuple[Assigned, Span]]) -> None:
        """Put shifts on the board as they were."""
        for key, (done, span) in before.items():
            self._put(key, done, span)

    def put_tour(self, each: Tour, starts: Span, dice: Random | None = None) -> bool:
        """Put both shifts of a tour on the board, with one van and one crew; False where none is free."""
        first, then = (self.problem.job[key] for key in (each.first, each.then))
        spans = on_first(each, self.problem.job, starts[0]), on_then(each, self.problem.job, starts[1])
        van = self._van_for_tour(each, spans)
        crew = self._crew_for_tour(first, then, spans, dice) if van else None
        if van is None or crew is None or len(crew) > van.seats:
            return False
        people = tuple(worker.key for worker in self.problem.workers if worker in crew)
        self._put(first.key, Assigned(starts[0], people, van.key), spans[0])
        self._put(then.key, Assigned(starts[1], people, van.key, comes_from=first.key), spans[1])
        return True

    def take_down(self, job: Job) -> None:
        """Take a shift off the board; whoever the planner put on it is free again."""
        done = self.done.pop(job.key)
        del self.spans[job.key]
        for who in _people_and_van(done):
            if not is_set_by_hand(job, who):
                del self._out[who][job.key]
                self._free.forget(who)

    def best(self, job: Job, dice: Random | None = None, *, at_any_cost: bool = False) -> Assigned | None:
        """Find the start, van and people that break and miss least; None where no start is possible.

        With ``dice`` not always the same. ``at_any_cost`` there is a start, though what it waits for, or what waits
        for it, leaves no time.
        """
        found: Assigned | None = None
        least = (0, 0)
        starts = self._starts(job, dice)
        if not starts and at_any_cost:
            starts = [self.wished_start(job)]
        for start in starts:
            broken = self._broken_by_hand(job, (start, start + job.length))
            if broken is None or (found and broken > least[0]):
                continue
            done = self._filled(job, start, dice)
            if found is None or (broken, done.lacks) < least:
                found, least = done, (broken, done.lacks)
            if least == (0, 0):
                break
        return found

    # --- Private ---

    def _reserve_by_hand(self) -> None:
        """Keep the time of whoever was set by hand, at the start that breaks least."""
        mine = [job for job in self.problem.jobs if job.fixed_people or job.fixed_van]
        for job in sorted(mine, key=lambda job: (job.fixed_start is None, self.wished_start(job), job.key)):
            starts = list(self._starts(job, None)) or [self.wished_start(job)]
            start = min(starts, key=lambda step: self._broken_by_hand(job, (step, step + job.length)) or 0)
            for who in self._set_by_hand(job):
                self._out[who][job.key] = Booking((start, start + job.length), job.key)
                self._free.forget(who)

    def _set_by_hand(self, job: Job) -> list[str]:
        return [who for who in (*job.fixed_people, job.fixed_van) if who in self._out]

    def _broken_by_hand(self, job: Job, span: Span) -> int | None:
        """How much breaks at these hours with whoever was set by hand; None where that harms what the planner added."""
        broken = 0
        for who in self._set_by_hand(job):
            bookings = [each for each in self._bookings(who) if each.job != job.key]
            bookings.append(Booking(span, job.key))
            if worker := self._workers.get(who):
                for breach in find_worker_breaches(self.problem, worker, bookings):
                    if not breach.by_hand:
                        return None
                    broken += breach.steps
                continue
            clashes = [each for each in bookings[:-1] if not _apart(each.span, span)]
            if not all(each.by_hand for each in clashes):
                return None
            broken += len(clashes)
        return broken

    def _bookings(self, who: str) -> list[Booking]:
        return [*self._taken[who], *self._out[who].values()]

    def _put(self, key: str, done: Assigned, span: Span) -> None:
        self.done[key], self.spans[key] = done, span
        for who in _people_and_van(done):
            self._out[who][key] = Booking(span, key, is_set_by_hand(self.problem.job[key], who))
            self._free.forget(who)

    def _starts(self, job: Job, dice: Random | None) -> Sequence[int]:
        if job.fixed_start is not None:
            return [job.fixed_start]
        before = self.done.get(job.after)
        least = before.start + self.problem.job[job.after].length if before else job.earliest
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
        for each in self._loaded_from.get(job.key, ()):
            then = self.done.get(each.then)
            if then and then.comes_from == each.first:
                yield self.spans[each.first][0]

    def _filled(self, job: Job, start: int, dice: Random | None) -> Assigned:
        span = (start, start + job.length)
        van = job.fixed_van or (self._free_van(job, span) if job.needs_van else None)
        seats = next((each.seats for each in self.problem.vans if each.key == van), job.people_needed)
        people = [worker for worker in self.problem.workers if worker.key in job.fixed_people]
        lacking = {skill for skill in job.skills if not any(skill in who.skills for who in people)}
        wanted = min(job.people_needed, max(seats, len(people)))
        people += self._chosen(job, self._able(job, span), wanted - len(people), lacking, dice)
        on = {who.key for who in people}
        return Assigned(
            start=start,
            people=tuple(worker.key for worker in self.problem.workers if worker.key in on),
            van=van,
            missing_people=max(0, max(job.people_needed, len(job.fixed_people)) - len(people)),
            missing_skills=tuple(
                skill for skill in job.skills if not any(skill in who.skills for who in people)
            ),
            missing_van=job.needs_van and van is None,
        )

    def _chosen(
        self, job: Job, able: list[Worker], number: int, lacking: set[str], dice: Random | None
    ) -> Iterator[Worker]:
        """So many of those who can, with the skills that lack first, then who had it before, then who worked least."""
        if dice:
            dice.shuffle(able)
        worked = {who.key: self._worked(who) for who in able}
        while number > 0 and able:
            chosen = min(
                able,
                key=lambda who: (
                    -len(lacking & who.skills),
                    who.key not in job.before_people,
                    dice.random() if dice else worked[who.key],
                ),
            )
            able.remove(chosen)
            lacking -= chosen.skills
            number -= 1
            yield chosen

    def _worked(self, who: Worker) -> int:
        return sum(booking.span[1] - booking.span[0] for booking in self._out[who.key].values())

    def _van_for_tour(self, each: Tour, spans: Sequence[Span]) -> VanSpace | None:
        jobs = [self.problem.job[key] for key in (each.first, each.then)]
        fits = [
            van
            for van in self.problem.vans
            if all(van.takes(job) for job in jobs)
            and (van.volume_m3 is None or each.volume_m3 <= van.volume_m3)
            and all(self._free.is_free(van.key, span) for span in spans)
        ]
        return min(fits, key=lambda van: van.volume_m3 or ANY_VOLUME, default=None)

    def _crew_for_tour(
        self, first: Job, then: Job, spans: Sequence[Span], dice: Random | None = None
    ) -> list[Worker] | None:
        """Whoever is free for both and has worked least, so that every skill is there."""
        both = [Booking(span, job.key, by_hand=False) for span, job in zip(spans, (first, then), strict=True)]
        may_not = first.not_people | then.not_people
        may = [
            who
            for who in self.problem.workers
            if who.key not in may_not and self._free.is_free(who.key, spans[1])
        ]
        free = [
            who
            for who in self._free.find_able(may, both[0])
            if may_add(self.problem, who, [*self._bookings(who.key), both[0]], both[1])
        ]
        if dice and dice.random() < 0.5:
            dice.shuffle(free)
        else:
            free.sort(key=self._worked)
        lacking, crew = {*first.skills, *then.skills}, list[Worker]()
        needed = max(first.people_needed, then.people_needed)
        while len(crew) < needed and free:
            # The first with most of the skills: the one who worked least.
            chosen = max(free, key=lambda who: len(lacking & who.skills))
            free.remove(chosen)
            crew.append(chosen)
            lacking -= chosen.skills
        return None if lacking or len(crew) < needed else crew

    def _free_van(self, job: Job, span: Span) -> str | None:
        fits = [
            van
            for van in self.problem.vans
            if van.takes(job) and len(job.fixed_people) <= van.seats and self._free.is_free(van.key, span)
        ]
        fits.sort(key=lambda van: (van.key != job.before_van, van.volume_m3 or ANY_VOLUME))
        return fits[0].key if fits else None

    def _able(self, job: Job, span: Span) -> list[Worker]:
        may = [
            who
            for who in self.problem.workers
            if who.key not in job.fixed_people and who.key not in job.not_people
        ]
        return self._free.find_able(may, Booking(span, job.key, by_hand=False))


def _people_and_van(done: Assigned) -> Iterator[str]:
    yield from done.people
    if done.van:
        yield done.van


def _apart(first: Span, second: Span) -> bool:
    return first[1] <= second[0] or second[1] <= first[0]
