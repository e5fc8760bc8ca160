"""The proposal: a plan, shown shift by shift. Nothing changes until it is accepted."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from django.core.exceptions import ValidationError

from events.models import ShiftKind
from events.planner import solver
from events.planner import span as spans
from events.planner.breach_words import explain_breaches
from events.planner.cp_search import Goes
from events.planner.problem import Assigned, Job, Plan, Problem, hours
from events.planner.seal import driver_of, goes_on_to, keeps_times, seal
from events.planner.unfilled import Reason, explain_gaps
from events.schedule.roster import RosterShift
from studio.models import Studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

AGAIN_SECONDS: Final = 1.0


class CannotPlan(ValidationError):
    """A span that can't be planned, or a proposal that no longer holds."""


@dataclass(frozen=True, slots=True)
class ProposedLine:
    """One shift as proposed."""

    key: str
    event_id: int
    title: str
    work: str
    starts_at: datetime
    ends_at: datetime
    people: tuple[str, ...]
    driver: str
    van: str
    is_whole: bool
    is_new: bool
    """Whether accepting it changes anything."""
    comes_from: str = ""
    goes_on_to: str = ""
    """Title of the event from whose site, and to whose, its van and crew go straight."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A plan to accept; ``sealed`` is what goes to the browser and comes back."""

    lines: tuple[ProposedLine, ...]
    reasons: tuple[Reason, ...]
    plan: Plan
    sealed: str


def make_proposal(
    first: date,
    last: date,
    studio: Studio,
    *,
    seconds: float = solver.LIMIT_SECONDS,
    goes_on: Goes = lambda: None,
) -> Proposal:
    """Plan all that is agreed between two days; nothing is changed.

    Raises :class:`CannotPlan`, and what ``goes_on`` raises where nobody wants the plan any more.
    """
    require(Right.EDIT_EVENTS)
    check_days(first, last)
    span = spans.find_span(first, last, studio)
    if not span.problem.jobs:
        raise CannotPlan("Nothing is agreed for those days.")
    if not span.people:
        raise CannotPlan("Nobody can be called: say who on the crew page first.")
    try:
        plan = solver.solve(span.problem, seconds=seconds, goes_on=goes_on)
        gaps = explain_gaps(span.problem, plan, studio, lambda other: _again(other, plan, goes_on))
    except solver.NoPlan as failure:
        raise CannotPlan(str(failure)) from failure
    reasons = [*explain_breaches(span.problem, plan), *gaps]
    lines = [_line(job, plan, span) for job in span.problem.jobs]
    lines.sort(key=lambda line: (line.starts_at, line.key))
    return Proposal(tuple(lines), tuple(reasons), plan, seal(span, plan, first))


def check_days(first: date, last: date) -> None:
    """Raise :class:`CannotPlan` for days the wrong way round, or too many."""
    days = (last - first).days + 1
    if days < 1:
        raise CannotPlan({"last": "The last day can't come before the first."})
    if days > spans.MOST_DAYS:
        raise CannotPlan({"last": f"Plan at most {spans.MOST_DAYS} days at once."})


# --- Private ---


def _again(other: Problem, plan: Plan, goes_on: Goes) -> Plan:
    """The changed problem, which leaves more free than the first, planned in short; where that gives nothing, the plan
    there is."""
    try:
        return solver.solve(other, seconds=AGAIN_SECONDS, start_from=plan.jobs, goes_on=goes_on)
    except solver.NoPlan:
        return plan


def _line(job: Job, plan: Plan, span: spans.Span) -> ProposedLine:
    done, shift = plan.jobs[job.key], span.saved.get(job.key)
    event_id, kind = spans.event_and_kind(job.key)
    worked = hours(span.problem, plan.jobs)[job.key]
    starts_at, ends_at = (span.problem.moment(step) for step in worked)
    keeps = keeps_times(shift, worked, span)
    driver = driver_of(done, span)
    return ProposedLine(
        key=job.key,
        event_id=event_id,
        title=span.events[event_id].title,
        work=str(ShiftKind(kind).label),
        starts_at=shift.starts_at if shift and keeps else starts_at,
        ends_at=shift.ends_at if shift and keeps else ends_at,
        people=tuple(span.people[key].name for key in done.people),
        driver=span.people[driver].name if driver else "",
        van=span.vans[done.van].name if done.van else "",
        is_whole=done.is_whole,
        is_new=not (shift and keeps and _is_as_saved(shift, job, done, span)),
        comes_from=_title(done.comes_from, span),
        goes_on_to=_title(goes_on_to(job, plan), span),
    )


def _is_as_saved(shift: RosterShift, job: Job, done: Assigned, span: spans.Span) -> bool:
    """Whether people, van and tour are those that the shift has."""
    before = span.saved.get(done.comes_from)
    return (
        job.fixed_people | job.before_people == set(done.people)
        and (spans.van_key(shift.van_id) if shift.van_id else None) == done.van
        and shift.comes_from_id == (before.pk if before else None)
    )


def _title(key: str, span: spans.Span) -> str:
    return span.events[int(key.partition("-")[0])].title if key else ""
