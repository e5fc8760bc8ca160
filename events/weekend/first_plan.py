"""A plan by hand's method: stretch by stretch, whoever is free and has worked least. Where the solver starts from.

It breaks no rule, but leaves missing what better thinking would fill. Pure.
"""

from __future__ import annotations

from collections.abc import Iterable

from events.weekend.problem import A_DAY, Assigned, Job, Problem, Worker

Spans = dict[str, list[tuple[int, int]]]


def first_plan(problem: Problem) -> dict[str, Assigned]:
    """One pass over the stretches in order of time."""
    keys = [worker.key for worker in problem.workers] + [van.key for van in problem.vans]
    out: Spans = {key: [] for key in keys}
    blocked: Spans = {worker.key: list(worker.off) for worker in problem.workers}
    for key, begin, end in problem.taken:
        blocked.setdefault(key, []).append((begin, end))
    # What was fixed by hand is taken before anything is planned around it.
    starts: dict[str, int] = {}
    done: dict[str, Assigned] = {}
    ends: dict[str, int] = {}
    ordered = sorted(problem.jobs, key=lambda job: (_wanted(job), job.key))
    for job in ordered:
        starts[job.key] = start = max(_wanted(job), ends.get(job.after, 0) if job.fixed_start is None else 0)
        ends[job.key] = start + job.length
        for who in (*job.fixed_people, *([job.fixed_van] if job.fixed_van else [])):
            out.setdefault(who, []).append((start, start + job.length))
    for job in ordered:
        done[job.key] = _filled(job, starts[job.key], problem, out, blocked)
    return done


# --- Private ---


def _wanted(job: Job) -> int:
    if job.fixed_start is not None:
        return job.fixed_start
    return job.latest if job.late_is_better else job.earliest


def _filled(job: Job, start: int, problem: Problem, out: Spans, blocked: Spans) -> Assigned:
    span = (start, start + job.length)
    van = job.fixed_van
    if job.needs_van and van is None:
        fits = [each for each in problem.vans if each.takes(job)]
        fits.sort(key=lambda each: (each.key != job.before_van, each.volume_m3 or 1e9))
        free = [each.key for each in fits if _free(span, out[each.key], blocked.get(each.key, ()))]
        van = free[0] if free else None
        if van:
            out[van].append(span)
    seats = next((each.seats for each in problem.vans if each.key == van), job.hands)
    people = set(job.fixed_people)
    by_key = {worker.key: worker for worker in problem.workers}
    for skill in (*job.skills, ""):
        while len(people) < min(job.hands, max(seats, len(people))):
            if skill and any(skill in by_key[who].skills for who in people if who in by_key):
                break
            chosen = _next(job, skill, span, people, problem, out, blocked)
            if chosen is None:
                break
            people.add(chosen.key)
            out[chosen.key].append(span)
    lacking = tuple(
        s for s in job.skills if not any(s in by_key[who].skills for who in people if who in by_key)
    )
    missing = max(0, max(job.hands, len(job.fixed_people)) - len(people))
    ordered = tuple(worker.key for worker in problem.workers if worker.key in people)
    return Assigned(start, ordered, van, missing, lacking, job.needs_van and van is None)


def _next(
    job: Job, skill: str, span: tuple[int, int], people: set[str], problem: Problem, out: Spans,
    blocked: Spans,
) -> Worker | None:  # fmt: skip
    able = [
        worker
        for worker in problem.workers
        if worker.key not in people
        and worker.key not in job.not_people
        and (not skill or skill in worker.skills)
        and _free(span, out[worker.key], blocked[worker.key])
        and _rests([*out[worker.key], span], problem)
    ]
    able.sort(key=lambda worker: (worker.key not in job.before_people, _worked(out[worker.key]), worker.key))
    return able[0] if able else None


def _free(span: tuple[int, int], *taken: Iterable[tuple[int, int]]) -> bool:
    return not any(begin < span[1] and span[0] < end for spans in taken for begin, end in spans)


def _worked(spans: Iterable[tuple[int, int]]) -> int:
    return sum(end - begin for begin, end in spans)


def _rests(spans: list[tuple[int, int]], problem: Problem) -> bool:
    """Whether no working day leaves too little rest, and the span isn't too full."""
    if _worked(spans) > problem.week:
        return False
    first = last = None
    for begin, end in sorted(spans):
        if last is None or first is None or begin - last >= problem.rest:
            first, last = begin, end
        last = max(last, end)
        if problem.rest and last - first > A_DAY - problem.rest:
            return False
    return True
