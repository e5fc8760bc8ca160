"""A proposal as it goes to the browser, signed, and comes back to be accepted. A signed one is read for a day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Final

import msgspec
from django.core import signing

from events.models import ShiftKind, Skill
from events.planner.problem import STEP, Assigned, Job, Plan, hours, in_steps
from events.planner.span import Span, event_and_kind
from events.schedule.roster import RosterShift
from studio import tenancy

SALT: Final = "events.weekend.proposal"
HOLDS_SECONDS: Final = 24 * 60 * 60


class SealedLine(msgspec.Struct, frozen=True):
    """One shift as proposed, by primary keys."""

    key: str
    event: int
    kind: str
    version: int
    starts: datetime
    minutes: int
    comes_from: str
    goes_on_to: str
    people: list[int]
    driver: int | None
    van: int | None
    out_from: datetime | None = None
    """From when the event's things are out, where a tour takes them earlier than usual; ``out_until`` the same."""
    out_until: datetime | None = None
    keeps_times: bool = False
    """Whether its saved times are those of the plan, but for the plan's whole quarters of an hour."""


class SealedProposal(msgspec.Struct, frozen=True):
    """A whole proposal; ``first`` is the first day that was planned, which older ones don't say."""

    studio: int | None
    lines: list[SealedLine]
    first: date | None = None


def seal(span: Span, plan: Plan, first: date) -> str:
    """Sign a plan for the browser."""
    worked = hours(span.problem, plan.jobs)
    lines = [_line(job, plan, span, worked) for job in span.problem.jobs]
    content = SealedProposal(tenancy.current_studio_id(), lines, first)
    return signing.dumps(msgspec.to_builtins(content), salt=SALT, compress=True)


def unseal(sealed: str) -> SealedProposal:
    """Read what the browser sent back. Raises ``BadSignature`` for what is old or no proposal."""
    content = signing.loads(sealed, salt=SALT, max_age=HOLDS_SECONDS)
    try:
        return msgspec.convert(content, SealedProposal)
    except msgspec.ValidationError as error:
        raise signing.BadSignature(str(error)) from error


def goes_on_to(job: Job, plan: Plan) -> str:
    """The key of the shift that comes after it on one tour."""
    return next((key for key, done in plan.jobs.items() if done.comes_from == job.key), "")


def driver_of(done: Assigned, span: Span) -> str:
    """The key of who drives; empty where no van goes or nobody can."""
    if not done.van:
        return ""
    return next((key for key in done.people if Skill.DRIVER in span.people[key].member.skills), "")


def keeps_times(shift: RosterShift | None, worked: tuple[int, int], span: Span) -> bool:
    """Whether a saved shift has the times of the plan, but for the plan's whole quarters of an hour."""
    origin = span.problem.origin
    return shift is not None and origin is not None and in_steps(shift.window, origin) == worked


# --- Private ---


def _line(job: Job, plan: Plan, span: Span, worked: Mapping[str, tuple[int, int]]) -> SealedLine:
    done = plan.jobs[job.key]
    event_id, kind = event_and_kind(job.key)
    begins, ends = worked[job.key]
    driver = driver_of(done, span)
    out_from, out_until = _away(job, plan, span, worked)
    return SealedLine(
        key=job.key,
        event=event_id,
        kind=kind,
        version=span.events[event_id].version,
        starts=span.problem.moment(begins),
        minutes=(ends - begins) * STEP.seconds // 60,
        comes_from=done.comes_from,
        goes_on_to=goes_on_to(job, plan),
        people=[int(key) for key in done.people],
        driver=int(driver) if driver else None,
        van=span.vans[done.van].pk if done.van else None,
        out_from=out_from,
        out_until=out_until,
        keeps_times=keeps_times(span.saved.get(job.key), worked[job.key], span),
    )


def _away(
    job: Job, plan: Plan, span: Span, worked: Mapping[str, tuple[int, int]]
) -> tuple[datetime | None, datetime | None]:
    """From and until when the event's things are out where a tour makes that longer than usual."""
    before, after = plan.jobs[job.key].comes_from, goes_on_to(job, plan)
    if before and job.key.endswith(ShiftKind.INSTALL):
        return span.problem.moment(worked[before][0]), None
    if after and job.key.endswith(ShiftKind.STRIKE):
        return None, span.problem.moment(worked[after][1])
    return None, None
