"""Who works on a shift and when, set by hand: what cannot be is refused, what changes nothing asks nobody again."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.http import Http404
from django.utils import timezone

from events.crew import assigning, people
from events.jobs import calling_off
from events.models import Answer, CrewCall, Event, Shift, ShiftKind, Van
from studio.models import Membership
from tests.people import House

INSTALL = ShiftKind.INSTALL
NOBODY = 999_999_999


def crew_number(house: House) -> int:
    return Membership.objects.get(person=house.crew).pk


def test_somebody_assigned_twice_is_on_the_shift_once(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        first, second = (
            assigning.assign_person(agreed.pk, INSTALL, crew_number(wickerlark)) for _ in range(2)
        )
        assert first.pk == second.pk
        assert CrewCall.objects.count() == 1


def test_somebody_removed_is_on_the_shift_no_more(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        call = assigning.assign_person(agreed.pk, INSTALL, crew_number(wickerlark))
        assigning.remove_person(call.pk)
        assert not CrewCall.objects.exists()
        with pytest.raises(Http404):
            assigning.remove_person(call.pk)


def test_who_and_what_is_not_there_is_assigned_nowhere(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        with pytest.raises(Http404):
            assigning.assign_person(agreed.pk, INSTALL, NOBODY)
        with pytest.raises(Http404):
            assigning.assign_van(agreed.pk, INSTALL, NOBODY)
        with pytest.raises(Http404):
            assigning.end_tours(NOBODY)


def test_nobody_is_assigned_to_an_event_that_was_called_off(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        calling_off.call_off(agreed.pk)
        with pytest.raises(ValidationError, match="called off"):
            assigning.assign_person(agreed.pk, INSTALL, crew_number(wickerlark))


def test_times_that_end_before_they_start_or_are_past_are_refused_at_the_end(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        with pytest.raises(ValidationError, match="after the start") as turned:
            assigning.set_times(agreed.pk, INSTALL, agreed.ready_by, agreed.load_out_at)
        yesterday = timezone.now() - timedelta(days=1)
        with pytest.raises(ValidationError, match="past") as past:
            assigning.set_times(agreed.pk, INSTALL, yesterday - timedelta(hours=2), yesterday)
    assert set(turned.value.message_dict) == set(past.value.message_dict) == {"ends_at"}


def test_only_other_times_ask_for_an_answer_again(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        call = assigning.assign_person(agreed.pk, INSTALL, crew_number(wickerlark))
        CrewCall.objects.filter(pk=call.pk).update(answer=Answer.YES, asked_at=timezone.now())
        shift = Shift.objects.get(event=agreed, kind=INSTALL)
        assigning.set_times(agreed.pk, INSTALL, shift.starts_at, shift.ends_at)
        assert CrewCall.objects.get().answer == Answer.YES
        assigning.set_times(agreed.pk, INSTALL, shift.starts_at - timedelta(hours=3), shift.ends_at)
        assert CrewCall.objects.get().answer == Answer.NOT_ASKED


def test_a_van_is_chosen_and_given_back(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        van = people.save_van(Van(), name="Van 1", seats=3)
        assert assigning.assign_van(agreed.pk, INSTALL, van.pk).van == van
        assert assigning.assign_van(agreed.pk, INSTALL, None).van is None
        with pytest.raises(ValidationError, match="Another van has this name"):
            people.save_van(Van(), name="VAN 1", seats=2)
