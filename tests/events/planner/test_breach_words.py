"""What was set by hand and breaks a rule is said with who, where, and how much; nothing else is."""

from __future__ import annotations

from dataclasses import replace

from events.planner.breach_words import CHANGE_IT, NO_TIME, explain_breaches
from events.planner.problem import Assigned, Job, Plan, Problem, Worker
from tests.events.planner.plan_checks import HOUR
from tests.events.planner.test_fixed_people import BY_HAND, job, problem

DAY = 24 * HOUR
WORKERS = [Worker("w", "Rosa")]


def said(what: Problem) -> list[tuple[str, str]]:
    """What is said where every job starts as early as it may, with whom it has by hand."""
    done = {each.key: Assigned(each.earliest, tuple(each.fixed_people), each.fixed_van) for each in what.jobs}
    plan = Plan(done, cost=0, bound=0, is_optimal=False, seconds=0.0)
    return [(reason.lacks, reason.why) for reason in explain_breaches(what, plan)]


def days_of_work(number: int, hours: int) -> list[Job]:
    return [job(f"day {day}", day * DAY, hours * HOUR, fixed_people=BY_HAND) for day in range(number)]


def test_somebody_out_for_an_event_that_is_not_planned_here_is_named_with_the_shift() -> None:
    what = problem([job("a", 0, 4 * HOUR, fixed_people=BY_HAND)], WORKERS, taken=(("w", 2 * HOUR, 6 * HOUR),))
    assert said(what) == [("Rosa is on a, and out for another event then.", CHANGE_IT)]
    assert said(replace(what, taken=(("w", 20 * HOUR, 24 * HOUR),))) == []


def test_more_hours_than_a_week_has_are_told_with_both_numbers() -> None:
    assert said(problem(days_of_work(6, 8), WORKERS)) == []
    lines = said(problem(days_of_work(6, 9), WORKERS))
    assert lines
    assert all(line.startswith("Rosa works 54 h in 7 days; 48 h is the most: on ") for line, _ in lines)


def test_a_week_without_its_long_rest_is_told_where_the_law_asks_for_it() -> None:
    seven = problem(days_of_work(7, 6), WORKERS)
    assert said(seven) == []
    lines = said(replace(seven, weekly_rest=35 * HOUR))
    assert lines
    assert all(
        line.startswith("Rosa has less than 35 h of rest in one piece in 7 days: on ") for line, _ in lines
    )


def test_an_install_that_begins_before_its_prep_is_over_needs_other_times() -> None:
    prep = job("prep", 0, 4 * HOUR)
    what = problem([prep, job("install", 2 * HOUR, 4 * HOUR, after="prep")], WORKERS)
    assert said(what) == [("install begins before prep is over.", NO_TIME)]
    later = job("install", 4 * HOUR, 4 * HOUR, after="prep")
    assert said(problem([prep, later], WORKERS)) == []
