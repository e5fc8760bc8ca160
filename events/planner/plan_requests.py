"""Plan requests: the worker works the plan out; whoever asked may leave and return.

Each request and its result stay in the cache, by studio and an unguessable name, as long as a proposal is valid.
"""

from __future__ import annotations

import logging
import secrets
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

from django.core.cache import cache
from django.utils import timezone

from events.crew import people
from events.planner import proposal, solver
from events.planner import span as spans
from events.planner.proposal import CannotPlan, Proposal
from events.planner.seal import HOLDS_SECONDS
from studio import tenancy
from studio.models import Studio, entered_studio
from studio.outbox import entries
from studio.tenancy.access import require
from studio.tenancy.fair_share import PLANS
from studio.tenancy.rights import Right

A_FEW: Final = 14
LONG_SECONDS: Final = 20.0
"""The time for more than A_FEW events; fewer get :data:`events.planner.solver.LIMIT_SECONDS`."""
PATIENCE: Final = timedelta(minutes=4)
"""A request older than this gets no result: the worker died, and its plan with it."""


FAILED_CHECK: Final = (
    "The plan failed its own check, so it is not shown. Plan again; if that happens once more, tell whoever runs this "
    "server."
)
logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class PlanRequest:
    """A request for some days; then its proposal, or the reason why there is none."""

    name: str
    first: date
    last: date
    at: datetime
    seconds: float
    proposal: Proposal | None = None
    refusal: str = ""

    @property
    def is_waiting(self) -> bool:
        """Whether the worker may still answer."""
        return self.proposal is None and not self.refusal and not self.is_lost

    @property
    def is_lost(self) -> bool:
        """Whether no result will come."""
        return self.proposal is None and not self.refusal and timezone.now() - self.at > PATIENCE

    @property
    def percent(self) -> int:
        """The share of its time that has gone; below 100 until the result is there."""
        gone = (timezone.now() - self.at) / timedelta(seconds=self.seconds)
        return min(97, round(100 * gone))


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
    asked = PlanRequest(secrets.token_urlsafe(16), first, last, timezone.now(), seconds)
    entries.write("events.plan_days", share=PLANS, key=f"plan-{asked.name}", name=asked.name)
    _save(asked)
    cache.set(_last_key(), asked.name, HOLDS_SECONDS)
    return asked.name


def find_request(name: str) -> PlanRequest | None:
    """Find a request of this studio; None where there is none or it is old."""
    require(Right.EDIT_EVENTS)
    found: PlanRequest | None = cache.get(_key(name))
    return found


def last_request() -> PlanRequest | None:
    """Find the last request of whoever is signed in."""
    name = cache.get(_last_key())
    return find_request(name) if name else None


def work_out(name: str) -> None:
    """Plan what was asked. The worker calls this."""
    asked = find_request(name)
    if asked is None or not asked.is_waiting:
        return
    try:
        made = proposal.make_proposal(asked.first, asked.last, entered_studio(), seconds=asked.seconds)
    except CannotPlan as refusal:
        _save(replace(asked, refusal=" ".join(refusal.messages)))
    except solver.WrongPlan:
        logger.exception("A plan failed its own check")
        _save(replace(asked, refusal=FAILED_CHECK))
    else:
        _save(replace(asked, proposal=made))


# --- Private ---


def _save(asked: PlanRequest) -> None:
    cache.set(_key(asked.name), asked, HOLDS_SECONDS)


def _key(name: str) -> str:
    # A new shape or place of the record gets a new number, so that no old pickle is read.
    return f"plan.3:{tenancy.current_studio_id()}:{name}"


def _last_key() -> str:
    return f"plan-last.3:{tenancy.current_studio_id()}:{tenancy.current().person_id}"
