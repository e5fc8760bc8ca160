"""An event's crew as its page shows it: each shift with its people, its tour and its conflicts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from events.crew import people
from events.crew.people import CrewPerson
from events.crew.shifts import planned_shifts
from events.day_plan import work_plan
from events.models import Answer, Event, Shift, ShiftKind, Van
from events.schedule import conflicts
from events.schedule.roster import Roster, RosterCall, RosterShift, read_roster
from studio.models import Studio


@dataclass(frozen=True, slots=True)
class ShownShift:
    """One shift, what is wrong with it, and who else could be assigned."""

    shift: Shift
    calls: Sequence[RosterCall]
    conflicts: Sequence[str]
    people: Sequence[CrewPerson]
    comes_from: RosterShift | None
    goes_on_to: RosterShift | None

    @property
    def with_van(self) -> bool:
        """Whether a van may go: not for prep at the studio."""
        return self.shift.kind != ShiftKind.PREP


@dataclass(frozen=True, slots=True)
class ShownCrew:
    """Everything on an event's crew page."""

    shifts: Sequence[ShownShift]
    vans: Sequence[Van]
    faults: Sequence[work_plan.Fault]
    has_people: bool

    @property
    def has_uncalled(self) -> bool:
        """Whether somebody is assigned who hasn't been asked."""
        return any(call.answer == Answer.NOT_ASKED for each in self.shifts for call in each.calls)


def show_crew(event: Event, studio: Studio) -> ShownCrew:
    """Gather the event's shifts. As many queries however many people are on them."""
    plan = work_plan.work_plan(event, studio)
    shifts = planned_shifts(plan)
    roster = read_roster(event.hold_window(), studio)
    found = conflicts.find_conflicts(roster)
    everybody, vans = people.people_and_vans()
    called = [who for who in everybody if who.member.is_called]
    return ShownCrew(
        [_shown_shift(shift, roster, found.get(shift.pk or 0, []), called) for shift in shifts],
        vans,
        plan.faults,
        bool(called),
    )


# --- Private ---


def _shown_shift(
    shift: Shift, roster: Roster, found: Sequence[str], called: Sequence[CrewPerson]
) -> ShownShift:
    calls = roster.calls.get(shift.pk or 0, [])
    taken = {call.member_id for call in calls}
    return ShownShift(
        shift,
        calls,
        found,
        [who for who in called if who.member.pk not in taken],
        comes_from=next((each for each in roster.shifts if each.pk == shift.comes_from_id), None),
        goes_on_to=next(
            (each for each in roster.shifts if shift.pk and each.comes_from_id == shift.pk), None
        ),
    )
