"""The worker tasks of the events room."""

from __future__ import annotations

from events import crew_calls
from events.weekend import asking
from studio import outbox


@outbox.worker_task("events.mail_crew_call")
def mail_crew_call(*, call_id: int) -> None:
    """Ask somebody for a stretch of work."""
    crew_calls.mail_call(call_id)


@outbox.worker_task("events.plan_days")
def plan_days(*, name: str) -> None:
    """Plan a span of days that somebody asked for."""
    asking.work_out(name)
