"""Where a rule of the planner begins and ends: what just fits, what just doesn't, and who is off."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time, timedelta
from decimal import Decimal

import pytest

from events.crew import assigning, people, rules
from events.models import CrewCall, Event, ShiftKind, Van
from events.planner import plan_requests, proposal, solver, span
from events.planner.accepting import accept_proposal
from events.planner.problem import Plan, Problem, VanSpace, Worker
from events.planner.span import find_span
from studio.models import Membership
from tests.events.planner.plan_checks import HOUR
from tests.events.planner.test_fixed_people import BY_HAND, job, problem, solved
from tests.people import House


@pytest.mark.parametrize(
    ("volume_m3", "longest_m", "fits"), [(2.0, 3.0, True), (2.01, 3.0, False), (2.0, 3.01, False)]
)
def test_a_load_as_big_as_the_van_goes_in(volume_m3: float, longest_m: float, fits: bool) -> None:
    van = VanSpace("v", "V", volume_m3=2.0, longest_m=3.0)
    carried = job("a", 0, HOUR, volume_m3=volume_m3, longest_m=longest_m, needs_van=True)
    assert van.holds(carried) is fits
    assert (solved(problem([carried], [Worker("w", "W")], (van,))).jobs["a"].van == "v") is fits


def test_a_gap_in_a_day_too_long_by_hand_is_left_free() -> None:
    """Eighteen hours from the first to the last of one person's day are by hand; two hours lie free in between."""
    what = problem(
        [
            job("early", 0, 4 * HOUR, fixed_people=BY_HAND),
            job("late", 14 * HOUR, 4 * HOUR, fixed_people=BY_HAND),
            job("between", 8 * HOUR, 2 * HOUR),
        ],
        [Worker("w", "W")],
    )
    assert solved(what).jobs["between"].people == ()


@pytest.mark.parametrize(
    ("cost", "bound", "proven", "gap"),
    [(12, 9, False, 0.25), (12, 12, False, 0.0), (12, 9, True, 0.0), (9, 0, False, 1.0)],
)
def test_how_far_a_plan_may_be_from_the_best(cost: int, bound: int, proven: bool, gap: float) -> None:
    assert Plan({}, cost, bound, proven, seconds=1.0).gap == pytest.approx(gap)


@pytest.mark.parametrize(
    ("events", "seconds"),
    [(plan_requests.A_FEW, solver.LIMIT_SECONDS), (plan_requests.A_FEW + 1, plan_requests.LONG_SECONDS)],
)
def test_more_than_a_few_events_are_planned_for_longer(
    wickerlark: House, agreed: Event, monkeypatch: pytest.MonkeyPatch, events: int, seconds: float
) -> None:
    asked: list[float] = []

    def ask(_work: object, _days: object, *, seconds: float) -> str:
        asked.append(seconds)
        return "name"

    monkeypatch.setattr(span, "count_agreed", lambda *_: events)
    monkeypatch.setattr(type(plan_requests.PLAN), "ask", ask)
    with wickerlark.enter():
        people.change_person(crew_person(wickerlark, "crew"), is_called=True)
        day = agreed.ready_by.date()
        plan_requests.request_plan(day, day, wickerlark.studio)
    assert asked == [seconds]


def test_the_solver_gives_out_no_plan_that_fails_its_own_check(monkeypatch: pytest.MonkeyPatch) -> None:
    what = problem([job("a", 0, HOUR)], [Worker("w", "W")])
    best = solved(what)

    def too_sure(_: Problem, *__: object) -> tuple[dict[str, object], int]:
        return dict(best.jobs), best.cost + 1

    monkeypatch.setattr(solver, "_solve_model", too_sure)
    with pytest.raises(solver.WrongPlan, match="no plan costs less"):
        solver.solve(what, seconds=1, workers=1)


@pytest.fixture
def day(wickerlark: House, agreed: Event) -> date:
    """The day of the agreed event, three people who can do everything, and a van."""
    with wickerlark.enter():
        for role in ("crew", "staff", "owner"):
            people.change_person(crew_person(wickerlark, role), is_called=True, lead=True, driver=True)
        people.save_van(Van(), name="Van 1", seats=3)
        rules.change_rules(daily_rest_hours=Decimal(8))
    return agreed.ready_by.astimezone(wickerlark.studio.tz).date()


def crew_person(house: House, role: str) -> people.CrewPerson:
    return people.find_person(Membership.objects.get(person=house.person(role)).pk)


def can_come(house: House, day: date) -> bool:
    """Whether somebody could be on the install of that day, whenever it begins."""
    problem = find_span(day, day, house.studio).problem
    (install,) = (each for each in problem.jobs if each.key.endswith("install"))
    (worker,) = (each for each in problem.workers if each.name == house.person("crew").name)
    first, last = install.earliest, install.latest + install.length
    return not any(begin < last and first < end for begin, end in worker.off)


def takes_the_day_off(house: House, day: date) -> None:
    people.take_days_off(crew_person(house, "crew"), first_day=day, last_day=day)


def never_works_on_it(house: House, day: date) -> None:
    weekdays = "".join("0" if number == day.weekday() else "1" for number in range(7))
    people.change_person(crew_person(house, "crew"), weekdays=weekdays)


def is_there_in_the_small_hours(house: House, day: date) -> None:
    people.change_person(crew_person(house, "crew"), from_time=time(1), to_time=time(3))


def is_there_all_day(house: House, day: date) -> None:
    people.change_person(crew_person(house, "crew"), from_time=time(0, 0), to_time=time(23, 59))


def was_away_days_before_and_after(house: House, day: date) -> None:
    for other in (day - timedelta(days=3), day + timedelta(days=3)):
        people.take_days_off(crew_person(house, "crew"), first_day=other, last_day=other)


@pytest.mark.parametrize(
    ("away", "comes"),
    [
        (takes_the_day_off, False),
        (never_works_on_it, False),
        (is_there_in_the_small_hours, False),
        (is_there_all_day, True),
        (was_away_days_before_and_after, True),
    ],
)
def test_nobody_is_planned_for_hours_in_which_they_are_off(
    wickerlark: House, day: date, away: Callable[[House, date], None], comes: bool
) -> None:
    with wickerlark.enter():
        away(wickerlark, day)
        assert can_come(wickerlark, day) is comes


def test_whoever_has_not_answered_and_is_not_in_the_plan_is_no_longer_asked(
    wickerlark: House, agreed: Event, day: date
) -> None:
    with wickerlark.enter():
        gone = crew_person(wickerlark, "crew")
        call = assigning.assign_person(agreed.pk, ShiftKind.INSTALL, gone.membership.pk)
        CrewCall.objects.filter(pk=call.pk).update(fixed=False)
        people.take_days_off(gone, first_day=day - timedelta(days=1), last_day=day + timedelta(days=1))
        made = proposal.make_proposal(day, day, wickerlark.studio, seconds=0.3)
        accept_proposal(made.sealed, [line.key for line in made.lines])
        assert not CrewCall.objects.filter(pk=call.pk).exists()
        assert CrewCall.objects.filter(shift=call.shift_id).count() == 2
