"""Asking for a plan: the worker works it out, whoever asked may leave and look again.

What was asked and what came of it is kept in the cache, by studio and an unguessable name, as long as a proposal holds.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

from django.core.cache import cache
from django.utils import timezone

from events.crew import people
from events.planner import proposal, solver
from events.planner import span as spans
from events.planner.proposal import HOLDS_SECONDS, CannotPlan, Proposal
from studio import tenancy
from studio.models import Studio, entered_studio
from studio.outbox import entries
from studio.tenancy.access import require
from studio.tenancy.fair_share import PLANS
from studio.tenancy.rights import Right

A_FEW: Final = 14
LONG_SECONDS: Final = 20.0
"""So many events at most are planned in :data:`events.planner.solver.LIMIT_SECONDS`, more of them in this."""
PATIENCE: Final = timedelta(minutes=4)
"""After so long nothing comes any more: the worker died, and with it the plan."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Which days, since when, in how many seconds; then the proposal, or why there is none."""

    name: str
    first: date
    last: date
    at: datetime
    seconds: float
    proposal: Proposal | None = None
    refusal: str = ""

    @property
    def is_waiting(self) -> bool:
        """Whether it is still being worked out."""
        return self.proposal is None and not self.refusal and not self.is_lost

    @property
    def is_lost(self) -> bool:
        """Whether nothing will come any more."""
        return self.proposal is None and not self.refusal and timezone.now() - self.at > PATIENCE

    @property
    def percent(self) -> int:
        """How much of its time has gone; never quite all while it is waited for."""
        gone = (timezone.now() - self.at) / timedelta(seconds=self.seconds)
        return min(97, round(100 * gone))


def ask(first: date, last: date, studio: Studio) -> str:
    """Have the worker plan all that is agreed between two days; the name under which to look.

    Raises :class:`CannotPlan` for days that can't be planned.
    """
    require(Right.EDIT_EVENTS)
    proposal.check_days(first, last)
    events = spans.number_agreed(first, last, studio)
    if not events:
        raise CannotPlan("Nothing is agreed for those days.")
    if not any(who.member.is_called for who in people.list_people()):
        raise CannotPlan("Nobody can be called: say who on the crew page first.")
    seconds = solver.LIMIT_SECONDS if events <= A_FEW else LONG_SECONDS
    asked = Asked(secrets.token_urlsafe(16), first, last, timezone.now(), seconds)
    entries.write("events.plan_days", share=PLANS, key=f"plan-{asked.name}", name=asked.name)
    _keep(asked)
    cache.set(_last_key(), asked.name, HOLDS_SECONDS)
    return asked.name


def look(name: str) -> Asked | None:
    """What became of it; None where nobody in this studio asked that, or long ago."""
    require(Right.EDIT_EVENTS)
    found: Asked | None = cache.get(_key(name))
    return found


def last_asked() -> Asked | None:
    """What whoever is signed in asked last."""
    name = cache.get(_last_key())
    return look(name) if name else None


def work_out(name: str) -> None:
    """Plan what was asked; for the worker."""
    asked = look(name)
    if asked is None or not asked.is_waiting:
        return
    try:
        made = proposal.propose(asked.first, asked.last, entered_studio(), seconds=asked.seconds)
    except CannotPlan as refusal:
        _keep(replace(asked, refusal=" ".join(refusal.messages)))
    else:
        _keep(replace(asked, proposal=made))


# --- Private ---


def _keep(asked: Asked) -> None:
    cache.set(_key(asked.name), asked, HOLDS_SECONDS)


def _key(name: str) -> str:
    # The number changes with the shape or the place of what is kept: an older version's plan is not found then.
    return f"plan.2:{tenancy.current_studio_id()}:{name}"


def _last_key() -> str:
    return f"plan-last.2:{tenancy.current_studio_id()}:{tenancy.current().person_id}"
