"""Why a shift can't be filled, and what would solve it, in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

from events.planner.cost_weights import BROKEN, MISSING
from events.planner.problem import STEP, Assigned, Job, Plan, Problem, Worker, hours, late_pieces
from studio.models import Studio
from studio.models.dates import time_written, weekday_written

EARLIER: Final = timedelta(hours=4) // STEP
"""A shift is tried so much earlier, and a strike so much later."""
MOST: Final = 3
"""So many get ways out: each of them is a plan of its own."""
HIRED: Final = Worker(
    "hired", "somebody hired", frozenset(("lead", "rigging", "driver", "florist", "ladder"))
)


@dataclass(frozen=True, slots=True)
class Reason:
    """What a shift lacks, why, and the ways out that were found by planning them."""

    job: str
    lacks: str
    why: str
    ways: tuple[str, ...]


def explain_gaps(
    problem: Problem, plan: Plan, studio: Studio, again: Callable[[Problem], Plan]
) -> list[Reason]:
    """One reason for pieces that come too late, and for each shift that lacks something; ``again`` plans a changed
    problem."""
    found = _pieces_too_late(problem, plan, studio)
    short = [job for job in problem.jobs if not plan.jobs[job.key].is_whole]
    for number, job in enumerate(short):
        done = plan.jobs[job.key]
        ways = _ways(problem, plan, job, studio, again) if number < MOST else ()
        found.append(Reason(job.key, _lacks(job, done), _why(problem, plan, job, studio), ways))
    return found


# --- Private ---


def _pieces_too_late(problem: Problem, plan: Plan, studio: Studio) -> list[Reason]:
    """Where pieces go straight from one event to the next, and the next can't wait for them."""
    jobs = {job.key: job for job in problem.jobs}
    found = []
    for each in late_pieces(problem, plan.jobs):
        first, then = jobs[each.first], jobs[each.then]
        over = _moment(problem, plan.jobs[each.first].start + first.length, studio)
        begins = _moment(problem, plan.jobs[each.then].start, studio)
        found.append(
            Reason(
                each.then,
                f"{then.label} needs pieces that come directly from {first.label}, and doesn’t get them in time.",
                f"That is back at {over}; this sets out at {begins}, and one van and crew can’t do both on one tour. "
                "Move one of the two, let the first one’s van bring them over, or hold other pieces.",
                (),
            )
        )
    return found


def _lacks(job: Job, done: Assigned) -> str:
    words = []
    if done.missing_people:
        words.append(f"{done.missing_people} of {job.people_needed} people")
    words += [f"somebody with the skill “{skill}”" for skill in done.missing_skills]
    if done.missing_van:
        words.append("a van")
    return f"{job.label} is missing {' and '.join(words)}."


def _why(problem: Problem, plan: Plan, job: Job, studio: Studio) -> str:
    """How many are needed at that time, and how many there are."""
    done = plan.jobs[job.key]
    worked = hours(problem, plan.jobs)
    begin, end = worked[job.key]
    at_once = [other for other in problem.jobs if worked[other.key][0] < end and begin < worked[other.key][1]]
    span = _span(problem, begin, end, studio)
    free = [worker for worker in problem.workers if not _is_off(worker, begin, end)]
    if done.missing_van and not any(van.takes(job) for van in problem.vans):
        return f"It takes about {job.volume_m3:.1f} m³ and {job.longest_m:.1f} m: no van holds that."
    if done.missing_van:
        needed = sum(other.needs_van for other in at_once)
        return f"{span} needs {needed} vans; you have {len(problem.vans)}."
    for skill in done.missing_skills:
        needed = sum(skill in other.skills for other in at_once)
        there = sum(skill in worker.skills for worker in free)
        return f"{span} needs {needed} with the skill “{skill}”; {there} can come then."
    needed = sum(other.people_needed for other in at_once)
    return f"{span} needs {needed} people at once; {len(free)} can come then, and rest or weekly hours keep some back."


def _ways(
    problem: Problem, plan: Plan, job: Job, studio: Studio, again: Callable[[Problem], Plan]
) -> tuple[str, ...]:
    ways = []
    lacks = plan.cost % BROKEN // MISSING
    if job.fixed_start is None:
        moved = replace(job, earliest=job.earliest - EARLIER, starts=())
        if job.key.endswith("strike"):
            moved = replace(job, latest=job.latest + EARLIER)
        other = again(_with(problem, moved))
        if other.cost % BROKEN // MISSING < lacks and other.jobs[job.key].is_whole:
            at = problem.moment(other.jobs[job.key].start).astimezone(studio.tz)
            ways.append(f"starting {job.label} at {weekday_written(at)} {time_written(at)} instead")
    if not plan.jobs[job.key].missing_van:
        hired = again(replace(problem, workers=(*problem.workers, HIRED)))
        if hired.cost % BROKEN // MISSING < lacks:
            ways.append("hiring one more")
    return tuple(ways)


def _with(problem: Problem, job: Job) -> Problem:
    return replace(problem, jobs=tuple(job if each.key == job.key else each for each in problem.jobs))


def _is_off(worker: Worker, begin: int, end: int) -> bool:
    return any(first < end and begin < last for first, last in worker.off)


def _moment(problem: Problem, step: int, studio: Studio) -> str:
    there = problem.moment(step).astimezone(studio.tz)
    return f"{weekday_written(there, whole=True)} {time_written(there)}"


def _span(problem: Problem, begin: int, end: int, studio: Studio) -> str:
    first, last = (problem.moment(step).astimezone(studio.tz) for step in (begin, end))
    return f"{weekday_written(first, whole=True)} {time_written(first)} to {time_written(last)}"
