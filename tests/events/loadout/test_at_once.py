"""Several people at the same moment: nothing is promised twice, made twice or lost."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from events.booking.event_times import EventWindows, windows_of
from events.jobs import calling_off, changes
from events.jobs.commitment import BillLine, CannotCommit
from events.models import Client, Event, Status, Venue
from events.transfers import changing
from stock.models import AgreedTransfer, Hold, HoldLine
from tests import people
from tests.events.conftest import agree, days_ahead, stock_up, take
from tests.people import House

ONE_RING = (BillLine("ring-6ft", "Ring 6 ft", 1),)


def all_at_once(house: House, deeds: Sequence[Callable[[], object]]) -> list[object]:
    """What each deed gave or raised, all of them started together, each in its own connection."""
    start = threading.Barrier(len(deeds))
    outcomes: list[object] = [None] * len(deeds)

    def run(place: int) -> None:
        try:
            start.wait(timeout=20)
            with house.enter():
                outcomes[place] = deeds[place]()
        except Exception as failure:  # noqa: BLE001 -- whatever went wrong is what is looked at
            outcomes[place] = failure
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(place,)) for place in range(len(deeds))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    return outcomes


@pytest.mark.django_db(transaction=True)
def test_of_five_events_that_want_one_of_two_rings_two_get_it() -> None:
    house = people.wickerlark()
    with house.enter():
        stock_up()
        events = [take(f"Event {number}") for number in range(5)]

    def agreeing(event: Event) -> Callable[[], object]:
        return lambda: agree(event, key=f"k-{event.pk}", bill=ONE_RING)

    outcomes = all_at_once(house, [agreeing(event) for event in events])
    refused = [outcome for outcome in outcomes if isinstance(outcome, CannotCommit)]
    assert [refusal.messages for refusal in refused] == [["Ring 6 ft: 0 free of 1 needed."]] * 3
    with house.enter():
        assert Event.objects.filter(status=Status.CONFIRMED).count() == 2
        assert Hold.objects.count() == 2


@pytest.mark.django_db(transaction=True)
def test_a_client_who_agrees_four_times_at_once_agrees_once() -> None:
    house = people.wickerlark()
    with house.enter():
        stock_up()
        event = take()
    outcomes = all_at_once(house, [lambda: agree(event, bill=ONE_RING).hold_id] * 4)
    assert len(set(outcomes)) == 1
    assert isinstance(outcomes[0], int)
    with house.enter():
        assert Hold.objects.count() == 1
        assert event.stages_reached.count() == 2


@pytest.mark.django_db(transaction=True)
def test_an_enquiry_sent_four_times_at_once_is_one_event_of_one_client() -> None:
    house = people.wickerlark()
    outcomes = all_at_once(house, [lambda: take(key="abc").pk] * 4)
    assert len(set(outcomes)) == 1
    assert isinstance(outcomes[0], int)
    with house.enter():
        assert Event.objects.count() == 1
        assert Client.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_four_enquiries_of_a_new_client_at_once_are_four_events_of_one_client_at_one_place() -> None:
    house = people.wickerlark()

    def asking(number: int) -> Callable[[], object]:
        return lambda: take(f"Event {number}", key=str(number), venue_name="Hall").pk

    outcomes = all_at_once(house, [asking(number) for number in range(4)])
    assert len(set(outcomes)) == 4
    with house.enter():
        assert Event.objects.count() == 4
        assert Client.objects.count() == 1
        assert Venue.objects.count() == 1


TWO_COVERS = (BillLine("cover-oat", "Ring cover oat", 2),)
ONE_COVER = (BillLine("cover-oat", "Ring cover oat", 1),)


def covers_out_at_most() -> int:
    """The most covers that standing lines of holds keep at any one moment."""
    lines = list(
        HoldLine.objects.filter(standing=True, item__code="cover-oat").values_list(
            "busy_from", "busy_until", "quantity"
        )
    )
    moments = [start for start, _, _ in lines]
    return max(sum(many for start, until, many in lines if start <= at < until) for at in moments)


def a_bakery_and_halls(number: int) -> tuple[Event, list[Event]]:
    """A bakery that has both covers until the afternoon, and halls that want one in the evening, not agreed yet."""
    stock_up()
    bakery = take("Bakery", ready_by=days_ahead(10, 10))
    agree(bakery, key="bakery", bill=TWO_COVERS)
    return bakery, [take(f"Hall {place}", ready_by=days_ahead(10, 22)) for place in range(number)]


@pytest.mark.django_db(transaction=True)
def test_of_three_halls_that_want_a_cover_from_the_bakery_two_get_it() -> None:
    house = people.wickerlark()
    with house.enter():
        bakery, halls = a_bakery_and_halls(3)
        for hall in halls:
            changing.set_transfer(hall.pk, giver_id=bakery.pk, code="cover-oat", quantity=1)

    def agreeing(hall: Event) -> Callable[[], object]:
        return lambda: agree(hall, key=f"k-{hall.pk}", bill=ONE_COVER)

    outcomes = all_at_once(house, [agreeing(hall) for hall in halls])
    assert sum(isinstance(outcome, CannotCommit) for outcome in outcomes) == 1, outcomes
    with house.enter():
        assert AgreedTransfer.objects.count() == 2
        assert covers_out_at_most() == 2


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("round_", range(4))
def test_chosen_undone_moved_and_called_off_at_once_no_cover_is_promised_twice(round_: int) -> None:
    house = people.wickerlark()
    with house.enter():
        bakery, halls = a_bakery_and_halls(2)
        for hall in halls:
            changing.set_transfer(hall.pk, giver_id=bakery.pk, code="cover-oat", quantity=1)
            agree(hall, key=f"k-{hall.pk}", bill=ONE_COVER)
        links = list(AgreedTransfer.objects.order_by("pk"))
        rival = take("Rival", ready_by=days_ahead(10, 22))
        there = Event.objects.get(pk=bakery.pk)
    was = windows_of(there)
    later = EventWindows(
        was.access_from, was.ready_by, None, was.strike_from, was.out_by + timedelta(minutes=30)
    )
    deeds: list[Callable[[], object]] = [
        lambda: changes.move(bakery.pk, later, seen_version=there.version),
        lambda: calling_off.call_off(halls[0].pk),
        lambda: changing.undo_transfer(halls[1].pk, links[1].pk),
        lambda: changing.set_transfer(halls[1].pk, giver_id=bakery.pk, code="cover-oat", quantity=1),
        lambda: agree(rival, key="rival", bill=ONE_COVER),
        lambda: calling_off.call_off(bakery.pk) if round_ % 2 else None,
    ]
    outcomes = all_at_once(house, deeds[round_ % 3 :] + deeds[: round_ % 3])
    failures = [outcome for outcome in outcomes if isinstance(outcome, Exception)]
    assert all(isinstance(failure, ValidationError) for failure in failures), failures
    with house.enter():
        assert covers_out_at_most() <= 2
        for link in AgreedTransfer.objects.select_related("giver", "taker"):
            assert {link.giver.state, link.taker.state} == {"held"}
            moments = HoldLine.objects.filter(handed_on=link).values_list(
                "hold_id", "busy_from", "busy_until"
            )
            stays = {hold_id: (start, until) for hold_id, start, until in moments}
            assert stays[link.giver_id][1] == link.at == stays[link.taker_id][0]
