"""Plans checked and priced by trying, step by step, without the planner's own rules; and small random problems.

A step that is worked is a cell of a grid; rests are counted in empty cells. Tours have their own tests.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import chain, combinations
from random import Random

from events.planner.problem import STEP, Assigned, Job, Problem, VanSpace, Worker

HOUR = timedelta(hours=1) // STEP
DAY = 24 * HOUR
REST = 11 * HOUR


@dataclass(frozen=True)
class Kept:
    """How a plan keeps the rules: what the planner itself broke, and how much what was set by hand breaks."""

    own: tuple[str, ...]
    by_hand: int


@dataclass(frozen=True)
class Work:
    """Something that somebody, or a van, is out for."""

    begin: int
    end: int
    by_hand: bool
    job: str = ""


def kept(what: Problem, jobs: Mapping[str, Assigned]) -> Kept:
    """Judge a plan, or the part of one that is there so far."""
    own: list[str] = []
    by_hand = 0
    for words, works, weight in broken(what, jobs):
        if all(work.by_hand for work in works):
            by_hand += weight
        else:
            own.append(words)
    return Kept(tuple(own), by_hand)


def broken(what: Problem, jobs: Mapping[str, Assigned]) -> Iterator[tuple[str, Sequence[Work], int]]:
    """Every rule that is broken, by which work, and how much."""
    known = {each.key: each for each in what.jobs}
    for worker in what.workers:
        works = [
            Work(done.start, done.start + known[key].length, worker.key in known[key].fixed_people, key)
            for key, done in jobs.items()
            if worker.key in done.people
        ]
        works += [Work(begin, end, by_hand=True) for who, begin, end in what.taken if who == worker.key]
        yield from at_once(worker.key, works)
        yield from unavailable(worker, works, known)
        for rest, whole in ((what.rest, DAY), (what.weekly_rest, 7 * DAY)):
            yield from without_rest(worker.key, works, rest, whole)
        worked = sum(work.end - work.begin for work in works)
        if worked > what.week:
            yield f"{worker.key} works too much", works, worked - what.week
    for van in what.vans:
        works = [
            Work(done.start, done.start + known[key].length, known[key].fixed_van == van.key, key)
            for key, done in jobs.items()
            if done.van == van.key
        ]
        works += [Work(begin, end, by_hand=True) for who, begin, end in what.taken if who == van.key]
        yield from at_once(van.key, works)
        for work in works:
            yield from badly_loaded(van, known.get(work.job), jobs)
    for each in what.jobs:
        before = jobs.get(each.after)
        if before and each.key in jobs and jobs[each.key].start < before.start + known[each.after].length:
            yield f"{each.key} begins before its prep is over", [], 1


def unavailable(
    worker: Worker, works: Sequence[Work], known: Mapping[str, Job]
) -> Iterator[tuple[str, Sequence[Work], int]]:
    """Work in hours that are off, or that somebody said no to."""
    off = {step for begin, end in worker.off for step in range(begin, end)}
    for work in works:
        if work.job and off & set(range(work.begin, work.end)):
            yield f"{worker.key} is off", [work], 1
        if work.job and worker.key in known[work.job].not_people:
            yield f"{worker.key} said no", [Work(0, 0, by_hand=False)], 1


def at_once(who: str, works: Sequence[Work]) -> Iterator[tuple[str, Sequence[Work], int]]:
    """Two things at one moment; not two that aren't planned here."""
    for pair in combinations(works, 2):
        first, second = (set(range(work.begin, work.end)) for work in pair)
        if first & second and any(work.job for work in pair):
            yield f"{who} is in two places", pair, 1


def without_rest(
    who: str, works: Sequence[Work], rest: int, whole: int
) -> Iterator[tuple[str, Sequence[Work], int]]:
    """What is worked with too few empty cells in a row in between."""
    if not rest or not works:
        return
    busy = Counter(step for work in works for step in range(work.begin, work.end))
    begun, free = min(busy), 0
    for step in range(min(busy), max(busy) + rest + 2):
        free = 0 if busy[step] else free + 1
        if free == rest:
            over = step - rest + 1
            if over - begun > whole - rest:
                inside = [work for work in works if begun <= work.begin < over]
                yield f"{who} has too little rest", inside, over - begun - (whole - rest)
        if busy[step] and (step == begun or not any(busy[each] for each in range(step - rest, step))):
            begun = step


def badly_loaded(
    van: VanSpace, job: Job | None, jobs: Mapping[str, Assigned]
) -> Iterator[tuple[str, Sequence[Work], int]]:
    """A van that the planner chose holds load and people; one set by hand seats nobody more than was set by hand."""
    if job is None:
        return
    people = len(jobs[job.key].people)
    if job.fixed_van == van.key:
        if people > max(van.seats, len(job.fixed_people)):
            yield f"{van.key} is too small", [Work(0, 0, by_hand=False)], 1
        return
    if people > van.seats or (van.volume_m3 is not None and job.volume_m3 > van.volume_m3):
        yield f"{van.key} is too small", [Work(0, 0, by_hand=False)], 1


def price(what: Problem, jobs: Mapping[str, Assigned]) -> int:
    """What a plan costs, from the price list: 100,000,000 a breach by hand, 100,000 what is missing, and so on."""
    total = 100_000_000 * kept(what, jobs).by_hand
    worked = Counter({worker.key: 0 for worker in what.workers})
    by_day: Counter[tuple[str, int]] = Counter()
    for job in what.jobs:
        done = jobs[job.key]
        day = (job.earliest + job.latest + job.length) // 2 // DAY
        for who in done.people:
            worked[who] += job.length
            by_day[who, day] += job.length
        total += 100_000 * (done.missing_people + len(done.missing_skills) + done.missing_van)
        total += 20 * job.length * len(done.people) + (24 * job.drive if done.van else 0)
        total += 40 * len(set(job.before_people) - set(done.people))
        total += done.start - job.earliest if not job.late_is_better else job.latest - done.start
    total += sum(10 * max(0, steps - 8 * HOUR) for steps in by_day.values())
    return total + 4 * (max(worked.values()) - min(worked.values()))


def choices(what: Problem, job: Job) -> Iterator[Assigned]:
    """Every start, crew and van that a shift could have."""
    skills = {worker.key: worker.skills for worker in what.workers}
    needed = max(job.people_needed, len(job.fixed_people))
    starts = [job.fixed_start] if job.fixed_start is not None else range(job.earliest, job.latest + 1)
    crews = [
        crew
        for crew in chain.from_iterable(combinations(skills, size) for size in range(needed + 1))
        if job.fixed_people <= set(crew) and not job.not_people & set(crew)
    ]
    vans: list[str | None] = [None, *(van.key for van in what.vans)] if job.needs_van else [None]
    for start in starts:
        for crew in crews:
            for van in [job.fixed_van] if job.fixed_van else vans:
                yield Assigned(
                    start,
                    crew,
                    van,
                    needed - len(crew),
                    tuple(skill for skill in job.skills if not any(skill in skills[who] for who in crew)),
                    job.needs_van and van is None,
                )


def best_by_trying(what: Problem) -> int:
    """The least price over every choice for every shift; what a shift breaks, no further shift can mend."""
    least: int | None = None

    def go_on(jobs: dict[str, Assigned], left: Sequence[Job]) -> None:
        nonlocal least
        if not left:
            total = price(what, jobs)
            least = total if least is None else min(least, total)
            return
        for done in choices(what, left[0]):
            with_it = {**jobs, left[0].key: done}
            if not kept(what, with_it).own:
                go_on(with_it, left[1:])

    go_on({}, what.jobs)
    assert least is not None
    return least


def problem_with_fixed_people(seed: int) -> Problem:
    """Three shifts over two days; somebody, a van or a start is set by hand, and something else is out already."""
    dice = Random(seed)  # noqa: S311 - repeatable, not secret
    people = [f"w{number}" for number in range(dice.choice((2, 3)))]
    jobs = []
    for number in range(3):
        at = dice.randrange(0, 30 * HOUR)
        fixed = dice.sample(people, dice.choice((0, 0, 1, 1, 2)))
        latest = at + dice.choice((0, 1, 2))
        needs_van = dice.choice((True, False))
        jobs.append(
            Job(
                f"job {number}",
                f"job {number}",
                at,
                latest,
                dice.randrange(HOUR, 9 * HOUR),
                people_needed=dice.choice((1, 1, 2)),
                skills=dice.choice(((), ("driver",))),
                needs_van=needs_van,
                volume_m3=dice.choice((1.0, 4.0)),
                after=dice.choice(("", "", "job 0")) if number else "",
                late_is_better=dice.choice((True, False)),
                fixed_start=latest if dice.random() < 0.2 else None,
                fixed_van="v0" if needs_van and dice.random() < 0.3 else None,
                fixed_people=frozenset(fixed),
                not_people=frozenset(who for who in people if who not in fixed and dice.random() < 0.1),
                before_people=frozenset(who for who in people if who not in fixed and dice.random() < 0.2),
            )
        )
    out = [(dice.choice([*people, "v0"]), at, at + 4 * HOUR) for at in (dice.randrange(0, 40 * HOUR),)]
    workers = [
        Worker(who, who, frozenset(dice.choice(((), ("driver",)))), dice.choice(((), ((0, 8 * HOUR),))))
        for who in people
    ]
    return Problem(
        tuple(jobs),
        tuple(workers),
        (VanSpace("v0", "V0", seats=2, volume_m3=dice.choice((2.0, None))),),
        rest=REST,
        week=dice.choice((48, 48, 12)) * HOUR,
        taken=tuple(out) if dice.random() < 0.5 else (),
        weekly_rest=dice.choice((0, 0, 7 * DAY - 20 * HOUR)),
    )
