"""The run sheet: an event by the clock, for everybody on it or for one person's coming days. No prices."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from events.booking.event_times import LOADING, UNLOADING
from events.crew import shifts
from events.day_plan.work_plan import Step, WorkPlan, drive_to, usual_load_out, work_plans
from events.loadout import cautions
from events.models import Answer, BillRow, CrewCall, CrewMember, Event, Shift, ShiftKind, Status
from events.schedule import called_plan
from events.schedule.wind_limits import find_wind_limits
from events.transfers import transfers
from stock.models import Item
from studio.measures.languages import with_decimal_sign
from studio.models import Studio
from studio.models.dates import time_written

AHEAD: Final = timedelta(days=14)
BEHIND: Final = timedelta(hours=12)
"""A person's sheet shows what ended so long ago at most, and begins so far ahead."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line by the clock."""

    at: datetime
    until: datetime | None
    what: str
    detail: str = ""
    kind: ShiftKind | None = None
    """The shift it belongs to; none for a moment that client or venue set and everybody must know."""
    step: Step | None = None


@dataclass(frozen=True, slots=True)
class OnShift:
    """A shift, and who is on it."""

    shift: Shift
    people: tuple[CrewCall, ...]


@dataclass(frozen=True, slots=True)
class RunSheet:
    """Everything that whoever works on an event needs to know on the day."""

    event: Event
    plan: WorkPlan
    lines: tuple[Line, ...]
    crew: tuple[OnShift, ...]
    cautions: tuple[str, ...]

    def only(self, kinds: Iterable[str]) -> RunSheet:
        """The lines of some shifts and the moments between them, with whoever else is on those."""
        wanted = set(kinds)
        mine = [line for line in self.lines if line.kind in wanted]
        first = min((line.at for line in mine), default=None)
        last = max((line.until or line.at for line in mine), default=None)
        lines = tuple(
            line
            for line in self.lines
            if line.kind in wanted or (line.kind is None and first and last and first <= line.at <= last)
        )
        crew = tuple(on for on in self.crew if on.shift.kind in wanted)
        return RunSheet(self.event, self.plan, lines, crew, self.cautions)


@dataclass(frozen=True, slots=True)
class PersonSheet:
    """One person's part of one event."""

    calls: tuple[CrewCall, ...]
    sheet: RunSheet


def find_run_sheet(event: Event, studio: Studio) -> RunSheet:
    """The run sheet of one event."""
    return find_run_sheets([event], studio)[event.pk]


def find_run_sheets(events: Sequence[Event], studio: Studio) -> dict[int, RunSheet]:
    """The run sheet of each event, by its primary key. As many queries however many events."""
    plans = work_plans(events, studio)
    ids = list(plans)
    crew: dict[int, list[OnShift]] = {pk: [] for pk in ids}
    people: dict[int, list[CrewCall]] = {}
    calls = CrewCall.objects.select_related("member__person").filter(shift__event__in=ids)
    for call in calls.exclude(answer=Answer.NO):
        people.setdefault(call.shift_id, []).append(call)
    known = shifts.shifts_and_tours(ids)
    for shift in known:
        if shift.event_id in crew:
            crew[shift.event_id].append(OnShift(shift, tuple(people.get(shift.pk, ()))))
    bills: dict[int, list[tuple[str, str]]] = {pk: [] for pk in ids}
    for row in BillRow.objects.filter(event__in=ids).only("event_id", "code", "now_code", "group"):
        bills[row.event_id].append((row.present_code, row.group))
    codes = {code for rows in bills.values() for code, _ in rows}
    items = Item.objects.filter(code__in=codes).values_list("code", "weight_kg")
    weights = {code: float(kg or 0) for code, kg in items}
    handed = transfers.find_transfers(events)
    limits = find_wind_limits(events, studio)
    return {
        event.pk: RunSheet(
            event=event,
            plan=plans[event.pk],
            lines=_lines(plans[event.pk], bills[event.pk], known, handed[event.pk]),
            crew=tuple(crew[event.pk]),
            cautions=(
                *limits.get(event.pk, ()),
                *cautions.find_cautions(
                    event,
                    bills[event.pk],
                    studio,
                    heaviest_kg=max((weights.get(code, 0.0) for code, _ in bills[event.pk]), default=0.0),
                ),
            ),
        )
        for event in events
    }


def find_person_sheets(member: CrewMember, studio: Studio) -> list[PersonSheet]:
    """What somebody has before them, event by event. Six queries, however many events; eight where pieces go straight
    from one to another."""
    now = timezone.now()
    calls = (
        CrewCall.objects.select_related("shift__event__venue", "shift__event__client", "shift__van")
        .filter(member=member, shift__starts_at__lt=now + AHEAD, shift__ends_at__gt=now - BEHIND)
        .exclude(answer=Answer.NO)
        .exclude(shift__event__status=Status.CANCELLED)
        .order_by("shift__starts_at", "pk")
    )
    by_event: dict[int, list[CrewCall]] = {}
    for call in calls:
        by_event.setdefault(call.shift.event_id, []).append(call)
    sheets = find_run_sheets([theirs[0].shift.event for theirs in by_event.values()], studio)
    return [
        PersonSheet(tuple(theirs), sheets[event_id].only(call.shift.kind for call in theirs))
        for event_id, theirs in by_event.items()
    ]


# --- Private ---


def _lines(
    plan: WorkPlan, bill: Sequence[tuple[str, str]], shifts: Sequence[Shift], handed: transfers.EventTransfers
) -> tuple[Line, ...]:
    event = plan.event
    later = called_plan.find_moves(plan, shifts)
    plan = called_plan.move_plan(plan, later)
    from_another = [shift for shift in shifts if shift.comes_from_id]
    on_tours = list(_tour_lines(event, from_another, _site(event), later))
    replaced = {(line.kind, way) for way, line in on_tours}
    lines = [
        Line(step.starts_at, step.ends_at, _(step.name), _people_words(step), step.kind, step)
        for step in plan.steps
    ]
    lines += _venue_lines(event)
    lines += [line for way, line in on_tours]
    lines += [
        line for key, found in _drive_lines(plan, later).items() if key not in replaced for line in found
    ]
    lines += _transfer_lines(event, handed)
    if any(group == "covers" or code.startswith("cover") for code, group in bill):
        by_another_van = (ShiftKind.STRIKE, "back") in replaced
        lines += _wash_lines(plan, event.back_at if by_another_van else _unloaded_at(plan))
    # What client and venue set is listed before the work of that moment.
    return tuple(sorted(lines, key=lambda line: (line.at, line.kind is not None)))


def _site(event: Event) -> str:
    return event.venue.name if event.venue else _("the venue")


def _unloaded_at(plan: WorkPlan) -> datetime:
    return plan.leaves_for_good + drive_to(plan.event) + UNLOADING


def _venue_lines(event: Event) -> list[Line]:
    lines = [
        Line(event.access_from, None, _("Access"), event.venue.access if event.venue else ""),
        Line(event.ready_by, None, _("Ready by")),
        Line(event.strike_from, None, _("Strike from")),
        Line(event.out_by, None, _("Out by"), _("Swept, and nothing of ours left behind.")),
    ]
    return [*lines, Line(event.guests_from, None, _("Guests"))] if event.guests_from else lines


def _drive_lines(
    plan: WorkPlan, later: Mapping[ShiftKind, timedelta]
) -> dict[tuple[ShiftKind, str], list[Line]]:
    """Loading, the drives and unloading, by shift and way, where the van goes to this event alone."""
    event, drive, gone = plan.event, drive_to(plan.event), plan.leaves_for_good
    install, strike = ShiftKind.INSTALL, ShiftKind.STRIKE
    load, there = usual_load_out(event) + later[install], event.access_from + later[install]
    words = _minutes_words(drive)
    return {
        (install, "there"): [
            Line(load, load + LOADING, _("Load the van"), _("Load first what is needed last."), install),
            Line(load + LOADING, there, _("Drive to %(place)s") % {"place": _site(event)}, words, install),
        ],
        (install, "back"): [Line(plan.leaves, plan.leaves + drive, _("Drive back"), words, install)],
        (strike, "back"): [
            Line(gone, gone + drive, _("Drive back"), words, strike),
            Line(gone + drive, _unloaded_at(plan), _("Unload, count back, put away"), "", strike),
        ],
    }


def _transfer_lines(event: Event, handed: transfers.EventTransfers) -> list[Line]:
    """What comes from another event, and what goes on to one: whoever packs must know it when the strike begins."""
    came = [
        Line(
            each.arrives_at, None,
            _("Directly from %(event)s: %(items)s") % {"event": each.other.title, "items": each.words},
            _("After the crew has come in: build the rest first.") if each.is_late else _("Not from the shelf."),
        )
        for each in handed.incoming
    ]  # fmt: skip
    goes = [
        Line(
            event.strike_from, None,
            _("%(items)s goes on to %(event)s") % {"items": each.words, "event": each.other.title},
            _("Leave it in the van; there by %(time)s.")
            % {"time": time_written(each.arrives_at.astimezone(event.tz))},
        )
        for each in handed.outgoing
    ]  # fmt: skip
    return came + goes


def _wash_lines(plan: WorkPlan, back: datetime) -> list[Line]:
    """When covers must be in the wash before the event, and that they are washed after it."""
    hours = float(plan.rules.drying_hours)
    if not hours:
        return []
    dry = timedelta(hours=hours)
    return [
        Line(
            plan.event.load_out_at - dry, None, _("Latest time to wash covers"),
            _("They need %(hours)s h to dry before loading.") % {"hours": with_decimal_sign(f"{hours:g}")},
            ShiftKind.PREP,
        ),
        Line(back, back + dry, _("Wash and dry covers"), _washing_words(plan), ShiftKind.STRIKE),
    ]  # fmt: skip


def _washing_words(plan: WorkPlan) -> str:
    minutes = plan.washing_minutes
    return _("%(minutes)s min of work for one person.") % {"minutes": round(minutes)} if minutes else ""


def _tour_lines(
    event: Event, from_another: Sequence[Shift], where: str, later: Mapping[ShiftKind, timedelta]
) -> Iterator[tuple[str, Line]]:
    """The lines of a tour, in place of the drive there and the drive back."""
    for shift in from_another:
        first = shift.comes_from
        assert first is not None
        if shift.event_id == event.pk:
            kind = ShiftKind(shift.kind)
            words = _("Directly from %(event)s to %(place)s") % {"event": first.event.title, "place": where}
            loaded = _("Its load comes along from the studio, where loading starts at %(time)s.") % {
                "time": _clock(first)
            }
            arrives = (event.access_from if kind == ShiftKind.INSTALL else event.strike_from) + later[kind]
            detail = loaded if kind == ShiftKind.INSTALL else ""
            yield "there", Line(shift.starts_at, arrives, words, detail, kind)
        elif first.event_id == event.pk:
            on = shift.event.venue.name if shift.event.venue else _("the next site")
            kind = ShiftKind(first.kind)
            words = _("On to %(place)s: %(event)s") % {"place": on, "event": shift.event.title}
            detail = _("Back at the studio after that.") if kind == ShiftKind.STRIKE else ""
            yield "back", Line(first.ends_at, None, words, detail, kind)
            if shift.kind == ShiftKind.INSTALL:
                until = first.starts_at + LOADING
                yield (
                    "before",
                    Line(
                        first.starts_at,
                        until,
                        _("Load for %(event)s as well") % {"event": shift.event.title},
                        "",
                        kind,
                    ),
                )


def _clock(shift: Shift) -> str:
    return time_written(shift.starts_at.astimezone(shift.event.tz))


def _people_words(step: Step) -> str:
    return ngettext("%(count)s person", "%(count)s people", step.people) % {"count": step.people}


def _minutes_words(length: timedelta) -> str:
    return _("%(minutes)s min") % {"minutes": round(length / timedelta(minutes=1))}
