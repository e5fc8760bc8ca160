"""Pairs of shifts that one van and one crew can do on one tour, from site to site."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final

from events.booking.event_times import LOADING
from events.contacts.drives import Drives
from events.day_plan.work_plan import WorkPlan
from events.models import Event, ShiftKind
from events.planner.problem import LONGEST_WAIT, STEP, Job, Tour, driving_saved
from studio.measures.times import Window

NEAREST: Final = 4
"""So many sites to go on to are considered from each: those that save most driving. The solver has no time for more."""
LOADING_STEPS: Final = -(-LOADING // STEP)


def in_whole_steps(length: timedelta) -> int:
    """A length of time in steps, the last one whole."""
    return -(-length // STEP)


def on_site(kind: ShiftKind, plan: WorkPlan) -> Window:
    """From when until when a shift's crew is on its site."""
    if kind == ShiftKind.INSTALL:
        return Window(plan.event.access_from, plan.leaves)
    return Window(plan.event.strike_from, plan.leaves_for_good)


def ways_there_and_back(kind: ShiftKind, window: Window, plan: WorkPlan, origin: datetime) -> tuple[int, int]:
    """Steps of a shift before its crew is on site, and after it left; none for prep.

    Rounded so that nobody is on site for less than the plan says.
    """
    if kind == ShiftKind.PREP:
        return 0, 0
    there = on_site(kind, plan)
    begin, end = (window.start - origin) // STEP, -((origin - window.end) // STEP)
    return (there.start - origin) // STEP - begin, end + (origin - there.end) // STEP


def possible_tours(
    jobs: Sequence[Job],
    of_job: Mapping[str, tuple[Event, ShiftKind]],
    drives: Drives,
    brings: Collection[tuple[int, int]] = (),
) -> tuple[Tour, ...]:
    """The pairs that could be on one tour: a van goes to both, the drive is known, the hours allow it, and the second
    is among the nearest.

    ``brings`` are two events' primary keys each: pieces go straight from the first to the second.
    """
    known = {job.key: job for job in jobs}
    may = [job for job in jobs if job.needs_van and job.fixed_start is None]
    found = []
    for first in may:
        for then in may:
            (event, kind), (next_event, next_kind) = of_job[first.key], of_job[then.key]
            if event.pk == next_event.pk:
                continue
            drive = drives.direct_minutes(event.venue, next_event.venue)
            pieces = (
                kind == ShiftKind.STRIKE
                and next_kind == ShiftKind.INSTALL
                and (event.pk, next_event.pk) in brings
            )
            if drive is None and pieces:
                drive = drives.minutes(event.venue, next_event.venue)
            if drive is None:
                continue
            each = _tour(first, then, in_whole_steps(timedelta(minutes=drive)), kind, next_kind, pieces)
            if pieces or (_may_meet(each, known) and driving_saved(each, known) > 0):
                found.append(each)
    return tuple(_nearest(found, known))


# --- Private ---


def _tour(first: Job, then: Job, drive: int, kind: ShiftKind, next_kind: ShiftKind, pieces: bool) -> Tour:
    brings_load = next_kind == ShiftKind.INSTALL
    # What was brought to the first site has left the van when a strike follows.
    both = brings_load or kind == ShiftKind.STRIKE
    return Tour(
        first.key,
        then.key,
        drive,
        loads=LOADING_STEPS if brings_load else 0,
        prep=then.after if brings_load else "",
        volume_m3=first.volume_m3 + then.volume_m3 if both else 0.0,
        brings_pieces=pieces,
    )


def _nearest(found: Sequence[Tour], known: Mapping[str, Job]) -> Iterator[Tour]:
    """Of each first shift's tours those that save most driving; with pieces that go straight, all."""
    of_first: dict[str, list[Tour]] = {}
    for each in found:
        of_first.setdefault(each.first, []).append(each)
    for group in of_first.values():
        group.sort(key=lambda each: (not each.brings_pieces, -driving_saved(each, known), each.then))
        yield from group[: max(NEAREST, sum(each.brings_pieces for each in group))]


def _may_meet(each: Tour, known: Mapping[str, Job]) -> bool:
    """Whether the van can set out for the second site when it has left the first, and no longer after than it waits."""
    first, then = known[each.first], known[each.then]
    until_left, until_sets_out = first.length - first.home, then.out - each.drive
    return (
        then.latest + until_sets_out >= first.earliest + until_left
        and then.earliest + until_sets_out <= first.latest + until_left + LONGEST_WAIT
    )
