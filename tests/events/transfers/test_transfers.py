"""Transfers as both events see them, when events move and when a weekend is planned."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from events.jobs import changes
from events.models import Event, Van
from events.planner import span
from events.transfers import changing, transfers
from stock.models import AgreedTransfer
from tests.events.conftest import stock_up
from tests.events.transfers.conftest import COVER, COVERS, RING, at, bakery, hall, moved
from tests.people import House


def test_between_agreed_events_it_is_held_at_once_and_found_at_both(
    both: tuple[Event, Event], wickerlark: House
) -> None:
    first, second = both
    with wickerlark.enter():
        (comes,) = transfers.find_event_transfers(second).incoming
        (goes,) = transfers.find_event_transfers(first).outgoing
        assert (goes.other, goes.link) == (second, comes.link)
        assert comes.link.at == first.out_by
        assert (comes.arrives_at, comes.is_late, comes.is_too_late) == (at(18), False, False)
        rival = hall(COVER, title="Rival")
        assert rival.hold_id, "the other cover is free for another event now"


def test_moving_the_first_event_moves_the_transfer_or_is_refused(
    both: tuple[Event, Event], wickerlark: House
) -> None:
    first, second = both
    with wickerlark.enter():
        moved(first, hours=1)
        (comes,) = transfers.find_event_transfers(second).incoming
        assert (comes.link.at, comes.arrives_at, comes.is_late) == (at(18), at(19), True)
        with pytest.raises(changes.CannotMove, match="would reach Harbour hall only on") as refused:
            moved(first, hours=3)
        assert "Undo the transfer first" in refused.value.messages[0]
        assert AgreedTransfer.objects.get().at == at(18), "everything stays as it was"
        with pytest.raises(changes.CannotMove, match="Harbour hall is over by then"):
            moved(first, hours=24)


def test_moving_the_second_event_is_refused_where_items_arrive_too_late(
    both: tuple[Event, Event], wickerlark: House
) -> None:
    _, second = both
    with wickerlark.enter():
        moved(second, hours=1)
        with pytest.raises(changes.CannotMove, match="would reach Harbour hall only on"):
            moved(second, hours=-6)
        with pytest.raises(changes.CannotMove, match="Harbour hall is over by then"):
            moved(second, hours=-24)


def test_the_planner_knows_that_the_second_event_waits_for_the_first(
    wickerlark: House, both: tuple[Event, Event]
) -> None:
    first, second = both
    with wickerlark.enter():
        Van.objects.create(name="Van 1", seats=2)
        day = first.ready_by.astimezone(wickerlark.studio.tz).date()
        found = span.find_span(day, day + timedelta(days=1), wickerlark.studio).problem.tours
        sentences = [(each.first, each.then) for each in found if each.brings_pieces]
        assert sentences == [(f"{first.pk}-strike", f"{second.pk}-install")]
        changing.undo_transfer(second.pk, AgreedTransfer.objects.get().pk)
        found = span.find_span(day, day + timedelta(days=1), wickerlark.studio).problem.tours
        assert not any(each.brings_pieces for each in found)


def test_the_requests_of_an_event_are_read_in_one_query(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS, RING), hall()
        for code in ("cover-oat", "ring-6ft"):
            changing.set_transfer(second.pk, giver_id=first.pk, code=code, quantity=1, unwashed=True)
        with CaptureQueriesContext(connection) as asked:
            found = transfers.find_requests(second)
    assert len(found) == 2
    assert len(asked) == 1
