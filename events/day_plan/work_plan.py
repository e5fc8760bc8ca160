"""The work plan of an event's day: worked back from "ready by", with the people there are and the slack left.

Prep ends when loading starts and never begins before balloons would be too old when guests come; the install
starts when the venue lets the crew in and must be done by "ready by"; the strike starts when the guests leave.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

from events.booking.event_times import LOADING, UNLOADING
from events.contacts.drives import USUAL_DRIVE_MINUTES
from events.day_plan import task_sharing, working_hours
from events.day_plan.task_sharing import Shared
from events.day_plan.working_hours import WorkingHours
from events.models import Answer, CrewCall, Event, ShiftKind, WorkRow, WorkRules
from studio.measures.times import Window
from studio.models import Studio
from studio.models.dates import moment_written
from studio.trade.critical_path import Times, critical, passes

MINUTE: Final = timedelta(minutes=1)
MOST_HANDS: Final = 30
ROOM: Final = timedelta(minutes=30)
"""Room for what slips before the crew goes (common practice, no source)."""
LOOK_BACK: Final = timedelta(days=21)
"""How far before the event working hours are laid out; prep that doesn't fit there is no day's work."""


@dataclass(frozen=True, slots=True)
class Step:
    """One task on the clock."""

    kind: ShiftKind
    name: str
    people: int
    starts_at: datetime
    ends_at: datetime
    latest_start: datetime
    slack: timedelta
    is_critical: bool

    @property
    def slack_minutes(self) -> int:
        """Whole minutes that it may start later without missing the end; less than nought: it is late."""
        return int(self.slack / timedelta(minutes=1) // 1)


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that cannot be, and what would solve it."""

    kind: ShiftKind
    words: str


@dataclass(frozen=True, slots=True)
class WorkPlan:
    """Every step in order of time, and what cannot be."""

    event: Event
    steps: tuple[Step, ...]
    faults: tuple[Fault, ...]
    people: Mapping[ShiftKind, int]
    rules: WorkRules
    fresh_from: datetime
    """Before this, what is inflated would be too old when it must be ready."""
    washing_minutes: float = 0.0
    """Of one person, after the event, in no shift."""

    def of(self, kind: ShiftKind) -> tuple[Step, ...]:
        """The steps of one shift."""
        return tuple(step for step in self.steps if step.kind == kind)

    def span(self, kind: ShiftKind) -> Window | None:
        """From the first step of a shift to the end of its last."""
        steps = self.of(kind)
        if not steps:
            return None
        return Window(min(step.starts_at for step in steps), max(step.ends_at for step in steps))

    @property
    def leaves(self) -> datetime:
        """When the install's crew leaves the venue: done, with room for what slips; "ready by" at the latest."""
        return self._done(ShiftKind.INSTALL, self.event.ready_by)

    @property
    def leaves_for_good(self) -> datetime:
        """When the strike's crew leaves the venue: "out by" at the latest."""
        return self._done(ShiftKind.STRIKE, self.event.out_by)

    def _done(self, kind: ShiftKind, latest: datetime) -> datetime:
        span = self.span(kind)
        return min(span.end + ROOM, latest) if span else latest


def drive_to(event: Event) -> timedelta:
    """How long the drive to the event's venue takes."""
    minutes = event.venue.drive_minutes if event.venue else USUAL_DRIVE_MINUTES
    return timedelta(minutes=minutes)


def usual_load_out(event: Event) -> datetime:
    """When loading for it starts where its van comes from the studio; a round may have made it earlier."""
    return max(event.load_out_at, event.access_from - drive_to(event) - LOADING)


def usual_back(event: Event) -> datetime:
    """When it is back where its van goes to the studio at once; a round may have made it later."""
    return min(event.back_at, event.out_by + drive_to(event) + UNLOADING)


def work_plan(event: Event, studio: Studio) -> WorkPlan:
    """The plan of one event, with the people called to it, or as many as usual."""
    return work_plans([event], studio)[event.pk]


def usual_people(rule: WorkRules) -> dict[ShiftKind, int]:
    """How many people the studio usually has on each kind of shift."""
    return {
        ShiftKind.PREP: rule.prep_people,
        ShiftKind.INSTALL: rule.install_people,
        ShiftKind.STRIKE: rule.strike_people,
    }


def work_plans(
    events: Sequence[Event], studio: Studio, *, with_full_crews: bool = False
) -> dict[int, WorkPlan]:
    """The plan of each event, by its primary key. Three queries, however many events.

    ``with_full_crews`` it counts on the usual number where fewer have been called so far.
    """
    ids = [event.pk for event in events]
    minutes: dict[int, dict[str, float]] = {pk: {} for pk in ids}
    called: dict[int, dict[str, int]] = {pk: {} for pk in ids}
    on = CrewCall.objects.filter(shift__event__in=ids).exclude(answer=Answer.NO)
    work = WorkRow.objects.filter(event__in=ids).values_list("event_id", "task", "minutes")
    for event_id, task, spent in work:
        minutes[event_id][task] = float(spent)
    for event_id, kind in on.values_list("shift__event_id", "shift__kind"):
        called[event_id][kind] = called[event_id].get(kind, 0) + 1
    rule = WorkRules.objects.first() or WorkRules()
    if with_full_crews:
        for people in called.values():
            people.update(
                {kind: max(people.get(kind, 0), usual) for kind, usual in usual_people(rule).items()}
            )
    return {event.pk: planned(event, minutes[event.pk], rule, studio, called[event.pk]) for event in events}


def planned(
    event: Event,
    minutes: Mapping[str, float],
    rule: WorkRules,
    studio: Studio,
    called: Mapping[str, int] | None = None,
) -> WorkPlan:
    """The plan, from minutes of one person by task, and the people ``called`` to each shift."""
    usual = usual_people(rule)
    crew = {kind: (called or {}).get(kind, 0) or usual[kind] for kind in ShiftKind}
    fresh_from = event.ready_by - timedelta(hours=float(rule.fresh_hours))
    hours = studio_hours(event.load_out_at - LOOK_BACK, event.load_out_at, studio)
    shifts = (
        _prep(event, minutes, crew[ShiftKind.PREP], hours, fresh_from),
        _on_site(event, ShiftKind.INSTALL, minutes, crew[ShiftKind.INSTALL]),
        _on_site(event, ShiftKind.STRIKE, minutes, crew[ShiftKind.STRIKE]),
    )
    steps = sorted(
        (step for found, _ in shifts for step in found), key=lambda step: (step.starts_at, step.ends_at)
    )
    faults = tuple(fault for _, fault in shifts if fault)
    washing = minutes.get(task_sharing.WASH, 0.0)
    return WorkPlan(event, tuple(steps), faults, crew, rule, fresh_from, washing)


def studio_hours(start: datetime, end: datetime, studio: Studio) -> WorkingHours:
    """The studio's working days between two moments."""
    zone = studio.tz
    return working_hours.daily(
        start.astimezone(zone).date(),
        end.astimezone(zone).date(),
        studio.day_starts,
        studio.day_ends,
        zone,
    )


# --- Private ---


def _prep(
    event: Event, minutes: Mapping[str, float], crew: int, hours: WorkingHours, fresh_from: datetime
) -> tuple[list[Step], Fault | None]:
    shared = task_sharing.shared_out(ShiftKind.PREP, minutes, crew)
    done_by = _prep_done_by(event, shared.minutes, hours, fresh_from)
    room = hours.minutes_between(fresh_from, done_by)
    times = passes(shared.activities, finish=room)

    def clock(minute: float) -> datetime:
        """The moment at which so many working minutes of the room have gone by."""
        return hours.back(done_by, room - minute)

    # As late as can be: the fresher the better.
    steps = [
        _step(ShiftKind.PREP, name, shared, each, clock(each.late_start), clock(each.late_finish), clock)
        for name, each in times.items()
    ]
    if shared.minutes <= room:
        return steps, None
    enough = _enough(ShiftKind.PREP, minutes, crew, room)
    way = (
        f"{enough} people would do"
        if enough
        else "more people alone won't do: let balloons be inflated earlier, or load later"
    )
    words = (
        f"Prep takes {_long(shared.minutes)} with {crew} at the studio, but from {_moment(fresh_from, event)}, when "
        f"inflating may begin, until loading there are {_long(room)} of working time: {way}."
    )
    return steps, Fault(ShiftKind.PREP, words)


def _prep_done_by(event: Event, minutes: float, hours: WorkingHours, fresh_from: datetime) -> datetime:
    """When prep ends: as loading starts, or at the close of the day before where it would be torn in two by a night."""
    before = [window for window in hours.windows if window.start < event.load_out_at]
    if not before or (min(before[-1].end, event.load_out_at) - before[-1].start) / MINUTE >= minutes:
        return event.load_out_at
    whole = [
        window for window in before[:-1] if window.end - minutes * MINUTE >= max(window.start, fresh_from)
    ]
    return whole[-1].end if whole else event.load_out_at


def _on_site(
    event: Event, kind: ShiftKind, minutes: Mapping[str, float], crew: int
) -> tuple[list[Step], Fault | None]:
    start, end = (
        (event.access_from, event.ready_by)
        if kind == ShiftKind.INSTALL
        else (event.strike_from, event.out_by)
    )
    shared = task_sharing.shared_out(kind, minutes, crew)
    room = (end - start) / timedelta(minutes=1)
    times = passes(shared.activities, finish=room)

    def clock(minute: float) -> datetime:
        return start.astimezone(UTC) + timedelta(minutes=minute)

    # As early as can be: what is left over stands before the guests come, not after.
    steps = [
        _step(kind, name, shared, each, clock(each.early_start), clock(each.early_finish), clock)
        for name, each in times.items()
    ]
    if shared.minutes <= room:
        return steps, None
    enough = _enough(kind, minutes, crew, room)
    if kind == ShiftKind.INSTALL:
        from_ = end - timedelta(minutes=shared.minutes)
        ways = [f"come in from {_moment(from_, event)}"]
        opening = f"The install takes {_long(shared.minutes)} with {crew}, but access and “ready by” are"
    else:
        until = start + timedelta(minutes=shared.minutes)
        ways = [f"stay until {_moment(until, event)}"]
        opening = f"The strike takes {_long(shared.minutes)} with {crew}, but its start and “out by” are"
    if enough:
        ways.append(f"bring {enough}")
    return steps, Fault(kind, f"{opening} {_long(room)} apart: {' or '.join(ways)}.")


def _step(
    kind: ShiftKind,
    name: str,
    shared: Shared,
    times: Times,
    starts_at: datetime,
    ends_at: datetime,
    clock: Callable[[float], datetime],
) -> Step:
    return Step(
        kind=kind,
        name=name,
        people=shared.people[name],
        starts_at=starts_at,
        ends_at=ends_at,
        latest_start=clock(times.late_start),
        slack=timedelta(minutes=times.slack),
        is_critical=name in critical(passes(shared.activities)),
    )


def _enough(kind: ShiftKind, minutes: Mapping[str, float], crew: int, room: float) -> int | None:
    """The smallest number of people above ``crew`` with which it fits, if any number does."""
    return next(
        (
            more
            for more in range(crew + 1, MOST_HANDS + 1)
            if task_sharing.shared_out(kind, minutes, more).minutes <= room
        ),
        None,
    )


def _long(minutes: float) -> str:
    whole = max(0, round(minutes))
    return f"{whole // 60} h {whole % 60:02d} min" if whole >= 60 else f"{whole} min"


def _moment(moment: datetime, event: Event) -> str:
    there = moment.astimezone(event.tz)
    return moment_written(there)
