"""Several people at the same moment: nothing is promised twice, made twice or lost."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence

import pytest
from django.db import connection

from events.commitment import BillLine, CannotCommit
from events.models import Client, Event, Status, Venue
from stock.models import Hold
from tests import people
from tests.events.conftest import agree, stock_up, take
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
