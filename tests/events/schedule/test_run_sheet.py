"""The run sheet: by the clock, without prices, for an event and for a person, on the phone and on paper."""

from __future__ import annotations

import io
from datetime import datetime, timedelta

import pdfplumber
import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from events.contacts import venues
from events.crew import assigning, people, shifts
from events.day_plan.work_plan import work_plan
from events.jobs import calling_off
from events.models import CrewMember, Event, ShiftKind
from events.schedule import run_sheet
from studio.models import Membership
from tests.events.conftest import agree, printed, stock_up, take
from tests.events.test_pages import counted
from tests.people import House


def membership(house: House, role: str) -> int:
    return Membership.objects.get(person=house.person(role)).pk


def test_lines_stand_in_order_of_time_and_marks_before_work(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        sheet = run_sheet.find_run_sheet(agreed, wickerlark.studio)
    keys = [(line.at, line.kind is not None) for line in sheet.lines]
    assert keys == sorted(keys)
    words = [line.what for line in sheet.lines]
    for earlier, later in (
        ("Latest time to wash covers", "Load the van"),
        ("prep", "Load the van"),
        ("Access", "install"),
        ("install", "Ready by"),
        ("Strike from", "strike"),
        ("strike", "Unload, count back, put away"),
    ):
        assert words.index(earlier) < words.index(later)
    loading = next(line for line in sheet.lines if line.what == "Load the van")
    assert loading.at == agreed.load_out_at


def test_a_person_sees_their_own_stretches_and_the_moments_between(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        assigning.assign_person(agreed.pk, ShiftKind.STRIKE, membership(wickerlark, "crew"))
        assigning.assign_person(agreed.pk, ShiftKind.PREP, membership(wickerlark, "staff"))
        member = CrewMember.objects.get(person=wickerlark.crew)
        (theirs,) = run_sheet.find_person_sheets(member, wickerlark.studio)
        assert {line.kind for line in theirs.sheet.lines} == {ShiftKind.STRIKE, None}
        assert "Ready by" not in [line.what for line in theirs.sheet.lines]
        assert [on.shift.kind for on in theirs.sheet.crew] == [ShiftKind.STRIKE]
        calling_off.call_off(agreed.pk)
        assert run_sheet.find_person_sheets(member, wickerlark.studio) == []


@pytest.mark.parametrize("role", ["owner", "staff", "crew"])
def test_everybody_opens_the_run_sheet_and_it_has_no_money_on_it(
    wickerlark: House, agreed: Event, role: str
) -> None:
    page = wickerlark.client(role).get(wickerlark.url("events:run-sheet", agreed.pk))
    assert page.status_code == 200
    text = page.content.decode()
    assert "Before you start" in text
    assert "$" not in text


def test_crew_see_the_clients_number_around_the_day_only(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        far = take("Far off", days=10, client_phone="+12025550101")
        soon = take("Soon", days=1, client_phone="+12025550101")
        soon_out = soon.load_out_at - timedelta(hours=1)
        for event in (far, soon):
            agree(event, key=f"k-{event.pk}")
    with time_machine.travel(soon_out):
        browser = wickerlark.client("crew")
        for event, seen in ((soon, True), (far, False)):
            address = wickerlark.url("events:run-sheet-contacts", event.pk)
            assert (
                f'hx-get="{address}"'
                in browser.get(wickerlark.url("events:run-sheet", event.pk)).content.decode()
            )
            for headers in ({}, {"HX-Request": "true"}):
                page = browser.get(address, headers=headers)
                assert (b"555-0101" in page.content) is seen
                assert (b"<html" in page.content) is (not headers)


def test_on_paper_it_says_the_same(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        venue = venues.add_venue(name="Reading room", address="Quay Street 3", access="Lift at the back")
        Event.objects.filter(pk=agreed.pk).update(venue=venue)
        assigning.assign_person(agreed.pk, ShiftKind.INSTALL, membership(wickerlark, "crew"))
    paper = printed(wickerlark, wickerlark.client("crew"), agreed, "run-sheet")
    with pdfplumber.open(io.BytesIO(paper)) as document:
        text = "\n".join(sheet.extract_text() for sheet in document.pages)
    for words in (
        "Library centenary",
        "Quay Street 3",
        "Lift at the back",
        wickerlark.crew.name,
        "Load the van",
    ):
        assert words in text
    assert "Local codes" in text


def test_pages_need_no_more_queries_with_more_events(wickerlark: House) -> None:
    browser = wickerlark.client()
    with wickerlark.enter():
        stock_up()
        number = membership(wickerlark, "crew")
        people.change_person(people.find_person(number), lead=True)

    def on_another(count: int) -> Event:
        with wickerlark.enter():
            event = take(f"Event {count}", days=3 + count, client_email=f"{count}@b.example")
            agree(event, key=f"k-{count}", bill=())
            for kind in ShiftKind:
                assigning.assign_person(event.pk, kind, number)
            return event

    first = on_another(0)
    paths = [
        wickerlark.url("events:person-run-sheet", number),
        wickerlark.url("events:run-sheet", first.pk),
        wickerlark.url("events:event-crew", first.pk),
        wickerlark.url("events:crew"),
        wickerlark.url("events:crew-member", number),
    ]
    few = [counted(browser, path) for path in paths]
    for count in range(1, 5):
        on_another(count)
    many = [counted(browser, path) for path in paths]
    assert few == many


def test_a_batch_of_run_sheets_takes_as_many_queries_as_one(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        other = take("Another", days=9, client_email="other@b.example")
        agree(other, key="other", bill=())
        counts = []
        for events in ([agreed], [agreed, other]):
            with CaptureQueriesContext(connection) as queries:
                run_sheet.find_run_sheets(events, wickerlark.studio)
            counts.append(len(queries))
    assert counts[0] == counts[1] <= 9


# --- Hours other than the plan's ------------------------------------------------------------------------------


def clock(house: House, event: Event) -> dict[str, datetime]:
    """When each line of the event's run sheet is, by its words."""
    sheet = run_sheet.find_run_sheet(Event.objects.get(pk=event.pk), house.studio)
    return {line.what: line.at for line in sheet.lines}


def test_the_clock_follows_the_hours_to_which_the_crew_was_called(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        before = clock(wickerlark, agreed)
        planned = shifts.planned_windows(work_plan(agreed, wickerlark.studio))
        window = planned[ShiftKind.INSTALL]
        hour = timedelta(hours=1)
        assigning.set_times(agreed.pk, ShiftKind.INSTALL, window.start + hour, window.end + hour)
        after = clock(wickerlark, agreed)
        work = {step.name for step in work_plan(agreed, wickerlark.studio).of(ShiftKind.INSTALL)}
    assert work
    for words in ("Load the van", *work):
        assert after[words] == before[words] + hour
    for words in ("Access", "Ready by", "Strike from"):
        assert after[words] == before[words]


def test_hours_that_only_leave_more_room_move_nothing(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        before = clock(wickerlark, agreed)
        for kind, window in shifts.planned_windows(work_plan(agreed, wickerlark.studio)).items():
            room = timedelta(minutes=40)
            assigning.set_times(agreed.pk, kind, window.start - room, window.end + room)
        assert clock(wickerlark, agreed) == before


def test_prep_that_was_put_earlier_is_earlier_on_the_sheet_and_may_slip_by_as_much(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        window = shifts.planned_windows(work_plan(agreed, wickerlark.studio))[ShiftKind.PREP]
        earlier = timedelta(hours=2)
        assigning.set_times(agreed.pk, ShiftKind.PREP, window.start - earlier, window.end - earlier)
        sheet = run_sheet.find_run_sheet(Event.objects.get(pk=agreed.pk), wickerlark.studio)
        plan = work_plan(agreed, wickerlark.studio)
    usual = {step.name: step for step in plan.of(ShiftKind.PREP)}
    shown = [line.step for line in sheet.lines if line.step and line.kind == ShiftKind.PREP]
    assert len(shown) == len(usual) > 0
    for step in shown:
        off = usual[step.name].starts_at - step.starts_at
        assert off == earlier
        assert step.slack == usual[step.name].slack + off
