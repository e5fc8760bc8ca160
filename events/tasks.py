"""The worker tasks of the events room."""

from __future__ import annotations

from events.crew import calls
from events.planner import plan_requests
from studio.outbox import entries


@entries.worker_task("events.mail_crew_call")
def mail_crew_call(*, call_id: int) -> None:
    """Ask somebody for a shift."""
    calls.mail_call(call_id)


@entries.worker_task("events.plan_days")
def plan_days(*, name: str) -> None:
    """Plan a span of days that somebody asked for."""
    plan_requests.work_out(name)
