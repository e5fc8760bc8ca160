"""The shifts of an event (prep, install, strike): their times, and how they follow when the event moves."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from typing import Final

from django.db.models import Q
from django.http import Http404

from events.booking.event_times import UNLOADING
from events.crew.rules import studio_rules
from events.day_plan.work_plan import WorkPlan, drive_to, usual_load_out, work_plan
from events.models import Answer, CrewCall, Event, Shift, ShiftKind
from studio.measures.times import Window
from studio.models import entered_studio

ORDER: Final = tuple(ShiftKind)
EXPECTING: Final = (Answer.ASKED, Answer.YES)
"""Whoever said no, or wasn't asked, doesn't expect to come."""


def planned_windows(plan: WorkPlan) -> dict[ShiftKind, Window]:
    """The times of each shift by the plan; prep only where there is some.

    The install runs from loading until the crew is back, the strike from leaving the studio until everything is on
    its floor; where the strike follows at once, the crew stays.
    """
    event, drive = plan.event, drive_to(plan.event)
    strike_start = max(event.strike_from - drive, plan.leaves)
    found = {
        ShiftKind.INSTALL: Window(usual_load_out(event), min(plan.leaves + drive, strike_start)),
        ShiftKind.STRIKE: Window(strike_start, plan.leaves_for_good + drive + UNLOADING),
    }
    prep = plan.span(ShiftKind.PREP)
    return {ShiftKind.PREP: prep, **found} if prep else found


def event_shifts(event: Event) -> list[Shift]:
    """The saved shifts of the event, in order, with their vans."""
    rows = Shift.objects.filter(event=event).select_related("van")
    return sorted(rows, key=lambda shift: ORDER.index(ShiftKind(shift.kind)))


def planned_shifts(plan: WorkPlan) -> list[Shift]:
    """The event's shifts; those not saved yet have the planned times and no primary key."""
    event = plan.event
    written = {ShiftKind(shift.kind): shift for shift in event_shifts(event)}
    planned = planned_windows(plan)
    return [
        written.get(kind) or Shift(event=event, kind=kind, starts_at=window.start, ends_at=window.end)
        for kind, window in planned.items()
    ] + [shift for kind, shift in written.items() if kind not in planned]


def saved_shift(event: Event, kind: ShiftKind) -> Shift:
    """The shift, saved as planned where it wasn't; raises ``Http404`` where the event has none of this kind.

    Called with the event's row locked.
    """
    found = Shift.objects.filter(event=event, kind=kind).first()
    if found:
        return found
    window = planned_windows(work_plan(event, entered_studio())).get(kind)
    if window is None:
        raise Http404
    return Shift.objects.create(event=event, kind=kind, starts_at=window.start, ends_at=window.end)


def shifts_and_tours(event_ids: Iterable[int]) -> list[Shift]:
    """The shifts of these events with their vans, and those of others on a tour with them. One query."""
    ids = list(event_ids)
    rows = Shift.objects.select_related("van", "event__venue", "comes_from__event__venue")
    return list(rows.filter(Q(event__in=ids) | Q(comes_from__event__in=ids)).order_by("starts_at", "pk"))


def tour_shifts(event_ids: Iterable[int]) -> list[Shift]:
    """Of those, the ones that come directly from another site: each stands for one tour. One query."""
    return [shift for shift in shifts_and_tours(event_ids) if shift.comes_from_id]


def end_tours(event: Event) -> list[CrewCall]:
    """End every tour of the event: its shift and the other one on the tour start and end at the studio again.

    Both get their planned times, unless their times were set by hand. Called with the event's row locked. Gives what
    :func:`ask_again` does.
    """
    moved: list[tuple[Shift, Window]] = []
    for shift in tour_shifts([event.pk]):
        first = shift.comes_from
        assert first is not None
        shift.comes_from = None
        shift.save(update_fields=["comes_from"])
        for each in (first, shift):
            window = planned_windows(work_plan(each.event, entered_studio())).get(ShiftKind(each.kind))
            if window and not each.times_fixed and window != each.window():
                moved.append((each, each.window()))
                each.starts_at, each.ends_at = window.start, window.end
                each.save(update_fields=["starts_at", "ends_at"])
    return ask_again(moved)


def follow_event(event: Event) -> list[CrewCall]:
    """Move the shifts with their event: people are asked again beyond the tolerance, and tours end.

    A shift whose times were set by hand keeps them; the owner sees the conflict. Gives what :func:`ask_again` does.
    """
    reset = end_tours(event)
    rows = list(Shift.objects.filter(event=event).exclude(times_fixed=True))
    if not rows:
        return reset
    planned = planned_windows(work_plan(event, entered_studio()))
    moved = []
    for shift in rows:
        window = planned.get(ShiftKind(shift.kind))
        if window and window != shift.window():
            moved.append((shift, shift.window()))
            shift.starts_at, shift.ends_at = window.start, window.end
            shift.save(update_fields=["starts_at", "ends_at"])
    return reset + ask_again(moved)


def ask_again(moved: Iterable[tuple[Shift, Window]], *, except_no: bool = False) -> list[CrewCall]:
    """Reset the answers to shifts that moved by more than the studio's tolerance since they were given.

    Each shift comes with its hours before the move. Small moves add up: what counts are the hours that the answer was
    for. Gives the calls of those who had been asked or had said yes.
    """
    before = {shift.pk: (shift, window) for shift, window in moved if shift.window() != window}
    kept = [Answer.NOT_ASKED, Answer.NO] if except_no else [Answer.NOT_ASKED]
    tolerance = studio_rules().tolerance if before else timedelta()
    reset: list[CrewCall] = []
    for call in CrewCall.objects.filter(shift__in=before).exclude(answer__in=kept):
        shift, window = before[call.shift_id]
        starts_at, ends_at = call.answer_starts_at or window.start, call.answer_ends_at or window.end
        call.answer_starts_at, call.answer_ends_at = starts_at, ends_at
        if max(abs(shift.starts_at - starts_at), abs(shift.ends_at - ends_at)) > tolerance:
            reset += [call] if call.answer in EXPECTING else []
            call.answer, call.answered_at = Answer.NOT_ASKED, None
            call.answer_starts_at = call.answer_ends_at = None
        call.save(update_fields=["answer", "answered_at", "answer_starts_at", "answer_ends_at"])
    return reset
