"""A swap on an event's hold is followed by its load-out list, until the van is loaded."""

from __future__ import annotations

from decimal import Decimal

import pytest

from events.booking import stages
from events.calendar.lanes import Lanes, find_stays
from events.calendar.month import Filters, find_month
from events.day_plan import van_load
from events.jobs import calling_off, commitment
from events.jobs.commitment import BillLine
from events.loadout import load_list, returns, swaps, ticks
from events.models import BillRow, Event, LoadOutLine, LogEntry, Stage, TickKind
from events.schedule import run_sheet
from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import HoldLine, Item, Kind, Movement
from tests import shelf
from tests.events.conftest import BILL, address, agree, said, said_by, stock_up, take
from tests.people import House


def navy() -> Item:
    """Another latex of the size of the first on the list, enough of it."""
    line = HoldLine.objects.filter(item__kind=Kind.LATEX).select_related("item").order_by("pk")[0]
    colour = items.add_colour(name="Navy", hex="#2A3D4E")
    item = items.add_item(kind=Kind.LATEX, colour=colour, size_in=line.item.size_in, place="bay N")
    movements.open_with([Material(item.code, 5_000)])
    return item


def latex(event: Event) -> tuple[str, int]:
    """Code and number of the first latex that the event's hold keeps."""
    line = (
        HoldLine.objects.filter(hold=event.hold, item__kind=Kind.LATEX)
        .select_related("item")
        .order_by("pk")[0]
    )
    return line.item.code, line.quantity


def listed(event: Event) -> dict[str, int]:
    """The load-out list by code."""
    return {state.line.code: state.line.quantity for state in load_list.find_load_out_list(event.pk).states}


def test_the_load_out_list_and_the_log_follow_a_swap(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("staff"):
        code, number = latex(agreed)
        before = listed(agreed)
        other = navy()
        holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="s")
        holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="s")
        after = listed(agreed)
        assert after == {**{each: n for each, n in before.items() if each != code}, other.code: before[code]}
        words = LogEntry.objects.filter(event=agreed, text__startswith="Swapped:").values_list(
            "text", flat=True
        )
        assert list(words) == [f"Swapped: {number} × Navy 11 in instead of Oat 11 in."]


def test_a_swap_and_back_leaves_the_list_as_it_was(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        code, _ = latex(agreed)
        before = listed(agreed)
        other = navy()
        holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="there")
        holds.swap(agreed.hold_id or 0, out=other.code, into=code, key="back")
        assert listed(agreed) == before


def test_once_the_van_is_loaded_nothing_is_swapped(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        code, _ = latex(agreed)
        before = listed(agreed)
        other = navy()
        Event.objects.filter(pk=agreed.pk).update(stage=Stage.PREPARED)
        with pytest.raises(holds.CannotHold, match="loaded already"):
            holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="s")
        assert listed(agreed) == before
        assert not HoldLine.objects.filter(item=other).exists()


def test_the_bill_keeps_what_was_agreed_and_says_what_stands_for_it(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        code, number = latex(agreed)
        other = navy()
        holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="s")
        row = BillRow.objects.get(event=agreed, code=code)
        assert (row.label, row.now_code, row.now_label) == ("Oat 11 in", other.code, "Navy 11 in")
        assert commitment.stored_bill(agreed)[0].code == code, "what was agreed stays"
    page = said_by(wickerlark.client().get(address(wickerlark, "event", agreed)))
    assert 'Navy 11 in <span class="small quiet">instead of Oat 11 in</span>' in page
    undo = address(wickerlark, "event-swap-undo", agreed, code)
    for _ in range(2):
        wickerlark.client().post(undo)
    with wickerlark.enter():
        row.refresh_from_db()
        assert (row.now_code, row.now_label) == ("", "")
        assert (
            dict(HoldLine.objects.filter(hold=agreed.hold).values_list("item__code", "quantity"))[code]
            == number
        )
        assert other.code not in listed(agreed)
    assert '<span class="small quiet">instead of' not in said_by(
        wickerlark.client().get(address(wickerlark, "event", agreed))
    )


def test_undoing_leaves_what_was_agreed_in_that_colour(wickerlark: House) -> None:
    oat = BillLine("latex-11-oat", "Oat 11 in", 60, "Garland", spare=4)
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=(oat,))
        event.refresh_from_db()
        other = navy()
        agree(event, key="two", bill=(oat, BillLine(other.code, other.name, 30, "Column", spare=2)))
        event.refresh_from_db()
        before = listed(event)
        holds.swap(event.hold_id or 0, out="latex-11-oat", into=other.code, key="s")
        assert listed(event)[other.code] == 56 + 28
        swaps.undo_swap(event.pk, "latex-11-oat")
        assert listed(event) == before
        kept = dict(HoldLine.objects.filter(hold=event.hold).values_list("item__code", "quantity"))
        assert kept == {"latex-11-oat": 60, other.code: 30}


def test_a_restored_event_holds_what_was_swapped_in(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        code, number = latex(agreed)
        other = navy()
        holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="s")
        calling_off.call_off(agreed.pk)
        calling_off.take_up_again(agreed.pk)
        agreed.refresh_from_db()
        kept = dict(HoldLine.objects.filter(hold=agreed.hold).values_list("item__code", "quantity"))
        assert kept[other.code] == number
        assert code not in kept


def test_the_ledger_takes_what_was_swapped_in(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        code, number = latex(agreed)
        other = navy()
        holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="s")
        stages.reach(agreed.pk, Stage.PREPARED)
        lines = LoadOutLine.objects.filter(event=agreed, dropped=False)
        ops = [
            said(line, 0, TickKind.BACK, used=line.quantity)
            if line.code == other.code
            else said(line, line.quantity, TickKind.BACK)
            for line in lines
        ]
        ticks.save_ticks(agreed.pk, ops)
        returns.count_back(agreed.pk)
        used = dict(Movement.objects.filter(kind="used").values_list("item__code", "quantity"))
        assert used == {other.code: -number}


def swap_for_giant_ring(event: Event) -> Item:
    """The ring of the event is swapped for one that is far larger and takes two to lift."""
    giant = shelf.thing(
        Kind.FRAME,
        "Giant ring",
        code="ring-giant",
        weight_kg=Decimal(40),
        outline={"shape": "round-top", "width_m": 3.0, "height_m": 3.0},
    )
    shelf.put([(giant, 1)])
    holds.swap(event.hold_id or 0, out="ring-6ft", into=giant.code, key="giant")
    return giant


def test_run_sheet_and_van_go_by_what_was_swapped_in(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        lift = "Two people lift"
        before = run_sheet.find_run_sheet(agreed, wickerlark.studio).cautions
        assert not any(words.startswith(lift) for words in before)
        small = van_load.loads([agreed.pk])[agreed.pk]
        swap_for_giant_ring(agreed)
        after = run_sheet.find_run_sheet(agreed, wickerlark.studio).cautions
        assert any(words.startswith(lift) for words in after)
        assert van_load.loads([agreed.pk])[agreed.pk].longest_m > small.longest_m


def test_the_calendar_shows_the_frame_that_was_swapped_in(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        giant = swap_for_giant_ring(agreed)
        assert list(find_stays(Lanes.PIECE, agreed.hold_window())) == [giant.name]
        day = agreed.ready_by.astimezone(wickerlark.studio.tz).date()
        shown = {
            code: find_month(day, wickerlark.studio, Filters(frame_code=code)).count
            for code in ("ring-6ft", giant.code)
        }
        assert shown == {"ring-6ft": 0, giant.code: 1}


def test_agreeing_again_keeps_what_was_swapped(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        other = navy()
        holds.swap(agreed.hold_id or 0, out="latex-11-oat", into=other.code, key="s")
        more = (BillLine("latex-11-oat", "Oat 11 in", 150, "Garland", "garland", spare=10), *BILL[2:])
        agree(agreed, key="quote-1-v2", bill=more)
        row = BillRow.objects.get(event=agreed, code="latex-11-oat")
        assert (row.label, row.present_code, row.present_label) == ("Oat 11 in", other.code, "Navy 11 in")
        kept = dict(HoldLine.objects.filter(hold=agreed.hold).values_list("item__code", "quantity"))
        assert (kept.get("latex-11-oat"), kept[other.code]) == (None, 150)
        assert (listed(agreed).get("latex-11-oat"), listed(agreed)[other.code]) == (None, 140)
        assert commitment.stored_bill(agreed) == list(more), "what was agreed stays"
        agree(agreed, key="quote-1-v2", bill=more)
        swaps.undo_swap(agreed.pk, "latex-11-oat")
        kept = dict(HoldLine.objects.filter(hold=agreed.hold).values_list("item__code", "quantity"))
        assert (kept["latex-11-oat"], kept.get(other.code)) == (150, None)


def test_a_swap_is_refused_only_for_what_it_swaps(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        other = navy()
        movements.count(Item.objects.get(code="ring-6ft").pk, 0, key="lost")
        holds.swap(agreed.hold_id or 0, out="latex-11-oat", into=other.code, key="s")
        assert other.code in listed(agreed)
