"""Conflicts of the crew and vans of shifts, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Final

from events.day_plan import rest
from events.models import Answer, CrewMember, DayOff, ShiftKind, Skill
from events.schedule.roster import Roster, RosterShift
from studio.measures import lengths
from studio.measures.times import Window
from studio.models import Studio
from studio.models.dates import time_written, weekday_written
from studio.trade.packing import Packed
from studio.trade.working_height import needs_ladder

QUARTER: Final = timedelta(minutes=15)
SET_BY_HAND: Final = " It was set by hand or has a yes: a plan keeps that."


def find_conflicts(known: Roster) -> dict[int, list[str]]:
    """Find what is wrong with each shift, by its primary key."""
    found: dict[int, list[str]] = {}

    def add(shift: RosterShift, words: str) -> None:
        lines = found.setdefault(shift.pk, [])
        if words not in lines:
            lines.append(words)

    for shift in known.shifts:
        for words in (*_of_itself(shift, known), *_of_its_people(shift, known)):
            add(shift, words)
    people = _bookings_of_people(known)
    _tours(known, add)
    _prep_too_late(known, add)
    _twice_at_once(known, [*people, *_bookings_of_vans(known)], add)
    _rest_and_week(known, people, add)
    return found


def needed_skills(working_height_m: Decimal | None, kind: ShiftKind | str) -> tuple[Skill, ...]:
    """What somebody on the shift must be able to do."""
    if kind == ShiftKind.PREP:
        return ()
    needed = [Skill.LEAD] if kind == ShiftKind.INSTALL else []
    if needs_ladder(working_height_m):
        needed.append(Skill.LADDER)
    return tuple(needed)


def off_words(member: CrewMember, window: Window, days_off: Iterable[DayOff], studio: Studio) -> str:
    """Why that member can't come then by their own hours and days; nothing where they can."""
    if not days_off and member.is_always_there:
        return ""
    start, end = (moment.astimezone(studio.tz) for moment in (window.start, window.end))
    last = (end - timedelta(microseconds=1)).date()
    for row in days_off:
        if row.first_day <= last and row.last_day >= start.date():
            return "has the day off"
    if not member.works_on(start.date()):
        return f"doesn't work on a {weekday_written(start, whole=True)}"
    if (
        member.from_time
        and member.to_time
        and (start.date() != last or start.time() < member.from_time or end.time() > member.to_time)
    ):
        return f"works {time_written(member.from_time)} to {time_written(member.to_time)} only"
    return ""


# --- Private ---

Add = Callable[[RosterShift, str], None]


def _of_itself(shift: RosterShift, known: Roster) -> list[str]:
    """Van and skills."""
    words = []
    calls = known.on(shift)
    van, load = shift.van, known.loads.get(shift.event_id, Packed())
    if van:
        if calls and not any(call.member.driver for call in calls):
            words.append(f"Nobody on it drives {van.name}.")
        if len(calls) > van.seats:
            words.append(f"{van.name} seats {van.seats}, and {len(calls)} are called.")
        if van.load_m3 is not None and load.volume_m3 > float(van.load_m3):
            words.append(
                f"The load takes about {load.volume_m3:.1f} m³; {van.name} holds {float(van.load_m3):.1f}."
            )
        if van.longest_m is not None and load.longest_m > float(van.longest_m):
            longest = lengths.written(Decimal(str(load.longest_m)), known.studio.units)
            takes = lengths.written(van.longest_m, known.studio.units)
            words.append(f"The longest piece is {longest}; {van.name} takes {takes}.")
    if calls:
        skills = frozenset[Skill]().union(*(call.skills for call in calls))
        words += [
            f"Nobody on it has the skill “{skill.label}”."
            for skill in needed_skills(shift.working_height_m, shift.kind)
            if skill not in skills
        ]
    return words


def _of_its_people(shift: RosterShift, known: Roster) -> list[str]:
    words = []
    for call in known.on(shift):
        why = off_words(call.member, shift.window, known.days_off.get(call.member_id, ()), known.studio)
        if why:
            words.append(f"{call.member.person.name} {why}.")
    return words


def _tours(known: Roster, add: Add) -> None:
    """A tour whose two shifts no longer have one van and one crew."""
    by_id = {shift.pk: shift for shift in known.shifts}
    for shift in known.shifts:
        first = by_id.get(shift.comes_from_id or 0)
        if first is None:
            continue
        lacks = []
        if first.van_id != shift.van_id:
            lacks.append("van")
        if {call.member_id for call in known.on(first)} != {call.member_id for call in known.on(shift)}:
            lacks.append("people")
        if lacks:
            add(
                shift, f"It comes directly from {_named(first)}, but not with the same {' and '.join(lacks)}."
            )
            add(first, f"It goes on to {_named(shift)}, but not with the same {' and '.join(lacks)}.")


@dataclass(slots=True)
class _Bookings:
    """Every shift that one person or van is on, and which of them were assigned by hand."""

    name: str
    shifts: list[RosterShift] = field(default_factory=list)
    by_hand: set[int] = field(default_factory=set)

    def add(self, shift: RosterShift, *, by_hand: bool) -> None:
        self.shifts.append(shift)
        if by_hand:
            self.by_hand.add(shift.pk)

    def hand_words(self, shifts: Iterable[RosterShift]) -> str:
        """Who is to mend it where the plan leaves all of these alone."""
        return SET_BY_HAND if all(shift.pk in self.by_hand for shift in shifts) else ""


def _bookings_of_people(known: Roster) -> list[_Bookings]:
    found: dict[int, _Bookings] = {}
    for shift in known.shifts:
        for call in known.on(shift):
            mine = found.setdefault(call.member_id, _Bookings(call.member.person.name))
            mine.add(shift, by_hand=call.fixed or call.answer == Answer.YES)
    return list(found.values())


def _bookings_of_vans(known: Roster) -> list[_Bookings]:
    found: dict[int, _Bookings] = {}
    for shift in known.shifts:
        if shift.van:
            mine = found.setdefault(shift.van.pk, _Bookings(shift.van.name))
            mine.add(shift, by_hand=shift.van_fixed)
    return list(found.values())


def _twice_at_once(known: Roster, bookings: Iterable[_Bookings], add: Add) -> None:
    """One person or one van in two places."""
    there_too: dict[int, str] = {}
    for mine in bookings:
        for number, first in enumerate(mine.shifts):
            for second in mine.shifts[number + 1 :]:
                if second.starts_at >= first.ends_at:
                    break
                hand_words = mine.hand_words((first, second))
                for here, there in ((first, second), (second, first)):
                    # A busy shift clashes with many: it is written once.
                    if there.pk not in there_too:
                        there_too[there.pk] = f"{_named(there)} too, {_span(there, known.studio)}"
                    add(here, f"{mine.name} is on {there_too[there.pk]}.{hand_words}")


def _rest_and_week(known: Roster, people: Iterable[_Bookings], add: Add) -> None:
    daily = timedelta(hours=float(known.rules.daily_rest_hours))
    weekly = known.rules.weekly_rest(is_european=known.studio.is_european)
    for mine in people:
        windows = [shift.window for shift in mine.shifts]
        _too_little_rest(known, mine, rest.too_little_rest(windows, daily, rest.DAY), daily, add)
        _too_little_rest(known, mine, rest.too_little_rest(windows, weekly, rest.WEEK), weekly, add)
        _too_many_hours(known, mine, windows, add)


def _too_little_rest(
    known: Roster, mine: _Bookings, blocks: Iterable[Window], least: timedelta, add: Add
) -> None:
    for block in blocks:
        span = _span_of(block, known.studio)
        _add_to_all(mine, block, f"{mine.name} would work {span} without {_hours(least)} of rest.", add)


def _too_many_hours(known: Roster, mine: _Bookings, windows: Sequence[Window], add: Add) -> None:
    most = timedelta(hours=float(known.rules.weekly_hours))
    worked, week = rest.fullest_week(windows)
    if week and worked > most:
        words = f"{mine.name} would work {_hours(worked)} in seven days; {_hours(most)} is the most."
        _add_to_all(mine, week, words, add)


def _add_to_all(mine: _Bookings, window: Window, words: str, add: Add) -> None:
    inside = [shift for shift in mine.shifts if shift.starts_at < window.end and window.start < shift.ends_at]
    said = words + mine.hand_words(inside)
    for shift in inside:
        add(shift, said)


def _prep_too_late(known: Roster, add: Add) -> None:
    """Prep that ends after its event's install begins; a plan's times are in whole quarters of an hour."""
    preps = {shift.event_id: shift for shift in known.shifts if shift.kind == ShiftKind.PREP}
    for shift in known.shifts:
        prep = preps.get(shift.event_id)
        if shift.kind == ShiftKind.INSTALL and prep and prep.ends_at - shift.starts_at > QUARTER:
            hand_words = SET_BY_HAND if prep.times_fixed or shift.times_fixed else ""
            add(shift, f"Prep ends {_short(prep.ends_at, known.studio)}, after this begins.{hand_words}")


def _named(shift: RosterShift) -> str:
    return f"{shift.title} ({shift.kind_words})"


def _span(shift: RosterShift, studio: Studio) -> str:
    return _span_of(shift.window, studio)


def _span_of(window: Window, studio: Studio) -> str:
    return f"{_short(window.start, studio)} to {_short(window.end, studio)}"


def _short(moment: datetime, studio: Studio) -> str:
    there = moment.astimezone(studio.tz)
    return f"{weekday_written(there)} {time_written(there)}"


def _hours(length: timedelta) -> str:
    minutes = round(length / timedelta(minutes=1))
    return f"{minutes // 60} h" + (f" {minutes % 60:02d} min" if minutes % 60 else "")
