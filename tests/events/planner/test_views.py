"""Planning a weekend from the page: proposed without change, accepted in part, refused when it is out of date."""

from __future__ import annotations

import re
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from events.crew import assigning, people, rules
from events.models import CrewCall, Event, Shift, ShiftKind, Van
from events.planner import proposal, solver
from events.planner.accepting import accept_proposal
from studio import tenancy
from studio.models import Membership
from studio.outbox import long_work
from tests.events.conftest import agree, take
from tests.people import House
from tests.worker import do_long_work


def membership(house: House, role: str) -> int:
    return Membership.objects.get(person=house.person(role)).pk


@pytest.fixture
def ready(wickerlark: House, agreed: Event) -> date:
    """Two people who can do everything, a van, and the day of the agreed event."""
    with wickerlark.enter():
        for role in ("crew", "staff"):
            people.change_person(
                people.find_person(membership(wickerlark, role)), is_called=True, lead=True, driver=True
            )
        people.save_van(Van(), name="Van 1", seats=3)
        rules.change_rules(
            daily_rest_hours=Decimal(8)
        )  # so that two people can do it all, from prep to strike
    return agreed.ready_by.astimezone(wickerlark.studio.tz).date()


def asked(house: House, first: date, last: date | None = None, role: str = "staff") -> Any:
    """The page that says what became of it, once the worker has worked it out; or why it wasn't asked."""
    browser = house.client(role)
    answer = browser.post(
        house.url("events:plan"), {"first": first.isoformat(), "last": (last or first).isoformat()}
    )
    if answer.status_code != 302:
        return answer
    waiting = browser.get(answer["Location"])
    assert "You can leave this page" in waiting.content.decode()
    assert do_long_work(house) == 1
    return browser.get(answer["Location"])


def sealed(page: Any) -> str:
    found = re.search(r'name="sealed" value="([^"]+)"', page.content.decode())
    assert found is not None
    return found[1]


def test_a_proposal_changes_nothing_and_accepting_it_puts_it_down(
    wickerlark: House, agreed: Event, ready: date
) -> None:
    page = asked(wickerlark, ready)
    assert page.status_code == 200
    assert "Everything is filled" in page.content.decode(), page.content.decode().partition("<h2")[2][:900]
    with wickerlark.enter():
        assert not CrewCall.objects.exists()
        assert not Shift.objects.exists()
    keys = re.findall(r'name="line" value="([^"]+)"', page.content.decode())
    assert len(keys) == 3
    strike = f"{agreed.pk}-strike"
    sent = wickerlark.client("staff").post(
        wickerlark.url("events:plan-accept"), {"sealed": sealed(page), "line": [strike]}
    )
    assert sent.status_code == 302
    with wickerlark.enter():
        (shift,) = Shift.objects.all()
        assert (shift.kind, shift.van and shift.van.name) == (ShiftKind.STRIKE, "Van 1")
        calls = CrewCall.objects.filter(shift=shift)
        assert (len(calls), sum(call.drives for call in calls), any(call.fixed for call in calls)) == (
            2,
            1,
            False,
        )


def test_what_was_put_on_by_hand_is_kept(wickerlark: House, agreed: Event, ready: date) -> None:
    with wickerlark.enter():
        call = assigning.assign_person(agreed.pk, ShiftKind.INSTALL, membership(wickerlark, "crew"))
        made = proposal.make_proposal(ready, ready, wickerlark.studio)
        accept_proposal(made.sealed, [line.key for line in made.lines])
        assert CrewCall.objects.get(pk=call.pk).fixed
        assert CrewCall.objects.filter(shift=call.shift).count() == 2


def test_what_was_set_by_hand_and_breaks_a_rule_is_on_the_proposal(
    wickerlark: House, agreed: Event, ready: date
) -> None:
    with wickerlark.enter():
        other = take("Rowing club supper", client_email="club@rowing.example")
        agree(other, key="other")
        for event in (agreed, other):
            assigning.assign_person(event.pk, ShiftKind.INSTALL, membership(wickerlark, "crew"))
    page = asked(wickerlark, ready).content.decode()
    assert "load out and install and on " in page
    assert "at once.</strong>" in page
    assert "It was set by hand or has a yes, and a plan keeps that" in page


def test_a_plan_that_fails_its_own_check_is_not_shown(
    wickerlark: House, agreed: Event, ready: date, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise solver.WrongPlan("It costs 1, and no plan costs less than 2.")

    monkeypatch.setattr(solver, "check_plan", fail)
    page = asked(wickerlark, ready).content.decode()
    assert "The plan failed its own check, so it is not shown." in page
    assert 'name="sealed"' not in page


def test_a_person_and_a_van_with_one_number_are_two(wickerlark: House, agreed: Event, ready: date) -> None:
    with wickerlark.enter():
        Van.objects.all().delete()
        Van.objects.create(pk=membership(wickerlark, "crew"), name="Van 1", seats=3)
        made = proposal.make_proposal(ready, ready, wickerlark.studio)
        assert all(line.is_whole for line in made.lines)


def test_an_event_that_changed_meanwhile_is_planned_once_more(
    wickerlark: House, agreed: Event, ready: date
) -> None:
    with wickerlark.enter():
        made = proposal.make_proposal(ready, ready, wickerlark.studio)
        Event.objects.filter(pk=agreed.pk).update(version=agreed.version + 1)
        with pytest.raises(proposal.CannotPlan, match="was changed meanwhile"):
            accept_proposal(made.sealed, [line.key for line in made.lines])
        assert not CrewCall.objects.exists()


def test_what_cannot_be_is_said_with_a_way_out(wickerlark: House, agreed: Event, ready: date) -> None:
    with wickerlark.enter():
        people.change_person(people.find_person(membership(wickerlark, "staff")), is_called=False)
        text = " ".join(
            f"{reason.lacks} {reason.why} {' or '.join(reason.ways)}"
            for reason in proposal.make_proposal(ready, ready, wickerlark.studio).reasons
        )
    assert "is missing 1 of 2 people" in text
    assert "1 can come then" in text
    assert "hiring one more" in text


@pytest.mark.parametrize(
    ("days", "words"), [(-1, "can&#x27;t come before"), (30, "at most 10 days"), (0, "Nothing is agreed")]
)
def test_a_span_that_cannot_be_planned_is_refused_at_the_field(
    wickerlark: House, agreed: Event, ready: date, days: int, words: str
) -> None:
    first = ready + timedelta(days=60)
    page = asked(wickerlark, first, first + timedelta(days=days))
    assert page.status_code == 422
    assert words in page.content.decode()


def test_a_broken_seal_and_another_studios_are_refused(
    wickerlark: House, federkorn: House, agreed: Event, ready: date
) -> None:
    with wickerlark.enter():
        made = proposal.make_proposal(ready, ready, wickerlark.studio)
        with pytest.raises(proposal.CannotPlan, match="is old"):
            accept_proposal(made.sealed + "x", [])
    with federkorn.enter(), pytest.raises(proposal.CannotPlan, match="another studio"):
        accept_proposal(made.sealed, [line.key for line in made.lines])


def test_without_the_extra_the_page_says_so(wickerlark: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solver, "is_installed", lambda: False)
    page = wickerlark.client("staff").get(wickerlark.url("events:plan"))
    assert "Planning is not installed" in page.content.decode()
    assert wickerlark.client("crew").get(wickerlark.url("events:plan")).status_code == 403


def test_two_events_at_once_with_one_crew_lack_hands(wickerlark: House, agreed: Event, ready: date) -> None:
    with wickerlark.enter():
        other = take("Rowing club supper", client_email="club@rowing.example")
        agree(other, key="other")
        made = proposal.make_proposal(ready, ready, wickerlark.studio)
        assert any(not line.is_whole for line in made.lines)
        assert any("Rowing club supper" in each.lacks or "Library" in each.lacks for each in made.reasons)


def test_whoever_left_finds_the_proposal_again_and_another_studio_does_not(
    wickerlark: House, federkorn: House, agreed: Event, ready: date
) -> None:
    browser = wickerlark.client("staff")
    asked(wickerlark, ready)
    page = browser.get(wickerlark.url("events:plan")).content.decode()
    assert "the proposal is ready" in page
    found = re.search(r'href="([^"]+/plan/[^"/]{20,}/)"', page)
    assert found is not None
    assert "Accept selected" in browser.get(found[1]).content.decode()
    assert (
        "the proposal is ready"
        not in wickerlark.client("owner").get(wickerlark.url("events:plan")).content.decode()
    )
    name = found[1].rstrip("/").rsplit("/", 1)[1]
    for url in (
        federkorn.url("events:plan-result", name),
        federkorn.url("events:plan-result", "never-asked"),
    ):
        assert federkorn.client("staff").get(url).status_code == 404
    assert wickerlark.client("crew").get(found[1]).status_code == 403


def test_a_worker_that_is_gone_and_a_plan_that_came_to_nothing_are_told(
    wickerlark: House, agreed: Event, ready: date
) -> None:
    browser = wickerlark.client("staff")
    days = {"first": ready.isoformat(), "last": ready.isoformat()}
    address = browser.post(wickerlark.url("events:plan"), days)["Location"]
    assert 'hx-trigger="load delay:1s"' in browser.get(address).content.decode()
    with time_machine.travel(timezone.now() + long_work.PATIENCE + timedelta(seconds=1)):
        page = browser.get(address).content.decode()
    assert "No result came in time" in page
    assert "hx-get" not in page
    with tenancy.entered(wickerlark.studio.pk):
        Event.objects.filter(pk=agreed.pk).update(status="CANCELLED")
    do_long_work(wickerlark)
    assert "Nothing is agreed for those days." in browser.get(address).content.decode()


def test_a_plan_can_be_stopped_and_then_nothing_comes(wickerlark: House, agreed: Event, ready: date) -> None:
    browser = wickerlark.client("staff")
    days = {"first": ready.isoformat(), "last": ready.isoformat()}
    address = browser.post(wickerlark.url("events:plan"), days)["Location"]
    name = address.rstrip("/").rsplit("/", 1)[1]
    assert wickerlark.client("crew").post(wickerlark.url("events:plan-stop", name)).status_code == 403
    assert browser.post(wickerlark.url("events:plan-stop", name))["Location"] == address
    do_long_work(wickerlark)
    page = browser.get(address).content.decode()
    assert "Stopped. Nothing was changed." in page
    assert 'name="sealed"' not in page
    assert browser.post(wickerlark.url("events:plan-stop", "never-asked")).status_code == 404
