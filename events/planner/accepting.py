"""Accepting a proposal, in whole or in part: people, vans and times of its shifts are saved. Answers of crew stay."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.core import signing
from django.db import transaction

from events.booking import event_lock, log
from events.crew import people as crew
from events.crew import shifts
from events.day_plan.work_plan import usual_back, usual_load_out
from events.jobs import changes
from events.models import Answer, CrewCall, CrewMember, Event, Shift, ShiftKind, Van
from events.planner import span as spans
from events.planner.problem import STEP
from events.planner.proposal import CannotPlan
from events.planner.seal import SealedLine, SealedProposal, unseal
from studio import tenancy
from studio.models import entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class Accepted:
    """How many shifts were accepted, and the first day that was planned."""

    number: int
    first_day: date | None


def accept_proposal(sealed: str, chosen: Collection[str]) -> Accepted:
    """Save the chosen shifts as proposed: all of them or none.

    Raises :class:`CannotPlan` where the proposal is old, an event was changed meanwhile, or somebody has said no.
    """
    require(Right.EDIT_EVENTS)
    content = _read(sealed)
    wanted = {line.key: line for line in content.lines if line.key in chosen}
    by_event: dict[int, list[SealedLine]] = {}
    for line in wanted.values():
        by_event.setdefault(line.event, []).append(line)
    with transaction.atomic():
        events = {event_id: event_lock.lock_event(event_id) for event_id in sorted(by_event)}
        for event_id, event in events.items():
            if event.version != by_event[event_id][0].version or event.is_off:
                raise CannotPlan(f"{event.title} was changed meanwhile. Plan again.")
        _refuse_half_a_tour(wanted, events)
        _save_shifts(wanted, events)
        for event_id, event in events.items():
            _set_journey(event, by_event[event_id])
            kinds = ", ".join(str(ShiftKind(line.kind).label) for line in by_event[event_id])
            log.record(event, f"Planned: {kinds}.")
    return Accepted(len(wanted), content.first or _first_day(content.lines))


# --- Private ---


def _read(sealed: str) -> SealedProposal:
    try:
        content = unseal(sealed)
    except signing.BadSignature:
        raise CannotPlan("This proposal is old. Plan again.") from None
    if content.studio != tenancy.current_studio_id():
        raise CannotPlan("This proposal is of another studio.")
    return content


def _first_day(lines: Sequence[SealedLine]) -> date | None:
    first = min((line.starts for line in lines), default=None)
    return first.astimezone(entered_studio().tz).date() if first else None


def _refuse_half_a_tour(wanted: Mapping[str, SealedLine], events: Mapping[int, Event]) -> None:
    """Two shifts on one tour are accepted together or not at all, and so are two that were on one."""
    for line in wanted.values():
        for other in (line.comes_from, line.goes_on_to):
            if other and other not in wanted:
                title = events[line.event].title
                raise CannotPlan(f"{title} is on one tour with another event: accept both, or neither.")
    keys = set(wanted)
    for shift in shifts.tour_shifts(events):
        first = shift.comes_from
        assert first is not None
        pair = {spans.job_key(each.event_id, each.kind) for each in (first, shift)}
        if pair & keys and not pair <= keys:
            raise CannotPlan(
                f"{first.event.title} and {shift.event.title} were on one tour: plan and accept both, or neither."
            )


def _save_shifts(wanted: Mapping[str, SealedLine], events: Mapping[int, Event]) -> None:
    rows = {key: shifts.saved_shift(events[line.event], ShiftKind(line.kind)) for key, line in wanted.items()}
    Shift.objects.filter(pk__in=[shift.pk for shift in rows.values()]).update(comes_from=None)
    for key, line in wanted.items():
        rows[key].comes_from = rows.get(line.comes_from)
        _save_times_and_van(rows[key], line)
        _save_people(rows[key], line, events[line.event])


def _save_times_and_van(shift: Shift, line: SealedLine) -> None:
    before = shift.window()
    if not shift.times_fixed and not line.keeps_times:
        shift.starts_at = line.starts
        shift.ends_at = line.starts + STEP * (line.minutes * 60 // STEP.seconds)
    if not shift.van_fixed:
        shift.van = Van.objects.filter(pk=line.van).first() if line.van else None
    shift.save(update_fields=["starts_at", "ends_at", "van", "comes_from"])
    # Who said no is not in the plan: for them nothing has changed.
    shifts.ask_again([(shift, before)], except_no=True)


def _save_people(shift: Shift, line: SealedLine, event: Event) -> None:
    """Assign who is in the plan. Who was assigned by hand, or has answered, stays with their answer."""
    on = {call.member_id: call for call in CrewCall.objects.filter(shift=shift)}
    wanted: dict[int, tuple[CrewMember, bool]] = {}
    for number in line.people:
        member = crew.saved_member(crew.find_person(number))
        wanted[member.pk] = member, number == line.driver
    for pk, (member, drives) in wanted.items():
        call = on.get(pk)
        if call is None:
            CrewCall.objects.create(shift=shift, member=member, drives=drives)
        elif call.answer == Answer.NO:
            raise CannotPlan(f"{member.person.name} has said no to {event.title} meanwhile. Plan again.")
        elif call.drives != drives and not call.fixed:
            call.drives = drives
            call.save(update_fields=["drives"])
    for pk, call in on.items():
        if pk not in wanted and not call.fixed and call.answer not in (Answer.YES, Answer.NO):
            call.delete()


def _set_journey(event: Event, lines: Sequence[SealedLine]) -> None:
    """Let the event's things be out as long as its tours take, and no longer where there is none any more."""
    load_out_at, back_at = event.load_out_at, event.back_at
    for line in lines:
        if line.kind == ShiftKind.INSTALL:
            usual = usual_load_out(event)
            load_out_at = min(usual, line.out_from) if line.out_from else usual
        elif line.kind == ShiftKind.STRIKE:
            usual = usual_back(event)
            back_at = max(usual, line.out_until) if line.out_until else usual
    try:
        changes.set_journey(event, load_out_at, back_at)
    except changes.CannotMove as refusal:
        words = f"On that tour the things of {event.title} would be out longer:"
        raise CannotPlan([words, *refusal.messages]) from refusal
