"""The shifts of an event (prep, install, strike): their times, and how they follow when the event moves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from django.db.models import Q
from django.http import Http404

from events.booking.event_times import UNLOADING
from events.day_plan.work_plan import WorkPlan, drive_to, usual_load_out, work_plan
from events.models import Answer, CrewCall, Event, Shift, ShiftKind
from studio.measures.times import Window
from studio.models import entered_studio

ORDER: Final = tuple(ShiftKind)


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


def end_tours(event: Event) -> None:
    """End every tour of the event: its shift and the other one on the tour start and end at the studio again.

    Both get their planned times, unless their times were set by hand. Called with the event's row locked.
    """
    moved: list[Shift] = []
    for shift in tour_shifts([event.pk]):
        first = shift.comes_from
        assert first is not None
        shift.comes_from = None
        shift.save(update_fields=["comes_from"])
        for each in (first, shift):
            window = planned_windows(work_plan(each.event, entered_studio())).get(ShiftKind(each.kind))
            if window and not each.times_fixed and window != each.window():
                each.starts_at, each.ends_at = window.start, window.end
                each.save(update_fields=["starts_at", "ends_at"])
                moved.append(each)
    ask_again(moved)


def follow_event(event: Event) -> None:
    """Move the shifts with their event: people must be asked again, and tours end.

    A shift whose times were set by hand keeps them; the owner sees the conflict.
    """
    end_tours(event)
    rows = list(Shift.objects.filter(event=event).exclude(times_fixed=True))
    if not rows:
        return
    planned = planned_windows(work_plan(event, entered_studio()))
    moved = []
    for shift in rows:
        window = planned.get(ShiftKind(shift.kind))
        if window and window != shift.window():
            shift.starts_at, shift.ends_at = window.start, window.end
            shift.save(update_fields=["starts_at", "ends_at"])
            moved.append(shift)
    ask_again(moved)


def ask_again(moved: Sequence[Shift]) -> None:
    """Reset the answers to these shifts: they were given for other times."""
    CrewCall.objects.filter(shift__in=moved).exclude(answer=Answer.NOT_ASKED).update(
        answer=Answer.NOT_ASKED, answered_at=None
    )
