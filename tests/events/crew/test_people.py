"""Crew: who may change what, conflicts in plain words, the call and its answer."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import time, timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404
from django.test import Client as Browser
from django.utils import timezone

from events.booking.event_times import EventWindows
from events.crew import assigning, calls, people, rules, shifts
from events.day_plan import work_plan
from events.jobs import calling_off, changes
from events.models import Answer, CrewCall, CrewMember, DayOff, Event, Shift, ShiftKind, Van
from events.schedule import conflicts
from events.schedule.roster import read_roster
from studio import tenancy
from studio.models import Membership, OutboxEntry
from tests.events.conftest import agree, days_ahead, stock_up, take
from tests.people import House

INSTALL, STRIKE, PREP = ShiftKind.INSTALL, ShiftKind.STRIKE, ShiftKind.PREP


def membership(house: House, role: str) -> int:
    return Membership.objects.get(person=house.person(role)).pk


def wrong(house: House, event: Event, kind: ShiftKind) -> str:
    shift = Shift.objects.get(event=event, kind=kind)
    found = conflicts.find_conflicts(read_roster(event.hold_window(), house.studio))
    return " ".join(found.get(shift.pk, []))


def skilled(house: House, role: str, **facts: Any) -> CrewMember:
    return people.change_person(people.find_person(membership(house, role)), is_called=True, **facts)


def van(**facts: Any) -> Van:
    return people.save_van(Van(), **{"name": "Van 1", "seats": 3, **facts})


def moved(event: Event, **by: float) -> None:
    later = timedelta(**by)
    windows = EventWindows(
        event.access_from + later,
        event.ready_by + later,
        None,
        event.strike_from + later,
        event.out_by + later,
    )
    changes.move(event.pk, windows, seen_version=Event.objects.get(pk=event.pk).version)


# --- Who may ------------------------------------------------------------------------------------------------------


def test_staff_set_skills_but_never_see_or_set_pay(wickerlark: House) -> None:
    with wickerlark.enter("owner"):
        skilled(wickerlark, "crew", lead=True, pay_an_hour=Decimal("27.50"))
        number = membership(wickerlark, "crew")
    with wickerlark.enter("staff"):
        assert people.change_person(people.find_person(number), driver=True).skills == ("lead", "driver")
        with pytest.raises(PermissionDenied, match="Only an owner sees or changes pay"):
            people.change_person(people.find_person(number), pay_an_hour=Decimal(1))
    for role, seen in (("owner", True), ("staff", False)):
        page = wickerlark.client(role).get(wickerlark.url("events:crew-member", number))
        assert (b"27.50" in page.content) is seen
    refused = wickerlark.client("staff").post(
        wickerlark.url("events:crew-member", number),
        {"is_called": "on", "weekdays": ["0"], "pay_an_hour": "99"},
    )
    assert refused.status_code == 302
    with wickerlark.enter():
        assert CrewMember.objects.get().pay_an_hour == Decimal("27.50")


def test_crew_see_their_own_page_and_put_their_own_days_off_down(wickerlark: House) -> None:
    with wickerlark.enter():
        own, other = membership(wickerlark, "crew"), membership(wickerlark, "staff")
    browser = wickerlark.client("crew")
    day = (timezone.now() + timedelta(days=5)).date()
    assert browser.get(wickerlark.url("events:crew-member", own)).status_code == 200
    assert browser.get(wickerlark.url("events:crew-member", other)).status_code == 403
    assert browser.get(wickerlark.url("events:person-run-sheet", own)).status_code == 200
    assert browser.get(wickerlark.url("events:person-run-sheet", other)).status_code == 403
    assert browser.post(wickerlark.url("events:days-off-add", other), {"first_day": day}).status_code == 403
    assert browser.post(wickerlark.url("events:days-off-add", own), {"first_day": day}).status_code == 302
    changed = browser.post(wickerlark.url("events:crew-member", own), {"is_called": "on", "weekdays": ["0"]})
    assert changed.status_code == 403
    with wickerlark.enter():
        row = DayOff.objects.get()
        assert (row.first_day, row.last_day) == (day, day)


def test_hours_are_written_both_and_in_order_or_not_at_all(wickerlark: House) -> None:
    with wickerlark.enter():
        who = people.find_person(membership(wickerlark, "crew"))
        for hours, field in (
            ({"from_time": time(8), "to_time": None}, "to_time"),
            ({"from_time": None, "to_time": time(16)}, "from_time"),
            ({"from_time": time(16), "to_time": time(8)}, "to_time"),
        ):
            with pytest.raises(ValidationError) as refused:
                people.change_person(who, **hours)
            assert set(refused.value.message_dict) == {field}


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [(2, 1, "can't come before"), (1, 400, "more than a year"), (-9, -2, "are past")],
)
def test_days_off_that_cannot_be_meant_are_refused(
    wickerlark: House, first: int, last: int, words: str
) -> None:
    today = timezone.now().date()
    with wickerlark.enter():
        who = people.find_person(membership(wickerlark, "crew"))
        with pytest.raises(ValidationError, match=words) as refused:
            people.take_days_off(
                who, first_day=today + timedelta(days=first), last_day=today + timedelta(days=last)
            )
        assert set(refused.value.message_dict) == {"last_day"}
        assert not DayOff.objects.exists()


def test_crew_remove_their_own_days_off_and_nobody_else_s(wickerlark: House) -> None:
    day = timezone.now().date() + timedelta(days=3)
    with wickerlark.enter():
        who = people.find_person(membership(wickerlark, "staff"))
        of_staff = people.take_days_off(who, first_day=day, last_day=day)
    with wickerlark.enter("crew"):
        own = people.take_days_off(
            people.find_person(membership(wickerlark, "crew")), first_day=day, last_day=day
        )
        with pytest.raises(PermissionDenied):
            people.remove_days_off(of_staff.pk)
        people.remove_days_off(own.pk)
        with pytest.raises(Http404):
            people.remove_days_off(own.pk)
        assert list(DayOff.objects.all()) == [of_staff]


def test_days_off_the_wrong_way_round_are_refused_at_the_field(wickerlark: House) -> None:
    with wickerlark.enter():
        own = membership(wickerlark, "crew")
    today = timezone.now().date()
    page = wickerlark.client("crew").post(
        wickerlark.url("events:days-off-add", own),
        {"first_day": today + timedelta(days=3), "last_day": today + timedelta(days=1)},
    )
    assert page.status_code == 422
    assert b"The last day can&#x27;t come before the first." in page.content


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("daily_rest_hours", Decimal(25), "less than or equal to 24"),
        ("install_people", 0, "greater than or equal to 1"),
    ],
)
def test_rules_out_of_range_are_refused(wickerlark: House, field: str, value: Any, words: str) -> None:
    with wickerlark.enter(), pytest.raises(ValidationError, match=words):
        rules.change_rules(**{field: value})


def test_only_the_owner_changes_the_rules(wickerlark: House) -> None:
    with (
        wickerlark.enter("staff"),
        pytest.raises(PermissionDenied, match="doesn't allow you to edit the studio's profile"),
    ):
        rules.change_rules(daily_rest_hours=Decimal(9))
    with wickerlark.enter("owner"):
        rules.change_rules(daily_rest_hours=Decimal(9))
        assert rules.studio_rules().daily_rest_hours == 9


# --- Conflicts ----------------------------------------------------------------------------------------------------


def test_a_double_call_is_shown_on_both_events(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        skilled(wickerlark, "crew", lead=True, driver=True)
        other = take("Rowing club supper", client_email="club@rowing.example")
        agree(other, key="other")
        for event in (agreed, other):
            assigning.assign_person(event.pk, INSTALL, membership(wickerlark, "crew"))
        name = wickerlark.crew.name
        assert f"{name} is on Rowing club supper (load out and install) too" in wrong(
            wickerlark, agreed, INSTALL
        )
        assert f"{name} is on Library centenary (load out and install) too" in wrong(
            wickerlark, other, INSTALL
        )


def test_who_said_no_is_in_no_conflict(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        skilled(wickerlark, "crew")
        call = assigning.assign_person(agreed.pk, INSTALL, membership(wickerlark, "crew"))
        assert "Nobody on it has the skill “lead”" in wrong(wickerlark, agreed, INSTALL)
        CrewCall.objects.filter(pk=call.pk).update(answer=Answer.NO, asked_at=timezone.now())
        assert wrong(wickerlark, agreed, INSTALL) == ""


def test_a_strike_at_night_and_an_install_in_the_morning_leave_too_little_rest(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        skilled(wickerlark, "crew", lead=True)
        morning = take("Breakfast", ready_by=agreed.back_at + timedelta(hours=14), client_email="b@x.example")
        agree(morning, key="morning")
        assigning.assign_person(agreed.pk, STRIKE, membership(wickerlark, "crew"))
        assigning.assign_person(morning.pk, INSTALL, membership(wickerlark, "crew"))
        assert "without 11 h of rest" in wrong(wickerlark, morning, INSTALL)
        rules.change_rules(daily_rest_hours=Decimal(1))
        assert "rest" not in wrong(wickerlark, morning, INSTALL)


def test_what_was_assigned_by_hand_and_breaks_a_rule_is_said_so(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        skilled(wickerlark, "crew", lead=True)
        other = take("Rowing supper", client_email="club@rowing.example")
        agree(other, key="other")
        call = assigning.assign_person(agreed.pk, INSTALL, membership(wickerlark, "crew"))
        assigning.assign_person(other.pk, INSTALL, membership(wickerlark, "crew"))
        said = "is on Library centenary (load out and install) too"
        assert said in wrong(wickerlark, other, INSTALL)
        assert "It was set by hand or has a yes: a plan keeps that." in wrong(wickerlark, other, INSTALL)
        CrewCall.objects.filter(pk=call.pk).update(fixed=False)
        assert said in wrong(wickerlark, other, INSTALL)
        assert "by hand" not in wrong(wickerlark, other, INSTALL)


def test_a_week_without_a_day_of_rest_is_seen_where_that_is_the_law(
    wickerlark: House, federkorn: House
) -> None:
    """Six hours on seven days running: Directive 2003/88/EC asks for 35 in one piece, article 5 with article 3."""
    for house, words in ((wickerlark, ""), (federkorn, "without 35 h of rest")):
        with house.enter():
            skilled(house, "crew", lead=True)
            events = [take(f"Day {day}", days=10 + day) for day in range(7)]
            start = events[0].ready_by
            for day, event in enumerate(events):
                shift = shifts.saved_shift(event, INSTALL)
                begins = start + timedelta(days=day)
                Shift.objects.filter(pk=shift.pk).update(
                    starts_at=begins, ends_at=begins + timedelta(hours=6)
                )
                assigning.assign_person(event.pk, INSTALL, membership(house, "crew"))
            found = wrong(house, events[3], INSTALL)
            assert (words in found) if words else ("of rest" not in found)
            rules.change_rules(weekly_rest_hours=Decimal(0))
            assert "of rest" not in wrong(house, events[3], INSTALL)


def test_days_off_weekdays_and_hours_are_minded(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        member = skilled(wickerlark, "crew", lead=True)
        assigning.assign_person(agreed.pk, INSTALL, membership(wickerlark, "crew"))
        day = agreed.ready_by.astimezone(wickerlark.studio.tz).date()
        row = DayOff.objects.create(member=member, first_day=day, last_day=day)
        assert "has the day off" in wrong(wickerlark, agreed, INSTALL)
        row.delete()
        people.change_person(people.find_person(membership(wickerlark, "crew")), weekdays="0000000")
        assert "doesn't work on" in wrong(wickerlark, agreed, INSTALL)
        hours = {"from_time": "06:00", "to_time": "07:00"}
        people.change_person(people.find_person(membership(wickerlark, "crew")), weekdays="1111111", **hours)
        assert "works 6:00\u00a0am to 7:00\u00a0am only" in wrong(wickerlark, agreed, INSTALL)


def test_a_van_too_small_with_nobody_to_drive_it_is_seen(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        skilled(wickerlark, "crew", lead=True)
        small = van(load_m3=Decimal("0.10"), seats=1)
        assigning.assign_person(agreed.pk, INSTALL, membership(wickerlark, "crew"))
        assigning.assign_person(agreed.pk, INSTALL, membership(wickerlark, "staff"))
        assigning.assign_van(agreed.pk, INSTALL, small.pk)
        words = wrong(wickerlark, agreed, INSTALL)
        assert "Nobody on it drives Van 1." in words
        assert "Van 1 seats 1, and 2 are called." in words
        assert re.search(r"The load takes about \d+\.\d m³; Van 1 holds 0\.1\.", words)


def test_a_van_in_two_places_is_seen(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        other = take("Rowing club supper", client_email="club@rowing.example")
        agree(other, key="other")
        one = van()
        for event in (agreed, other):
            assigning.assign_van(event.pk, STRIKE, one.pk)
        assert "Van 1 is on Rowing club supper (strike and return) too" in wrong(wickerlark, agreed, STRIKE)


def test_prep_takes_no_van(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter(), pytest.raises(ValidationError, match="no van goes out"):
        assigning.assign_van(agreed.pk, PREP, van().pk)


# --- Moving -------------------------------------------------------------------------------------------------------


def test_stretches_follow_their_event_and_answers_are_asked_for_anew(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        call = assigning.assign_person(agreed.pk, INSTALL, membership(wickerlark, "crew"))
        CrewCall.objects.filter(pk=call.pk).update(answer=Answer.YES, asked_at=timezone.now())
        before = Shift.objects.get(event=agreed, kind=INSTALL)
        moved(agreed, hours=3)
        after = Shift.objects.get(event=agreed, kind=INSTALL)
        assert after.starts_at - before.starts_at == timedelta(hours=3)
        assert CrewCall.objects.get().answer == Answer.NOT_ASKED


def test_times_set_by_hand_stay_until_the_plan_may_move_them_again(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        early = agreed.load_out_at - timedelta(hours=1)
        assigning.set_times(agreed.pk, INSTALL, early, agreed.ready_by)
        moved(agreed, hours=3)
        assert Shift.objects.get(event=agreed, kind=INSTALL).starts_at == early
        assigning.restore_planned_times(agreed.pk, INSTALL)
        agreed.refresh_from_db()
        assert Shift.objects.get(event=agreed, kind=INSTALL).starts_at == agreed.load_out_at


def test_the_install_ends_where_a_strike_follows_at_once(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        ready = days_ahead(10)
        event = take(ready_by=ready)
        agree(event)
        event.refresh_from_db()
        windows = EventWindows(
            ready - timedelta(hours=1), ready, None, ready + timedelta(minutes=10), ready + timedelta(hours=2)
        )
        changes.move(event.pk, windows, seen_version=event.version)
        event.refresh_from_db()
        install, strike = (
            next(
                each
                for each in shifts.planned_shifts(work_plan.work_plan(event, wickerlark.studio))
                if each.kind == kind
            )
            for kind in (INSTALL, STRIKE)
        )
        assert install.ends_at == strike.starts_at == event.ready_by


# --- The call -----------------------------------------------------------------------------------------------------


@dataclass
class Called:
    """Somebody called, and the address in the e-mail."""

    call: CrewCall
    other: CrewCall
    address: str


@pytest.fixture
def called(wickerlark: House, agreed: Event) -> Called:
    with wickerlark.enter():
        call = assigning.assign_person(agreed.pk, INSTALL, membership(wickerlark, "crew"))
        other = assigning.assign_person(agreed.pk, STRIKE, membership(wickerlark, "crew"))
        asked = calls.ask(agreed.pk)
        assert asked == (wickerlark.crew.name,)
        assert calls.ask(agreed.pk) == ()
        entry = OutboxEntry.objects.get(task="events.mail_crew_call")
        assert set(entry.arguments) == {"call_id"}
    with tenancy.entered(wickerlark.studio.pk):
        calls.mail_call(call.pk)
    (letter,) = mail.outbox
    assert letter.to == [wickerlark.crew.email]
    address = re.search(r"https?://[^/\s]+(/c/\S+)", str(letter.body))
    assert address is not None
    return Called(call, other, address[1])


def answered(house: House) -> str:
    with house.enter():
        return CrewCall.objects.get(shift__kind=INSTALL).answer


def test_a_link_is_opened_and_yes_is_a_post(wickerlark: House, called: Called) -> None:
    browser = Browser()
    swapped = browser.get(called.address)
    assert swapped.status_code == 302
    clean = swapped["Location"]
    assert called.address.removeprefix("/c/") not in clean
    page = browser.get(clean)
    assert page.status_code == 200
    assert answered(wickerlark) == Answer.ASKED
    for nonsense in ("perhaps", "yes", "yes-0", f"maybe-{called.call.pk}"):
        assert browser.post(clean, {"answer": nonsense}).status_code == 422
    assert browser.post(clean, {"answer": f"yes-{called.call.pk}"}).status_code == 302
    assert answered(wickerlark) == Answer.YES
    assert browser.post(clean, {"answer": f"no-{called.call.pk}"}).status_code == 302
    assert answered(wickerlark) == Answer.NO
    with wickerlark.enter():
        assert CrewCall.objects.get(pk=called.other.pk).answer == Answer.ASKED


def test_a_crew_that_shares_one_connection_answers_all_at_once(wickerlark: House, called: Called) -> None:
    browser = Browser()
    clean = browser.get(called.address)["Location"]
    for turn in range(8):  # four people, two stretches each
        said = ("yes", "no")[turn % 2]
        assert browser.post(clean, {"answer": f"{said}-{called.call.pk}"}).status_code == 302
        assert browser.get(clean).status_code == 200


def test_a_link_says_nothing_about_money_and_names_the_work(wickerlark: House, called: Called) -> None:
    page = Browser().get(called.address, follow=True).content.decode()
    assert "Library centenary" in page
    assert "Load out and install" in page
    assert "$" not in page


@pytest.mark.parametrize("how", ["never made", "without its cookie", "asked again", "begun"])
def test_a_link_that_holds_no_more_leads_nowhere(wickerlark: House, called: Called, how: str) -> None:
    address = called.address
    if how == "never made":
        address = "/c/" + "x" * 32
    elif how == "without its cookie":
        address = Browser().get(called.address)["Location"]
    elif how == "asked again":
        with wickerlark.enter():
            for shift in (called.call.shift, called.other.shift):
                hours = {"starts_at": shift.starts_at - timedelta(hours=1), "ends_at": shift.ends_at}
                assigning.set_times(shift.event_id, ShiftKind(shift.kind), **hours)
            calls.ask(called.call.shift.event_id)
        with tenancy.entered(wickerlark.studio.pk):
            calls.mail_call(called.call.pk)
    later = timezone.now() if how != "begun" else called.other.shift.starts_at + timedelta(hours=2)
    with time_machine.travel(later):
        assert Browser().get(address, follow=True).status_code == 404


def test_nobody_answers_for_a_called_off_event(wickerlark: House, called: Called) -> None:
    browser = Browser()
    clean = browser.get(called.address)["Location"]
    with wickerlark.enter():
        calling_off.call_off(called.call.shift.event_id)
    page = browser.post(clean, {"answer": f"yes-{called.call.pk}"})
    assert page.status_code == 422
    assert "you don’t need to come".encode() in page.content
    assert answered(wickerlark) == Answer.ASKED


def test_a_link_answers_for_nobody_else(wickerlark: House, called: Called) -> None:
    with wickerlark.enter():
        somebody = assigning.assign_person(
            called.call.shift.event_id, INSTALL, membership(wickerlark, "staff")
        )
        calls.ask(called.call.shift.event_id)
    browser = Browser()
    clean = browser.get(called.address)["Location"]
    assert browser.post(clean, {"answer": f"yes-{somebody.pk}"}).status_code == 422
    with wickerlark.enter():
        assert CrewCall.objects.get(pk=somebody.pk).answer == Answer.ASKED


def test_nobody_answers_for_somebody_else(wickerlark: House, called: Called) -> None:
    with wickerlark.enter("staff"), pytest.raises(PermissionDenied, match="Only the person who was called"):
        calls.answer(called.call.pk, yes=True)


def test_whoever_was_taken_off_is_sent_no_letter(wickerlark: House, called: Called) -> None:
    with wickerlark.enter():
        assigning.remove_person(called.call.pk)
        assigning.remove_person(called.other.pk)
    with tenancy.entered(wickerlark.studio.pk):
        calls.mail_call(called.call.pk)
    assert len(mail.outbox) == 1
    assert Browser().get(called.address, follow=True).status_code == 404
