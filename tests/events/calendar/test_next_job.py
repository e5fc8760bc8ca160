"""The next job on the opening page: whose it is, when, and what is named after it."""

from __future__ import annotations

from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone

from events.booking import stages
from events.calendar.next_job import find_next_jobs
from events.jobs import calling_off
from events.loadout import returns
from events.models import Answer, CrewCall, CrewMember, Event, Shift, ShiftKind, Stage
from studio import tenancy
from tests.events.conftest import address, agree, days_ahead, take
from tests.people import House


def promised(title: str, days: int) -> Event:
    """An agreed event so many days ahead, with nothing on its bill."""
    event = take(title, ready_by=days_ahead(days))
    agree(event, bill=())
    event.refresh_from_db()
    return event


def called(event: Event, house: House, answer: Answer = Answer.YES) -> Shift:
    """The install of that event, with somebody of the crew on it."""
    member, _ = CrewMember.objects.get_or_create(person=house.crew)
    shift, _ = Shift.objects.get_or_create(
        event=event,
        kind=ShiftKind.INSTALL,
        defaults={"starts_at": event.load_out_at, "ends_at": event.ready_by},
    )
    CrewCall.objects.create(
        shift=shift, member=member, answer=answer, asked_at=timezone.now(), answered_at=timezone.now()
    )
    return shift


def test_the_soonest_agreed_event_comes_first_and_two_more_are_named(wickerlark: House) -> None:
    with wickerlark.enter():
        for title, days in (("Fourth", 9), ("Second", 3), ("Third", 6), ("First", 1)):
            promised(title, days)
        take("Only asked for", ready_by=days_ahead(2))
        assert [job.event.title for job in find_next_jobs()] == ["First", "Second", "Third"]


def test_what_is_called_off_or_counted_back_or_over_is_no_next_job(wickerlark: House) -> None:
    with wickerlark.enter():
        calling_off.call_off(promised("Called off", 2).pk)
        with tenancy.entered(wickerlark.studio.pk):  # the studio's own records may be of the past
            promised("Over", -3)
        done = promised("Counted", 1)
        for stage in (Stage.PREPARED, Stage.INSTALLED):
            stages.reach(done.pk, stage)
        returns.count_back(done.pk)
        assert find_next_jobs() == []


def test_crew_see_their_own_next_job_and_the_office_sees_what_goes_out_first(wickerlark: House) -> None:
    with wickerlark.enter():
        soon, later = promised("Soon", 1), promised("Later", 4)
        called(later, wickerlark)
    with wickerlark.enter("crew"):
        (job,) = find_next_jobs()
        assert job.event == later
        assert job.is_mine
        assert [call.member.person for shift in job.shifts for call in shift.calls.all()] == [wickerlark.crew]
    with wickerlark.enter("staff"):
        assert [(job.event, job.is_mine) for job in find_next_jobs()] == [(soon, False), (later, False)]


def test_who_said_no_is_not_going_and_sees_the_studios_jobs(wickerlark: House) -> None:
    with wickerlark.enter():
        event = promised("Soon", 1)
        called(event, wickerlark, Answer.NO)
    with wickerlark.enter("crew"):
        (job,) = find_next_jobs()
        assert not job.is_mine
        assert [list(shift.calls.all()) for shift in job.shifts] == [[]]


def test_the_count_comes_first_once_the_strike_may_begin_and_not_during_the_party(wickerlark: House) -> None:
    with wickerlark.enter():
        event = promised("Soon", 1)
        for stage in (Stage.PREPARED, Stage.INSTALLED):
            stages.reach(event.pk, stage)
    for moment, expected in ((event.ready_by, False), (event.strike_from, True)):
        with time_machine.travel(moment, tick=False), wickerlark.enter("crew"):
            (job,) = find_next_jobs()
            assert job.is_coming_back == expected


@pytest.mark.parametrize(("days", "word"), [(0, "Today"), (1, "Tomorrow"), (2, ""), (9, "")])
def test_a_job_of_today_or_tomorrow_says_so(wickerlark: House, days: int, word: str) -> None:
    with wickerlark.enter():
        event = promised("Soon", 20)
        noon = timezone.now().astimezone(event.tz).replace(hour=12, minute=0) + timedelta(days=days)
        Event.objects.filter(pk=event.pk).update(
            load_out_at=noon, access_from=noon, ready_by=noon + timedelta(hours=11), guests_from=None,
        )  # fmt: skip
        (job,) = find_next_jobs()
        assert job.day_word == word
        assert job.day == noon.date()


def test_the_opening_page_shows_it_and_other_days_do_not(wickerlark: House) -> None:
    with wickerlark.enter():
        called(promised("Library centenary", 1), wickerlark)
    browser = wickerlark.client("crew")
    page = browser.get(address(wickerlark, "week")).content.decode()
    assert "Your next job" in page
    assert wickerlark.crew.name in page
    another = browser.get(address(wickerlark, "week"), {"day": days_ahead(2).date().isoformat()})
    assert "Your next job" not in another.content.decode()
