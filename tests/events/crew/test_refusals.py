"""A no of the crew waits for the studio: on the week, on the event, and by e-mail, until somebody else is assigned."""

from __future__ import annotations

import pytest
from django.core import mail
from django.db import connection
from django.test.utils import CaptureQueriesContext

from events.crew import assigning, calls, people
from events.crew.refusals import find_refusals
from events.models import Answer, CrewCall, Event, ShiftKind
from studio.models import Membership, OutboxEntry, Studio
from studio.tasks import send_mail
from tests.events.conftest import take
from tests.people import House

INSTALL = ShiftKind.INSTALL


def assign(house: House, event: Event, role: str, kind: ShiftKind = INSTALL) -> CrewCall:
    number = Membership.objects.get(person=house.person(role)).pk
    people.change_person(people.find_person(number), is_called=True)
    return assigning.assign_person(event.pk, kind, number)


@pytest.fixture
def refused(wickerlark: House, agreed: Event) -> CrewCall:
    """Of the two who are on the install one was called and says no."""
    with wickerlark.enter():
        call = assign(wickerlark, agreed, "crew")
        assign(wickerlark, agreed, "staff")
        calls.ask(agreed.pk)
    with wickerlark.enter("crew"):
        calls.answer(call.pk, yes=False)
    return call


def seen(house: House, event: Event, role: str = "staff") -> dict[str, bool]:
    """Whether week and event say that it waits."""
    browser = house.client(role)
    day = event.ready_by.astimezone(house.studio.tz).date().isoformat()
    pages = {"week": house.url("events:week") + f"?day={day}", "event": house.url("events:event", event.pk)}
    return {name: "Waits for you" in browser.get(page).content.decode() for name, page in pages.items()}


def test_a_no_is_seen_on_the_week_and_on_the_event_until_somebody_else_is_assigned(
    wickerlark: House, agreed: Event, refused: CrewCall
) -> None:
    assert seen(wickerlark, agreed) == {"week": True, "event": True}
    page = wickerlark.client("staff").get(wickerlark.url("events:event", agreed.pk)).content.decode()
    assert f"{wickerlark.crew.name} said no to load out and install" in page
    assert "1 of 2 assigned" in page
    assert seen(wickerlark, agreed, "crew") == {"week": False, "event": False}, "crew can assign nobody"
    with wickerlark.enter():
        assign(wickerlark, agreed, "owner")
    assert seen(wickerlark, agreed) == {"week": False, "event": False}


def test_a_no_that_became_a_yes_or_was_taken_off_or_called_off_waits_for_nobody(
    wickerlark: House, agreed: Event, refused: CrewCall
) -> None:
    with wickerlark.enter("crew"):
        calls.answer(refused.pk, yes=True)
    with wickerlark.enter():
        assert find_refusals() == []
        CrewCall.objects.filter(pk=refused.pk).update(answer=Answer.NO)
        assert len(find_refusals()) == 1
        assigning.remove_person(refused.pk)
        assert find_refusals() == []


@pytest.mark.parametrize("address", ["", "hello@wickerlark.example"])
def test_the_owner_hears_of_a_no_by_mail_once(
    wickerlark: House, agreed: Event, refused: CrewCall, address: str
) -> None:
    with wickerlark.enter("crew"):
        Studio.objects.filter(pk=wickerlark.studio.pk).update(email=address)
        calls.answer(refused.pk, yes=False)
    with wickerlark.enter("crew"):
        calls.answer(refused.pk, yes=True)
        calls.answer(refused.pk, yes=False)
    with wickerlark.enter():
        rows = [
            row
            for row in OutboxEntry.objects.order_by("pk")
            if row.arguments.get("template") == "crew_refusal"
        ]
        _, second = rows
        assert second.arguments["to"] == (address or wickerlark.owner.email)
    send_mail(studio_id=wickerlark.studio.pk, entry_id=second.pk)
    (letter,) = mail.outbox
    assert letter.subject == f"{wickerlark.crew.name} said no: Library centenary"
    assert letter.reply_to == [wickerlark.crew.email]
    assert wickerlark.url("events:event-crew", agreed.pk) in str(letter.body)


def test_the_number_of_queries_does_not_grow_with_the_refusals(
    wickerlark: House, agreed: Event, refused: CrewCall
) -> None:
    def queries() -> int:
        with (
            wickerlark.enter(),
            CaptureQueriesContext(
                connection,
            ) as captured,
        ):
            find_refusals()
        return len(captured)

    one = queries()
    with wickerlark.enter():
        for number in range(3):
            event = take(f"Supper {number}")
            call = assign(wickerlark, event, "crew")
            CrewCall.objects.filter(pk=call.pk).update(
                answer=Answer.NO, asked_at=refused.asked_at or event.ready_by
            )
        assert len(find_refusals()) == 4
    assert queries() == one
