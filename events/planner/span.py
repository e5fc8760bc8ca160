"""From the studio's events, crew and vans of a span to the problem that is planned."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Final

from events.contacts.drives import drives_between
from events.crew import people as crew
from events.crew import shifts
from events.crew.people import CrewPerson
from events.day_plan import van_load, working_hours
from events.day_plan.work_plan import (
    WorkPlan,
    drive_to,
    studio_hours,
    usual_back,
    usual_load_out,
    usual_people,
    work_plans,
)
from events.models import Answer, CrewCall, Event, ShiftKind, Skill, Status, Van
from events.planner.problem import STEP, Job, Problem, VanSpace, Worker, in_steps
from events.planner.tours import in_whole_steps, possible_tours, ways_there_and_back
from events.schedule import conflicts
from events.schedule.roster import Roster, RosterShift, read_roster
from events.transfers import transfers
from studio.measures.times import Window
from studio.models import Studio
from studio.trade.packing import Packed

LEAD: Final = timedelta(days=3)
"""Prep may lie so long before the span."""
MOST_DAYS: Final = 10
MOST_EVENTS: Final = 60


@dataclass(frozen=True, slots=True)
class Span:
    """A problem, and what its keys stand for."""

    problem: Problem
    events: Mapping[int, Event]
    plans: Mapping[int, WorkPlan]
    people: Mapping[str, CrewPerson]
    vans: Mapping[str, Van]
    saved: Mapping[str, RosterShift]
    """By job's key, the shift as it is saved."""


def job_key(event_id: int, kind: str) -> str:
    """The key of an event's shift."""
    return f"{event_id}-{kind}"


def van_key(van_id: int) -> str:
    """The key of a van; a person with the same number has another."""
    return f"van {van_id}"


def event_and_kind(key: str) -> tuple[int, str]:
    """The event's primary key and the kind of a shift, from its key."""
    event_id, _, kind = key.partition("-")
    return int(event_id), kind


def find_span(first: date, last: date, studio: Studio) -> Span:
    """Everything agreed between two days. Fourteen queries, however many events."""
    window = _window(first, last, studio)
    events = {event.pk: event for event in _agreed(window)}
    for event in events.values():
        # A tour may have widened it; whether it is on one is what is planned here.
        event.load_out_at, event.back_at = usual_load_out(event), usual_back(event)
    plans = work_plans(list(events.values()), studio, with_full_crews=True)
    known = read_roster(window, studio)
    rules = known.rules
    everybody, vans = crew.people_and_vans()
    people = {str(who.membership.pk): who for who in everybody if who.member.is_called}
    origin = window.start - LEAD
    saved = {job_key(shift.event_id, shift.kind): shift for shift in known.shifts if shift.event_id in events}
    by_member = {who.member.pk: key for key, who in people.items() if who.member.pk}
    calls = _calls(saved.values())
    vans += _retired_vans_set_by_hand(saved.values(), vans)
    spaces = {van_key(van.pk): _space(van) for van in vans}
    loads = van_load.loads(events)
    drives = drives_between(event.venue for event in events.values() if event.venue)
    jobs: list[Job] = []
    of_job: dict[str, tuple[Event, ShiftKind]] = {}
    goes_on = {shift.comes_from_id for shift in saved.values()}
    for event_id, event in events.items():
        load = loads.get(event_id, Packed())
        for kind, window in shifts.planned_windows(plans[event_id]).items():
            key = job_key(event_id, kind)
            of_job[key] = (event, kind)
            job = _job(key, event, kind, window, plans[event_id], studio, origin, load, bool(spaces))
            jobs.append(
                _as_it_stands(
                    job,
                    saved.get(key),
                    calls.get(key, ()),
                    by_member,
                    origin,
                    goes_on,
                    rules.tolerance // STEP,
                )
            )
    end = window.end + LEAD
    workers = tuple(
        Worker(key, who.name, frozenset(who.member.skills), _off(who, known, origin, end, studio))
        for key, who in people.items()
    )
    problem = Problem(
        jobs=tuple(jobs),
        workers=workers,
        vans=tuple(spaces.values()),
        rest=in_whole_steps(timedelta(hours=float(rules.daily_rest_hours))),
        week=timedelta(hours=float(rules.weekly_hours)) // STEP,
        weekly_rest=in_whole_steps(rules.weekly_rest(is_european=studio.is_european)),
        origin=origin,
        taken=tuple(_taken(known, events, by_member, origin)),
        tours=possible_tours(jobs, of_job, drives, transfers.find_transfer_pairs(events.values())),
    )
    return Span(problem, events, plans, people, {van_key(van.pk): van for van in vans}, saved)


def count_agreed(first: date, last: date, studio: Studio) -> int:
    """How many events would be planned."""
    return len(_agreed(_window(first, last, studio)))


# --- Private ---


def _window(first: date, last: date, studio: Studio) -> Window:
    hours = working_hours.whole_days(first, last, studio.tz)
    return Window(hours.windows[0].start, hours.windows[-1].end)


def _agreed(window: Window) -> list[Event]:
    rows = Event.objects.select_related("venue").filter(
        status=Status.CONFIRMED, ready_by__gte=window.start, ready_by__lt=window.end
    )
    return list(rows.order_by("ready_by", "pk")[:MOST_EVENTS])


def _calls(saved: Iterable[RosterShift]) -> dict[str, list[CrewCall]]:
    """Everybody on the shifts, who said no as well."""
    keys = {shift.pk: job_key(shift.event_id, shift.kind) for shift in saved}
    found: dict[str, list[CrewCall]] = {}
    for call in CrewCall.objects.filter(shift__in=keys):
        found.setdefault(keys[call.shift_id], []).append(call)
    return found


def _space(van: Van) -> VanSpace:
    return VanSpace(
        van_key(van.pk),
        van.name,
        van.seats,
        None if van.load_m3 is None else float(van.load_m3),
        None if van.longest_m is None else float(van.longest_m),
        is_in_use=van.is_in_use,
    )


def _retired_vans_set_by_hand(saved: Iterable[RosterShift], in_use: Sequence[Van]) -> list[Van]:
    """Vans that go because somebody said so, though they aren't in use any more."""
    by_hand = {shift.van.pk: shift.van for shift in saved if shift.van and shift.van_fixed}
    return [van for pk, van in by_hand.items() if pk not in {van.pk for van in in_use}]


def _job(
    key: str,
    event: Event,
    kind: ShiftKind,
    window: Window,
    plan: WorkPlan,
    studio: Studio,
    origin: datetime,
    load: Packed,
    has_vans: bool,
) -> Job:
    start, end = in_steps(window, origin)
    slack = min((step.slack for step in plan.of(kind)), default=timedelta())
    may_slip = max(0, slack // STEP)
    prep = kind == ShiftKind.PREP
    needs_van = has_vans and not prep
    out, home = ways_there_and_back(kind, window, plan, origin)
    skills = [skill.value for skill in conflicts.needed_skills(event.working_height_m, kind)]
    job = Job(
        key=key,
        label=f"{event.title}: {kind.label}",
        earliest=start - may_slip if prep else start,
        latest=start if prep else start + may_slip,
        length=end - start,
        people_needed=usual_people(plan.rules)[kind],
        skills=(*skills, Skill.DRIVER.value) if needs_van else tuple(skills),
        needs_van=needs_van,
        volume_m3=load.volume_m3,
        longest_m=load.longest_m,
        out=out,
        home=home,
        drive=0 if prep else in_whole_steps(drive_to(event)),
        after=job_key(event.pk, ShiftKind.PREP) if kind == ShiftKind.INSTALL else "",
        late_is_better=prep,
    )
    return _in_working_hours(job, plan, studio, origin) if prep else job


def _in_working_hours(job: Job, plan: WorkPlan, studio: Studio, origin: datetime) -> Job:
    """Prep starts where it ends before the studio closes; what fits no day stays where the plan has it."""
    hours = studio_hours(plan.fresh_from, plan.event.load_out_at, studio)
    fresh = -((origin - plan.fresh_from) // STEP)
    spans = []
    for day in hours.windows:
        opens, closes = -((origin - day.start) // STEP), (day.end - origin) // STEP
        first, last = max(opens, fresh), min(closes - job.length, job.latest)
        if first <= last:
            spans.append((first, last))
    if not spans:
        return replace(job, earliest=job.latest)
    return replace(job, starts=tuple(spans), earliest=spans[0][0], latest=spans[-1][1])


def _as_it_stands(
    job: Job,
    shift: RosterShift | None,
    calls: Sequence[CrewCall],
    by_member: Mapping[int, str],
    origin: datetime,
    goes_on: Container[int | None],
    tolerance: int,
) -> Job:
    """With what was set by hand, what the last plan had, and what people answered: a yes is kept like a hand's work."""
    if shift is None:
        return job
    on = {by_member[call.member_id]: call for call in calls if call.member_id in by_member}
    said_no = frozenset(key for key, call in on.items() if call.answer == Answer.NO)
    said_yes = frozenset(key for key, call in on.items() if call.answer == Answer.YES)
    fixed = frozenset(key for key, call in on.items() if call.fixed) - said_no | said_yes
    van = van_key(shift.van_id) if shift.van_id else None
    job = replace(
        job,
        not_people=said_no,
        fixed_people=fixed,
        before_people=frozenset(on) - fixed - said_no,
        fixed_van=van if shift.van_fixed else None,
        before_van=None if shift.van_fixed else van,
    )
    if shift.van_fixed and van is None:
        job = _without_van(job)
    start, end = in_steps(shift.window, origin)
    if not shift.times_fixed:
        # Counted from its end: on a tour it began earlier or later than by itself.
        before_start = end - job.length + (job.home if shift.pk in goes_on else 0)
        return replace(job, before_start=before_start, answers=len(said_yes), tolerance=tolerance)
    return replace(
        job, fixed_start=start, earliest=start, latest=start, length=end - start, starts=(), out=0, home=0
    )


def _without_van(job: Job) -> Job:
    """Somebody said that no van goes, so nobody need drive one."""
    skills = tuple(skill for skill in job.skills if skill != Skill.DRIVER)
    return replace(job, needs_van=False, skills=skills)


def _off(
    who: CrewPerson, known: Roster, origin: datetime, end: datetime, studio: Studio
) -> tuple[tuple[int, int], ...]:
    member = who.member
    zone = studio.tz
    first, last = origin.astimezone(zone).date(), end.astimezone(zone).date()
    days_off = known.days_off.get(member.pk or 0, ())
    spans = []
    for day in working_hours.whole_days(first, last, zone).windows:
        shown = day.start.astimezone(zone).date()
        if not member.works_on(shown) or any(row.first_day <= shown <= row.last_day for row in days_off):
            spans.append(in_steps(day, origin))
        elif member.from_time and member.to_time:
            for opens, closes in ((time(), member.from_time), (member.to_time, time(23, 59))):
                if opens < closes:
                    hours = working_hours.daily(shown, shown, opens, closes, zone).windows[0]
                    spans.append(in_steps(hours, origin))
    return tuple(spans)


def _taken(
    known: Roster, events: Mapping[int, Event], by_member: Mapping[int, str], origin: datetime
) -> Iterable[tuple[str, int, int]]:
    """Whoever and whatever is out for events beside the span."""
    for shift in known.shifts:
        if shift.event_id in events:
            continue
        begin, end = in_steps(shift.window, origin)
        if shift.van_id:
            yield van_key(shift.van_id), begin, end
        for call in known.on(shift):
            if call.member_id in by_member:
                yield by_member[call.member_id], begin, end
