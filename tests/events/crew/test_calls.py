"""Calls: asked once for the same times, answered only by who was asked, and closed when the shift has begun."""

from __future__ import annotations

from datetime import timedelta

import pytest
import time_machine
from django.core import mail
from django.core.exceptions import PermissionDenied
from django.http import Http404

from events.crew import assigning, calls, people
from events.crew.calls import OPEN_AFTER, TooLate
from events.jobs import calling_off
from events.models import Answer, CrewCall, Event, ShiftKind
from studio.models import Membership
from tests.people import House

INSTALL = ShiftKind.INSTALL


@pytest.fixture
def assigned(wickerlark: House, agreed: Event) -> CrewCall:
    """The crew member is on the install, not asked yet."""
    with wickerlark.enter():
        number = Membership.objects.get(person=wickerlark.crew).pk
        people.change_person(people.find_person(number), is_called=True)
        return assigning.assign_person(agreed.pk, INSTALL, number)


def state(house: House, call: CrewCall) -> Answer:
    with house.enter():
        return Answer(CrewCall.objects.get(pk=call.pk).answer)


def test_somebody_is_asked_once_for_the_same_times(
    wickerlark: House, agreed: Event, assigned: CrewCall
) -> None:
    with wickerlark.enter():
        assert calls.ask(agreed.pk) == (wickerlark.crew.name,)
        assert calls.ask(agreed.pk) == ()
    assert state(wickerlark, assigned) == Answer.ASKED


def test_nobody_is_asked_for_a_shift_that_has_begun(
    wickerlark: House, agreed: Event, assigned: CrewCall
) -> None:
    with time_machine.travel(assigned.shift.starts_at + timedelta(minutes=1)), wickerlark.enter():
        assert calls.ask(agreed.pk) == ()
    assert state(wickerlark, assigned) == Answer.NOT_ASKED


def test_an_event_that_is_off_or_not_there_asks_nobody(
    wickerlark: House, agreed: Event, assigned: CrewCall
) -> None:
    with wickerlark.enter(), pytest.raises(Http404):
        calls.ask(agreed.pk + 1000)
    with wickerlark.enter():
        calling_off.call_off(agreed.pk)
        with pytest.raises(TooLate, match="called off; nobody is asked"):
            calls.ask(agreed.pk)
    assert state(wickerlark, assigned) == Answer.NOT_ASKED


def test_only_whoever_was_asked_answers(wickerlark: House, agreed: Event, assigned: CrewCall) -> None:
    with wickerlark.enter():
        calls.ask(agreed.pk)
    with wickerlark.enter("staff"), pytest.raises(PermissionDenied, match="Only the person who was called"):
        calls.answer(assigned.pk, yes=True)
    with wickerlark.enter("crew"), pytest.raises(Http404):
        calls.answer(assigned.pk + 1000, yes=True)
    assert state(wickerlark, assigned) == Answer.ASKED
    with wickerlark.enter("crew"):
        calls.answer(assigned.pk, yes=True)
    assert state(wickerlark, assigned) == Answer.YES


def test_an_answer_may_change_until_the_shift_has_begun_for_an_hour(
    wickerlark: House, agreed: Event, assigned: CrewCall
) -> None:
    with wickerlark.enter():
        calls.ask(agreed.pk)
    with wickerlark.enter("crew"):
        calls.answer(assigned.pk, yes=True)
    closes = assigned.shift.starts_at + OPEN_AFTER
    with time_machine.travel(closes - timedelta(minutes=1)), wickerlark.enter("crew"):
        calls.answer(assigned.pk, yes=False)
    with (
        time_machine.travel(closes),
        wickerlark.enter("crew"),
        pytest.raises(TooLate, match="This shift has begun"),
    ):
        calls.answer(assigned.pk, yes=True)
    assert state(wickerlark, assigned) == Answer.NO


def test_an_answer_to_an_event_that_is_off_is_too_late(
    wickerlark: House, agreed: Event, assigned: CrewCall
) -> None:
    with wickerlark.enter():
        calls.ask(agreed.pk)
        calling_off.call_off(agreed.pk)
    with wickerlark.enter("crew"), pytest.raises(TooLate, match="don’t need to come"):
        calls.answer(assigned.pk, yes=True)


def test_a_mail_is_sent_only_while_there_is_something_to_ask(
    wickerlark: House, agreed: Event, assigned: CrewCall
) -> None:
    with wickerlark.enter():
        calls.mail_call(assigned.pk)
        calls.mail_call(assigned.pk + 1000)
        assert mail.outbox == [], "nobody asked yet"
        calls.ask(agreed.pk)
        calls.mail_call(assigned.pk)
        (sent,) = mail.outbox
        assert sent.to == [wickerlark.crew.email]
        calling_off.call_off(agreed.pk)
        calls.mail_call(assigned.pk)
    assert len(mail.outbox) == 1
