"""The proposal: planned, shown line by line, and accepted in whole or in part."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from django.core import signing
from django.core.exceptions import ValidationError
from django.db import transaction

from events.booking import event_lock, log
from events.crew import people as crew
from events.crew import shifts
from events.day_plan.work_plan import usual_back, usual_load_out
from events.jobs import changes
from events.models import CrewCall, Event, Shift, ShiftKind, Skill, Van
from events.planner import solver
from events.planner import span as spans
from events.planner.breach_words import explain_breaches
from events.planner.problem import STEP, Assigned, Job, Plan, Problem, hours
from events.planner.unfilled import Reason, explain_gaps
from studio import tenancy
from studio.models import Studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

SALT: Final = "events.weekend.proposal"
HOLDS_SECONDS: Final = 24 * 60 * 60
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
    first: date, last: date, studio: Studio, *, seconds: float = solver.LIMIT_SECONDS
) -> Proposal:
    """Plan all that is agreed between two days; nothing is changed. Raises :class:`CannotPlan`."""
    require(Right.EDIT_EVENTS)
    check_days(first, last)
    span = spans.find_span(first, last, studio)
    if not span.problem.jobs:
        raise CannotPlan("Nothing is agreed for those days.")
    if not span.people:
        raise CannotPlan("Nobody can be called: say who on the crew page first.")
    try:
        plan = solver.solve(span.problem, seconds=seconds)
        gaps = explain_gaps(span.problem, plan, studio, lambda other: _again(other, plan))
    except solver.NoPlan as failure:
        raise CannotPlan(str(failure)) from failure
    reasons = [*explain_breaches(span.problem, plan), *gaps]
    lines = [_line(job, plan, span) for job in span.problem.jobs]
    lines.sort(key=lambda line: (line.starts_at, line.key))
    return Proposal(tuple(lines), tuple(reasons), plan, _sealed(span, plan))


def check_days(first: date, last: date) -> None:
    """Raise :class:`CannotPlan` for days the wrong way round, or too many."""
    days = (last - first).days + 1
    if days < 1:
        raise CannotPlan({"last": "The last day can't come before the first."})
    if days > spans.MOST_DAYS:
        raise CannotPlan({"last": f"Plan at most {spans.MOST_DAYS} days at once."})


def accept_proposal(sealed: str, chosen: Collection[str]) -> int:
    """Put the chosen shifts down as proposed: how many. All of them or none.

    Raises :class:`CannotPlan` where the seal is broken or old, or an event was changed meanwhile.
    """
    require(Right.EDIT_EVENTS)
    try:
        content = signing.loads(sealed, salt=SALT, max_age=HOLDS_SECONDS)
    except signing.BadSignature:
        raise CannotPlan("This proposal is old. Plan once more.") from None
    if content["studio"] != tenancy.current_studio_id():
        raise CannotPlan("This proposal is of another studio.")
    wanted = {line["key"]: line for line in content["lines"] if line["key"] in chosen}
    by_event: dict[int, list[dict[str, Any]]] = {}
    for line in wanted.values():
        by_event.setdefault(line["event"], []).append(line)
    with transaction.atomic():
        events = {event_id: event_lock.lock_event(event_id) for event_id in sorted(by_event)}
        for event_id, event in events.items():
            if event.version != by_event[event_id][0]["version"] or event.is_off:
                raise CannotPlan(f"{event.title} was changed meanwhile. Plan once more.")
        _refuse_half_a_tour(wanted, events)
        rows = {
            key: shifts.saved_shift(events[line["event"]], ShiftKind(line["kind"]))
            for key, line in wanted.items()
        }
        Shift.objects.filter(pk__in=[shift.pk for shift in rows.values()]).update(comes_from=None)
        for key, line in wanted.items():
            rows[key].comes_from = rows.get(line["comes_from"])
            _put_down(rows[key], line)
        for event_id, event in events.items():
            _let_out(event, by_event[event_id])
            kinds = ", ".join(ShiftKind(line["kind"]).label for line in by_event[event_id])
            log.record(event, f"Planned: {kinds}.")
    return len(wanted)


# --- Private ---


def _again(other: Problem, plan: Plan) -> Plan:
    """The changed problem, which leaves more free than the first, planned in short; where that gives nothing, the plan
    there is."""
    try:
        return solver.solve(other, seconds=AGAIN_SECONDS, start_from=plan.jobs)
    except solver.NoPlan:
        return plan


def _line(job: Job, plan: Plan, span: spans.Span) -> ProposedLine:
    done = plan.jobs[job.key]
    event_id, kind = _event_and_kind(job)
    problem: Problem = span.problem
    shift = span.saved.get(job.key)
    people = job.fixed_people | job.before_people
    begins, ends = hours(problem, plan.jobs)[job.key]
    before = span.saved.get(done.comes_from)
    goes_on_to = _goes_on_to(job, plan)
    same = (
        shift is not None
        and people == set(done.people)
        and (str(shift.van_id) if shift.van_id else None) == done.van
        and shift.starts_at == problem.moment(begins)
        and shift.comes_from_id == (before.pk if before else None)
    )
    return ProposedLine(
        key=job.key,
        event_id=event_id,
        title=span.events[event_id].title,
        work=ShiftKind(kind).label,
        starts_at=problem.moment(begins),
        ends_at=problem.moment(ends),
        people=tuple(span.people[key].name for key in done.people),
        driver=_driver(done, span),
        van=span.vans[done.van].name if done.van else "",
        is_whole=done.is_whole,
        is_new=not same,
        comes_from=_title(done.comes_from, span),
        goes_on_to=_title(goes_on_to, span),
    )


def _driver(done: Assigned, span: spans.Span) -> str:
    if not done.van:
        return ""
    able = [key for key in done.people if Skill.DRIVER in span.people[key].member.skills]
    return span.people[able[0]].name if able else ""


def _event_and_kind(job: Job) -> tuple[int, str]:
    event_id, _, kind = job.key.partition("-")
    return int(event_id), kind


def _goes_on_to(job: Job, plan: Plan) -> str:
    return next((key for key, done in plan.jobs.items() if done.comes_from == job.key), "")


def _title(key: str, span: spans.Span) -> str:
    return span.events[int(key.partition("-")[0])].title if key else ""


def _sealed(span: spans.Span, plan: Plan) -> str:
    lines = []
    worked = hours(span.problem, plan.jobs)
    for job in span.problem.jobs:
        done = plan.jobs[job.key]
        event_id, kind = _event_and_kind(job)
        able = [key for key in done.people if done.van and Skill.DRIVER in span.people[key].member.skills]
        begins, ends = worked[job.key]
        goes_on_to = _goes_on_to(job, plan)
        lines.append(
            {
                "key": job.key,
                "event": event_id,
                "kind": kind,
                "version": span.events[event_id].version,
                "starts": span.problem.moment(begins).isoformat(),
                "minutes": (ends - begins) * STEP.seconds // 60,
                "comes_from": done.comes_from,
                "goes_on_to": goes_on_to,
                **_away(job, plan, span, worked),
                "people": [int(key) for key in done.people],
                "driver": int(able[0]) if able else None,
                "van": int(done.van) if done.van else None,
            }
        )
    content = {"studio": tenancy.current_studio_id(), "lines": lines}
    return signing.dumps(content, salt=SALT, compress=True)


def _away(job: Job, plan: Plan, span: spans.Span, worked: Mapping[str, tuple[int, int]]) -> dict[str, str]:
    """From or until when the event's things are out where a tour makes that longer than usual; else nothing."""
    before, after = plan.jobs[job.key].comes_from, _goes_on_to(job, plan)
    if before and job.key.endswith(ShiftKind.INSTALL):
        return {"out_from": span.problem.moment(worked[before][0]).isoformat()}
    if after and job.key.endswith(ShiftKind.STRIKE):
        return {"out_until": span.problem.moment(worked[after][1]).isoformat()}
    return {}


def _refuse_half_a_tour(wanted: Mapping[str, dict[str, Any]], events: Mapping[int, Event]) -> None:
    """Two shifts on one tour are accepted together or not at all, and so are two that were on one."""
    for line in wanted.values():
        event = events[line["event"]]
        for other in (line["comes_from"], line["goes_on_to"]):
            if other and other not in wanted:
                raise CannotPlan(f"{event.title} is on one tour with another event: accept both, or neither.")
    keys = set(wanted)
    for shift in shifts.tour_shifts(events):
        first = shift.comes_from
        assert first is not None
        pair = {spans.job_key(each.event_id, each.kind) for each in (first, shift)}
        if pair & keys and not pair <= keys:
            raise CannotPlan(
                f"{first.event.title} and {shift.event.title} were on one tour: plan and accept both, or neither."
            )


def _let_out(event: Event, lines: Sequence[dict[str, Any]]) -> None:
    """Let the event's things be out as long as its tours take, and no longer where there is none any more."""
    load_out_at, back_at = event.load_out_at, event.back_at
    for line in lines:
        if line["kind"] == ShiftKind.INSTALL:
            load_out_at = usual_load_out(event)
            if "out_from" in line:
                load_out_at = min(load_out_at, datetime.fromisoformat(line["out_from"]))
        elif line["kind"] == ShiftKind.STRIKE:
            back_at = usual_back(event)
            if "out_until" in line:
                back_at = max(back_at, datetime.fromisoformat(line["out_until"]))
    try:
        changes.set_journey(event, load_out_at, back_at)
    except changes.CannotMove as refusal:
        raise CannotPlan(
            [f"On that tour the things of {event.title} would be out longer:", *refusal.messages]
        ) from refusal


def _put_down(shift: Shift, line: dict[str, Any]) -> None:
    starts_at = datetime.fromisoformat(line["starts"])
    ends_at = starts_at + STEP * (line["minutes"] * 60 // STEP.seconds)
    if not shift.times_fixed and (shift.starts_at, shift.ends_at) != (starts_at, ends_at):
        shift.starts_at, shift.ends_at = starts_at, ends_at
        shifts.ask_again([shift])
    if not shift.van_fixed:
        shift.van = Van.objects.filter(pk=line["van"]).first() if line["van"] else None
    shift.save(update_fields=["starts_at", "ends_at", "van", "comes_from"])
    on = {call.member_id: call for call in CrewCall.objects.filter(shift=shift)}
    wanted = set()
    for number in line["people"]:
        member = crew.saved_member(crew.find_person(number))
        wanted.add(member.pk)
        drives = number == line["driver"]
        if member.pk not in on:
            CrewCall.objects.create(shift=shift, member=member, drives=drives)
        elif on[member.pk].drives != drives and not on[member.pk].fixed:
            on[member.pk].drives = drives
            on[member.pk].save(update_fields=["drives"])
    for member_id, call in on.items():
        if member_id not in wanted and not call.fixed and call.answer != "no":
            call.delete()
