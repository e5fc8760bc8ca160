"""Transferred items on load-out lists, return lists and run sheets."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from events.booking import stages
from events.contacts import venues
from events.jobs import calling_off
from events.jobs.commitment import BillLine
from events.loadout import load_list, loadout_json, returns, ticks
from events.models import Event, Stage, TickKind
from events.schedule import run_sheet
from events.transfers import changing
from stock.models import HoldLine
from tests.events.conftest import printed, said, said_by, stock_up, words_on
from tests.events.transfers.conftest import COVERS, RING, at, bakery, hall
from tests.people import House


def test_transferred_items_are_due_back_at_the_second_event(
    wickerlark: House, on_lists: tuple[Event, Event]
) -> None:
    first, second = on_lists
    with wickerlark.enter("crew"):
        lists = [load_list.find_load_out_list(event.pk) for event in on_lists]
        ours, theirs = ({state.line.code: state for state in each.states} for each in lists)
        assert (ours["cover-oat"].went_out, ours["cover-oat"].due_back, ours["cover-oat"].from_shelf) == (
            2,
            1,
            2,
        )
        assert (ours["ring-6ft"].went_out, ours["ring-6ft"].due_back) == (1, 1)
        assert (theirs["cover-oat"].from_shelf, theirs["cover-oat"].due_back) == (0, 1)
        for_phones = loadout_json.write_list(lists[0])["lines"]
        assert isinstance(for_phones, dict)
        assert for_phones[str(ours["cover-oat"].line.pk)]["out"] == 1
    with wickerlark.enter():
        before = [loadout_json.revision(each) for each in lists]
        calling_off.call_off(second.pk)
        after = loadout_json.revision(load_list.find_load_out_list(first.pk))
        assert after != before[0], "phones fetch the list anew"


def test_transferred_items_are_counted_back_at_the_second_event(
    wickerlark: House, on_lists: tuple[Event, Event]
) -> None:
    first, second = on_lists
    with wickerlark.enter():
        for event, back in ((first, {"cover-oat": 1, "ring-6ft": 1}), (second, {"cover-oat": 1})):
            stages.reach(event.pk, Stage.PREPARED)
            lines = list(event.load_out.filter(code__in=back, dropped=False))
            short = [said(line, back[line.code] - 1, TickKind.BACK) for line in lines]
            rest = [said(line, 1, TickKind.BACK) for line in event.load_out.exclude(code__in=back)]
            ticks.save_ticks(event.pk, short + rest)
            with pytest.raises(returns.CannotCountBack, match="Ring cover oat: 0 of 1 accounted for"):
                returns.count_back(event.pk)
            ticks.save_ticks(event.pk, [said(line, back[line.code], TickKind.BACK) for line in lines])
            counted = returns.count_back(event.pk)
            assert counted.losses == (), "what went on isn't missing"
        assert not HoldLine.objects.filter(standing=True).exists()


def test_run_sheets_and_lists_name_the_transfer(wickerlark: House, on_lists: tuple[Event, Event]) -> None:
    first, second = on_lists
    with wickerlark.enter("crew"):
        ours, theirs = (
            {line.what: line for line in run_sheet.find_run_sheet(event, wickerlark.studio).lines}
            for event in on_lists
        )
    assert ours["1 × Ring cover oat goes on to Harbour hall"].at == first.strike_from
    assert ours["1 × Ring cover oat goes on to Harbour hall"].detail.startswith("Leave it in the van; there")
    assert theirs["Directly from Bakery birthday: 1 × Ring cover oat"].at == at(18)
    crew = wickerlark.client("crew")
    for event, name, words in (
        (second, "load-out", "comes directly from Bakery birthday</strong>, there by"),
        (first, "load-out", "1 going on to Harbour hall"),
        (first, "return-list", "<strong>1 going on to Harbour hall</strong>: leave in the van"),
        (second, "return-list", "1 came directly from Bakery birthday"),
        (first, "run-sheet", "goes on to Harbour hall"),
        (second, "run-sheet", "Directly from Bakery birthday"),
        (first, "event", "Goes on to"),
        (second, "event", "Comes directly from"),
    ):
        assert words in said_by(crew.get(wickerlark.url(f"events:{name}", event.pk))), (name, words)
    assert "shelf F" not in crew.get(wickerlark.url("events:load-out", second.pk)).content.decode()
    for event, kind, words in (
        (second, "load-out", "1 directly from Bakery birthday, there by"),
        (first, "load-out", "1 going on to Harbour hall"),
        (first, "return-list", "1 going on to Harbour hall: leave in the van"),
        (second, "return-list", "1 came directly from Bakery birthday"),
    ):
        assert words in words_on(printed(wickerlark, crew, event, kind)), (kind, words)


def test_queries_do_not_grow_with_transfers(wickerlark: House) -> None:
    def counted(event: Event, name: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert browser.get(wickerlark.url(f"events:{name}", event.pk)).status_code == 200
        return sum("SAVEPOINT" not in query["sql"] for query in queries.captured_queries)

    names = ("event", "transfer-choose", "load-out", "return-list", "run-sheet")
    browser = wickerlark.client()
    with wickerlark.enter():
        stock_up()
        square, quay = venues.add_venue(name="Square"), venues.add_venue(name="Quay")
        first = bakery(COVERS, RING, BillLine("greenery", "Greenery", 30), venue_id=square.pk)
        second = hall(BillLine("greenery", "Greenery", 2), venue_id=quay.pk)
        changing.set_transfer(second.pk, giver_id=first.pk, code="greenery", quantity=1)
    few = [[counted(event, name) for name in names] for event in (first, second)]
    few = [[counted(event, name) for name in names] for event in (first, second)]
    with wickerlark.enter():
        changing.set_transfer(second.pk, giver_id=first.pk, code="greenery", quantity=2)
        for number in range(4):
            place = venues.add_venue(name=f"Barn {number}")
            other = hall(BillLine("greenery", "Greenery", 1), title=f"{number} hall", venue_id=place.pk)
            changing.set_transfer(other.pk, giver_id=first.pk, code="greenery", quantity=1)
    assert [[counted(event, name) for name in names] for event in (first, second)] == few
