"""Calling off and postponing: the crew who were asked are told, and a called-off event gets another date."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core import mail

from events.booking import event_times
from events.crew import calls
from events.jobs import calling_off, changes, postponing
from events.jobs.commitment import BillLine, CannotCommit
from events.models import Answer, CrewCall, Event, Status
from stock.models import HoldLine
from studio.models import OutboxEntry
from studio.tasks import send_mail
from tests.events.conftest import address, agree, take
from tests.events.crew.test_refusals import assign
from tests.people import House

DAYS = timedelta(days=9)
BOTH_RINGS = (BillLine("ring-6ft", "Ring 6 ft", 2, "Ring", "frames"),)


def later(event: Event) -> event_times.EventWindows:
    return event_times.usual(ready_by=event.ready_by + DAYS)


def news(house: House) -> list[tuple[str, str]]:
    """To whom the crew's letters went, and what they said."""
    with house.enter():
        rows = OutboxEntry.objects.filter(arguments__template="crew_news").order_by("pk")
        return [(row.arguments["to"], row.arguments["context"]["news"]) for row in rows]


@pytest.fixture
def asked(wickerlark: House, agreed: Event) -> CrewCall:
    """Crew said yes, staff said no, the owner is assigned and was not asked."""
    with wickerlark.enter():
        yes, no = assign(wickerlark, agreed, "crew"), assign(wickerlark, agreed, "staff")
        calls.ask(agreed.pk)
        assign(wickerlark, agreed, "owner")
    with wickerlark.enter("crew"):
        calls.answer(yes.pk, yes=True)
    with wickerlark.enter("staff"):
        calls.answer(no.pk, yes=False)
    return yes


def test_whoever_expects_to_come_hears_that_it_is_called_off_and_on_again(
    wickerlark: House, agreed: Event, asked: CrewCall
) -> None:
    with wickerlark.enter():
        for _ in range(2):
            calling_off.call_off(agreed.pk)
    assert news(wickerlark) == [(wickerlark.crew.email, "off")]
    with wickerlark.enter():
        entry = OutboxEntry.objects.get(arguments__template="crew_news")
    send_mail(studio_id=wickerlark.studio.pk, entry_id=entry.pk)
    (letter,) = mail.outbox
    assert letter.subject == "Library centenary: called off"
    assert "You don’t need to come:" in str(letter.body)
    assert "load out and install:" in str(letter.body)
    with wickerlark.enter():
        calling_off.take_up_again(agreed.pk)
        asked.refresh_from_db()
        assert asked.answer == Answer.YES
    assert news(wickerlark)[1:] == [(wickerlark.crew.email, "on again")]


def test_whoever_expects_to_come_hears_of_other_times_unless_they_hardly_differ(
    wickerlark: House, agreed: Event, asked: CrewCall
) -> None:
    with wickerlark.enter():
        nearly = event_times.usual(ready_by=agreed.ready_by + timedelta(minutes=10))
        event = changes.move(agreed.pk, nearly, seen_version=Event.objects.get(pk=agreed.pk).version)
    assert news(wickerlark) == []
    with wickerlark.enter():
        changes.move(agreed.pk, later(agreed), seen_version=event.version)
        asked.refresh_from_db()
        assert asked.answer == Answer.NOT_ASKED
    assert news(wickerlark) == [(wickerlark.crew.email, "moved")]


def test_a_called_off_event_gets_another_date_and_its_stock_with_it(
    wickerlark: House, agreed: Event, asked: CrewCall
) -> None:
    with wickerlark.enter():
        off = calling_off.call_off(agreed.pk)
        bill = dict(agreed.bill.values_list("code", "quantity"))
        event = postponing.postpone(agreed.pk, later(agreed), seen_version=off.version)
        assert event.status == Status.CONFIRMED
        assert event.ready_by == agreed.ready_by + DAYS
        assert event.hold is not None
        assert (event.hold.starts_at, event.hold.ends_at) == (event.load_out_at, event.back_at)
        held = HoldLine.objects.filter(hold=event.hold, standing=True)
        assert dict(held.values_list("item__code", "quantity")) == bill
        assert "Postponed: ready by" in event.log.latest("pk").text
    assert news(wickerlark) == [(wickerlark.crew.email, "off"), (wickerlark.crew.email, "moved")]


def test_what_is_not_free_on_the_new_date_refuses_and_nothing_changes(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        agree(take("Rowing club", ready_by=agreed.ready_by + DAYS), key="rowing", bill=BOTH_RINGS)
        off = calling_off.call_off(agreed.pk)
        with pytest.raises(CannotCommit, match="Ring 6 ft: 0 free of 1 needed"):
            postponing.postpone(agreed.pk, later(agreed), seen_version=off.version)
        again = Event.objects.get(pk=agreed.pk)
        assert (again.status, again.ready_by) == (Status.CANCELLED, agreed.ready_by)
    page = wickerlark.client().post(address(wickerlark, "event-postpone", agreed), typed(again))
    assert page.status_code == 422
    assert "Ring 6 ft: 0 free of 1 needed" in page.content.decode()


def test_only_a_called_off_event_is_postponed_and_only_a_standing_one_is_moved(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        with pytest.raises(postponing.NotCalledOff, match="goes ahead"):
            postponing.postpone(agreed.pk, later(agreed), seen_version=agreed.version)
        off = calling_off.call_off(agreed.pk)
        with pytest.raises(changes.CannotMove, match="called off"):
            changes.move(agreed.pk, later(agreed), seen_version=off.version)


def test_the_owner_postpones_on_the_events_page(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        off = calling_off.call_off(agreed.pk)
    owner, postpone = wickerlark.client(), address(wickerlark, "event-postpone", agreed)
    assert postpone in owner.get(address(wickerlark, "event", agreed)).content.decode()
    assert "New date" in owner.get(postpone).content.decode()
    assert owner.post(postpone, typed(off)).status_code == 302
    page = owner.get(address(wickerlark, "event", agreed)).content.decode()
    assert "Its stock is free again." not in page
    assert postpone not in page
    assert wickerlark.client("crew").get(postpone).status_code == 403


def typed(event: Event) -> dict[str, str]:
    """What the owner types for the new date."""
    windows = later(event)
    moments = {name: getattr(windows, name) for name in windows.__dataclass_fields__}
    texts = {
        name: moment.astimezone(event.tz).strftime("%Y-%m-%dT%H:%M")
        for name, moment in moments.items()
        if moment
    }
    return {**texts, "version": str(event.version)}
