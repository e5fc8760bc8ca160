"""Plan requests: the worker works the plan out; whoever asked may leave and return, as long as a proposal is valid."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import date
from typing import Final

from events.crew import people
from events.planner import proposal, solver
from events.planner import span as spans
from events.planner.proposal import CannotPlan, Proposal
from events.planner.seal import HOLDS_SECONDS
from studio.models import Studio, entered_studio
from studio.outbox.long_work import LongWork, Progress, Work
from studio.tenancy.access import require
from studio.tenancy.fair_share import PLANS
from studio.tenancy.rights import Right

A_FEW: Final = 14
LONG_SECONDS: Final = 20.0
"""The time for more than A_FEW events; fewer get :data:`events.planner.solver.LIMIT_SECONDS`."""

FAILED_CHECK: Final = (
    "The plan failed its own check, so it is not shown. Plan again; if that happens once more, tell whoever runs this "
    "server."
)
logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Days:
    """The days that are to be planned, and the time for it."""

    first: date
    last: date
    seconds: float


PLAN: Final = LongWork[Days, Proposal](
    "events.plan_days", PLANS, seconds=solver.LIMIT_SECONDS, shape=4, kept_seconds=HOLDS_SECONDS
)


def request_plan(first: date, last: date, studio: Studio) -> str:
    """Have the worker plan all agreed events between two days. Returns the name of the request.

    Raises :class:`CannotPlan` for days that can't be planned.
    """
    require(Right.EDIT_EVENTS)
    proposal.check_days(first, last)
    events = spans.count_agreed(first, last, studio)
    if not events:
        raise CannotPlan("Nothing is agreed for those days.")
    if not any(who.member.is_called for who in people.list_people()):
        raise CannotPlan("Nobody can be called: say who on the crew page first.")
    seconds = solver.LIMIT_SECONDS if events <= A_FEW else LONG_SECONDS
    return PLAN.ask(Days(first, last, seconds), seconds=seconds)


def find_request(name: str) -> Work[Days, Proposal] | None:
    """Find a request of this studio; None where there is none or it is old."""
    require(Right.EDIT_EVENTS)
    return PLAN.find(name)


def last_request() -> Work[Days, Proposal] | None:
    """Find the last request of whoever is signed in."""
    require(Right.EDIT_EVENTS)
    return PLAN.last()


def stop_request(name: str) -> None:
    """Nobody wants the plan any more."""
    require(Right.EDIT_EVENTS)
    PLAN.stop(name)


def work_out(name: str) -> None:
    """Plan what was asked. The worker calls this."""
    PLAN.work_out(name, _plan)


# --- Private ---


def _plan(asked: Days, progress: Progress) -> Proposal:
    """The solver can't say how far it is: what is shown is the share of its time that has gone."""
    try:
        return proposal.make_proposal(
            asked.first,
            asked.last,
            entered_studio(),
            seconds=asked.seconds,
            goes_on=lambda: progress(0.0),
        )
    except solver.WrongPlan:
        logger.exception("A plan failed its own check")
        raise CannotPlan(FAILED_CHECK) from None
