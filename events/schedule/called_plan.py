"""The work plan by the hours to which the crew was called: a weekend plan or a person may have moved a shift."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Final

from events.booking.event_times import LOADING
from events.crew import shifts
from events.day_plan.work_plan import WorkPlan
from events.models import Shift, ShiftKind
from studio.measures.times import Window

QUARTER: Final = timedelta(minutes=15)
"""A plan's shifts are in whole quarters of an hour; less than one is no move."""
A_DAY_OF_PREP: Final = timedelta(hours=12)
"""Prep that is longer has a night in it, and stays where the plan has it."""


def find_moves(plan: WorkPlan, called: Iterable[Shift]) -> dict[ShiftKind, timedelta]:
    """How much later than by the plan each shift is, or earlier.

    ``called`` are the event's own and those of others on one tour with them.
    """
    known = list(called)
    planned = shifts.planned_windows(plan)
    goes_on_to = {shift.comes_from_id: shift for shift in known if shift.comes_from_id}
    found = dict.fromkeys(ShiftKind, timedelta())
    for shift in known:
        kind = ShiftKind(shift.kind)
        if shift.event_id == plan.event.pk and kind in planned:
            found[kind] = _move(shift, planned[kind], goes_on_to.get(shift.pk))
    return found


def move_plan(plan: WorkPlan, later: Mapping[ShiftKind, timedelta]) -> WorkPlan:
    """The plan with every step of a shift so much later; what may still slip is less by that."""
    steps = [
        replace(
            step,
            starts_at=step.starts_at + later[step.kind],
            ends_at=step.ends_at + later[step.kind],
            slack=step.slack - later[step.kind],
        )
        for step in plan.steps
    ]
    return replace(plan, steps=tuple(sorted(steps, key=lambda step: (step.starts_at, step.ends_at))))


# --- Private ---


def _move(shift: Shift, planned: Window, then: Shift | None) -> timedelta:
    """By where it ends for prep and what ends a tour, as those begin at other times than usual; else by where it
    starts."""
    starts_at, ends_at = shift.starts_at, shift.ends_at
    if then is not None and then.kind == ShiftKind.INSTALL:
        starts_at += LOADING
    if shift.kind == ShiftKind.PREP and planned.end - planned.start > A_DAY_OF_PREP:
        return timedelta()
    if then is None and starts_at <= planned.start and ends_at >= planned.end:
        return timedelta()
    by_end = shift.kind == ShiftKind.PREP or shift.comes_from_id is not None
    if shift.times_fixed:
        return ends_at - planned.end if by_end else starts_at - planned.start
    later = (
        ends_at - _quarter(planned.end, up=True) if by_end else starts_at - _quarter(planned.start, up=False)
    )
    return later if abs(later) >= QUARTER else timedelta()


def _quarter(moment: datetime, *, up: bool) -> datetime:
    over = (moment - datetime.min.replace(tzinfo=UTC)) % QUARTER
    if not over:
        return moment
    return moment + QUARTER - over if up else moment - over
