"""The work plan: hands shared out, prep worked back through working hours, faults said with a way out."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import hypothesis.strategies as st
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given

from events.day_plan import task_sharing, work_plan, working_hours
from events.models import Event, ShiftKind, WorkRow, WorkRules
from studio.models import Studio
from studio.trade.critical_path import passes
from tests.people import House
from tests.quoting.craft.starter_designs import NAMES, worked

BERLIN = ZoneInfo("Europe/Berlin")
NEW_YORK = ZoneInfo("America/New_York")
MINUTES = {
    "Inflate and size": 60.0, "Tie pairs and quads": 40.0, "Make up fillers": 30.0, "String the garland": 30.0,
    "Set up frames": 24.0, "Dress covers": 12.0, "Hang the sign": 10.0, "Clips and tails": 8.0,
    "Hang the garland": 30.0, "Tie on big rounds": 10.0, "Wrap fillers": 20.0, "Florals": 40.0,
    "Take down balloons": 20.0, "Strip and pack frames": 12.0,
}  # fmt: skip


def at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 12, day, hour, minute, tzinfo=UTC)


def event_of(**moments: datetime) -> Event:
    facts = {
        "load_out_at": at(12, 10), "access_from": at(12, 12), "ready_by": at(12, 16), "strike_from": at(12, 22),
        "out_by": at(12, 23, 30), "back_at": at(13, 1), "zone": "UTC", **moments,
    }  # fmt: skip
    return Event(studio_id=1, title="Library centenary", **facts)


def rules_of(**facts: int) -> WorkRules:
    return WorkRules(studio_id=1, **facts)


def studio_of(**facts: object) -> Studio:
    return Studio(**{"zone": "UTC", "day_starts": time(8), "day_ends": time(20), **facts})


# --- Hands ----------------------------------------------------------------------------------------------------


def test_one_pair_of_hands_takes_the_sum_of_all_tasks() -> None:
    shared = task_sharing.shared_out(ShiftKind.PREP, MINUTES, 1)
    assert shared.minutes == pytest.approx(60 + 40 + 30 + 30)


def test_two_pairs_of_hands_never_do_three_things() -> None:
    shared = task_sharing.shared_out(ShiftKind.INSTALL, MINUTES, 2)
    # Worked by hand: frames 12, covers 6, then sign with both 5, clips by one 8, garland 15, rounds 5, fillers 10,
    # florals 20, and one look of 15.
    assert shared.minutes == pytest.approx(12 + 6 + 5 + 8 + 15 + 5 + 10 + 20 + 15)


minutes_of_tasks = st.dictionaries(
    st.sampled_from(sorted(task_sharing.TASKS)),
    st.floats(1, 500),
    min_size=1,
    max_size=len(task_sharing.TASKS),
)


@given(minutes_of_tasks, st.integers(1, 6), st.sampled_from(list(ShiftKind)), st.booleans())
def test_nobody_does_two_things_at_once_early_or_late(
    minutes: dict[str, float], crew: int, kind: ShiftKind, late: bool
) -> None:
    shared = task_sharing.shared_out(kind, minutes, crew)
    times = passes(shared.activities)
    spans = {
        name: (each.late_start, each.late_finish) if late else (each.early_start, each.early_finish)
        for name, each in times.items()
    }
    for start, _ in spans.values():
        busy = sum(
            shared.people[name] for name, (begin, end) in spans.items() if begin <= start + 1e-9 < end - 1e-9
        )
        assert busy <= crew
    total = sum(each.minutes * shared.people[each.name] for each in shared.activities)
    assert shared.minutes >= total / crew - 1e-6
    for name, (start, _) in spans.items():
        before = [each for each in task_sharing.TASKS.get(name, task_sharing.ELSE).after if each in spans]
        assert all(spans[each][1] <= start + 1e-6 for each in before)


def test_every_task_of_the_take_off_has_its_place() -> None:
    named = {task.name: task.phase for name in NAMES for task in worked(name).tasks}
    assert len(named) > 8
    assert {name: str(task_sharing.kind_of(name) or "washing") for name in named} == named


def test_everything_is_carried_in_before_frames_stand_and_out_when_they_are_packed() -> None:
    minutes = {**MINUTES, "Carry in": 40.0, "Carry out": 20.0}
    plan = work_plan.planned(event_of(), minutes, rules_of(), studio_of())
    (carry_in,) = [step for step in plan.steps if step.name == "Carry in"]
    (carry_out,) = [step for step in plan.steps if step.name == "Carry out"]
    (frames,) = [step for step in plan.steps if step.name == "Set up frames"]
    (packing,) = [step for step in plan.steps if step.name == "Strip and pack frames"]
    assert (carry_in.starts_at, carry_in.ends_at) == (at(12, 12), at(12, 12, 20))  # 40 minutes by two
    assert frames.starts_at == carry_in.ends_at
    assert carry_out.starts_at == packing.ends_at


def test_covers_are_washed_after_the_event_in_none_of_its_shifts() -> None:
    plan = work_plan.planned(event_of(), {**MINUTES, "Wash covers": 40.0}, rules_of(), studio_of())
    without = work_plan.planned(event_of(), MINUTES, rules_of(), studio_of())
    assert (plan.steps, plan.washing_minutes) == (without.steps, 40.0)


# --- Working hours --------------------------------------------------------------------------------------------


def test_work_that_ends_in_the_morning_began_the_evening_before() -> None:
    hours = working_hours.daily(date(2026, 12, 10), date(2026, 12, 12), time(8), time(20), ZoneInfo("UTC"))
    assert hours.back(at(12, 9), 120) == at(11, 19)
    assert hours.back(at(12, 3), 60) == at(11, 19)
    assert hours.minutes_between(at(11, 19), at(12, 9)) == 120
    assert hours.minutes_between(at(12, 9), at(11, 19)) == 0


@pytest.mark.parametrize(
    ("day", "zone", "length"),
    [
        # IANA time zone database 2026: clocks go forward on 29 March in Berlin, back on 25 October.
        (date(2026, 3, 29), BERLIN, 5 * 60),
        (date(2026, 10, 25), BERLIN, 7 * 60),
        (date(2026, 11, 1), NEW_YORK, 7 * 60),
    ],
)
def test_a_night_of_six_hours_has_one_less_or_more_when_clocks_change(
    day: date, zone: ZoneInfo, length: int
) -> None:
    hours = working_hours.daily(day, day, time(0), time(6), zone)
    assert hours.windows[0].length == timedelta(minutes=length)


@given(st.floats(0, 3000), st.integers(0, 60 * 24 * 3))
def test_working_back_and_counting_forward_agree(minutes: float, offset: int) -> None:
    hours = working_hours.daily(date(2026, 12, 1), date(2026, 12, 20), time(8), time(20), ZoneInfo("UTC"))
    end = at(15, 0) + timedelta(minutes=offset)
    start = hours.back(end, minutes)
    assert hours.minutes_between(start, end) == pytest.approx(minutes, abs=1e-3)


# --- The plan -------------------------------------------------------------------------------------------------


def test_prep_ends_when_loading_starts_and_the_install_begins_with_access() -> None:
    plan = work_plan.planned(event_of(), MINUTES, rules_of(), studio_of())
    prep, install, strike = (plan.span(kind) for kind in ShiftKind)
    assert prep is not None
    assert install is not None
    assert strike is not None
    assert prep.end == at(12, 10)
    assert install.start == at(12, 12)
    assert strike.start == at(12, 22)
    assert plan.faults == ()
    assert [step.name for step in plan.of(ShiftKind.INSTALL)][-1] == task_sharing.LOOK


def test_slack_is_the_time_left_before_ready_by() -> None:
    plan = work_plan.planned(event_of(), MINUTES, rules_of(), studio_of())
    # 96 minutes of work by two (see above) in a window of 240.
    frames = next(step for step in plan.steps if step.name == "Set up frames")
    assert (frames.slack_minutes, frames.is_critical) == (240 - 96, True)
    assert frames.latest_start == at(12, 12) + timedelta(minutes=144)


def test_a_bakery_that_opens_at_seven_is_prepared_the_evening_before() -> None:
    early = event_of(
        load_out_at=at(12, 2),
        access_from=at(12, 3),
        ready_by=at(12, 7),
        strike_from=at(12, 12),
        out_by=at(12, 14),
    )
    prep = work_plan.planned(early, MINUTES, rules_of(), studio_of()).span(ShiftKind.PREP)
    assert prep is not None
    assert prep.end == at(11, 20)


def test_prep_that_the_morning_has_no_room_for_is_done_the_day_before_in_one_piece() -> None:
    prep = work_plan.planned(event_of(load_out_at=at(12, 9)), MINUTES, rules_of(), studio_of()).span(
        ShiftKind.PREP
    )
    assert prep is not None
    assert (prep.start, prep.end) == (at(11, 18, 40), at(11, 20))  # 80 minutes by two


def test_the_faults_say_what_would_solve_them() -> None:
    much = {name: spent * 8 for name, spent in MINUTES.items()}
    plan = work_plan.planned(event_of(), much, rules_of(fresh_hours=8), studio_of())
    prep, install, strike = (fault.words for fault in plan.faults)
    assert "Prep takes 10 h 40 min with 2 at the studio" in prep
    assert "2 h 00 min of working time" in prep
    assert "come in from Sat Dec 12" in install or "come in from Fri Dec 11" in install
    assert "stay until" in strike


def test_more_hands_are_named_only_where_they_help() -> None:
    much = {"Inflate and size": 600.0}
    enough = work_plan.planned(event_of(), much, rules_of(), studio_of())
    assert enough.faults == ()  # 300 minutes by two, within a day
    short = work_plan.planned(event_of(), {"Inflate and size": 600.0}, rules_of(fresh_hours=10), studio_of())
    assert "4 people would do" not in short.faults[0].words  # 2 hours of working time: 150 by four
    assert "more people alone won't do" in short.faults[0].words
    some = work_plan.planned(event_of(), {"Inflate and size": 440.0}, rules_of(fresh_hours=8), studio_of())
    assert "4 people would do" in some.faults[0].words


def test_who_is_called_is_who_works() -> None:
    two = work_plan.planned(event_of(), MINUTES, rules_of(), studio_of())
    three = work_plan.planned(event_of(), MINUTES, rules_of(), studio_of(), {"install": 3})
    assert (two.people[ShiftKind.INSTALL], three.people[ShiftKind.INSTALL]) == (2, 3)
    shorter = three.span(ShiftKind.INSTALL)
    longer = two.span(ShiftKind.INSTALL)
    assert shorter is not None
    assert longer is not None
    assert shorter.length < longer.length


def test_an_event_with_no_work_written_down_has_an_empty_plan() -> None:
    plan = work_plan.planned(event_of(), {}, rules_of(), studio_of())
    assert (plan.steps, plan.faults, plan.span(ShiftKind.PREP)) == ((), (), None)


def test_the_plan_of_a_stored_event_takes_three_queries(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        WorkRow.objects.filter(event=agreed).delete()
        WorkRow.objects.bulk_create(WorkRow(event=agreed, task=t, minutes=m) for t, m in MINUTES.items())
        with CaptureQueriesContext(connection) as queries:
            plan = work_plan.work_plan(agreed, wickerlark.studio)
        assert len(queries) == 3
    assert len(plan.steps) == len(MINUTES) + 1
