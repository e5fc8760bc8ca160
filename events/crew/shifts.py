"""The three stretches of an event's work: when they are, and that they follow when the event moves."""

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
    """From when to when each stretch is, by the plan; prep only where there is some.

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
    """The event's stretches as they are written down, in order, with their vans."""
    rows = Shift.objects.filter(event=event).select_related("van")
    return sorted(rows, key=lambda shift: ORDER.index(ShiftKind(shift.kind)))


def planned_shifts(plan: WorkPlan) -> list[Shift]:
    """The event's stretches; those not written down yet as the plan has them, without a primary key."""
    event = plan.event
    written = {ShiftKind(shift.kind): shift for shift in event_shifts(event)}
    planned = planned_windows(plan)
    return [
        written.get(kind) or Shift(event=event, kind=kind, starts_at=window.start, ends_at=window.end)
        for kind, window in planned.items()
    ] + [shift for kind, shift in written.items() if kind not in planned]


def saved_shift(event: Event, kind: ShiftKind) -> Shift:
    """The stretch, put down as planned where it wasn't; raises ``Http404`` where the event has none such.

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
    """The stretches of these events, with their vans, and those of others that come straight from them. One query."""
    ids = list(event_ids)
    rows = Shift.objects.select_related("van", "event__venue", "comes_from__event__venue")
    return list(rows.filter(Q(event__in=ids) | Q(comes_from__event__in=ids)).order_by("starts_at", "pk"))


def tour_shifts(event_ids: Iterable[int]) -> list[Shift]:
    """Of those, the ones that come straight from another's site: each stands for one round. One query."""
    return [shift for shift in shifts_and_tours(event_ids) if shift.comes_from_id]


def end_tours(event: Event) -> None:
    """Every stretch of the event is on a round no more: it and the other on the round go by way of the studio.

    Both get the times that their plans have, but for times set by hand. Called with the event's row locked.
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
    """Move the stretches after their event; who was asked must be asked again, and a round is none any more.

    A stretch with times of its own keeps them where it can't be told better: the owner sees the conflict.
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
    """Whoever answered for other times has answered nothing."""
    CrewCall.objects.filter(shift__in=moved).exclude(answer=Answer.NOT_ASKED).update(
        answer=Answer.NOT_ASKED, answered_at=None
    )
