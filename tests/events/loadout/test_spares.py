"""Spare balloons by size: lines of their own on the load-out list, one item to the shelf."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from events.booking import stages
from events.costs import real_cost
from events.jobs.commitment import BillLine, CannotCommit
from events.loadout import line_states, load_list, returns, spares, ticks
from events.loadout.line_states import Back, LineState
from events.models import BillRow, Event, LoadOutLine, LoadPlace, LogEntry, Stage, TickKind
from stock.catalogue.items import Material, add_colour, add_item
from stock.holds import holds
from stock.kits import kits
from stock.ledger import movements
from stock.models import Colour, HoldLine, Item, Kind, Movement, MovementKind
from tests.events.conftest import BILL, agree, printed, said, said_by, stock_up, take, words_on
from tests.events.test_pages import counted as queries
from tests.people import House

SPARED = (replace(BILL[0], spare=8), replace(BILL[1], spare=6), *BILL[2:])
"""The usual bill, its spares told apart."""


@pytest.fixture
def spared(wickerlark: House) -> Event:
    """An agreed event whose list has spares of two sizes."""
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=SPARED)
        event.refresh_from_db()
    return event


def state(event: Event, code: str) -> LineState:
    return next(found for found in load_list.find_load_out_list(event.pk).states if found.line.code == code)


def listed(event: Event) -> dict[str, int]:
    return {found.line.code: found.line.quantity for found in load_list.find_load_out_list(event.pk).states}


def summed(event: Event) -> Counter[str]:
    """The list by what the shelf calls each thing."""
    total: Counter[str] = Counter()
    for found in load_list.find_load_out_list(event.pk).states:
        total[found.line.item_code] += found.line.quantity
    return total


def on_hand(code: str) -> int:
    item = Item.objects.get(code=code)
    return movements.balances([item.pk])[item.pk]


# --- The list ---


def test_spares_are_lines_of_their_own_that_go_in_last_in_order_of_size(
    wickerlark: House, spared: Event
) -> None:
    with wickerlark.enter("crew"):
        groups = load_list.find_load_out_list(spared.pk).groups
    assert [group.place for group in groups] == list(LoadPlace)
    assert [(found.line.code, found.line.label, found.line.quantity) for found in groups[-1].lines] == [
        ("spare:latex-5-oat", "Spare oat 5 in", 6),
        ("spare:latex-11-oat", "Spare oat 11 in", 8),
    ]
    with wickerlark.enter():
        assert listed(spared)["latex-11-oat"] == 112


def test_what_is_held_and_billed_is_the_whole(wickerlark: House, spared: Event) -> None:
    with wickerlark.enter():
        assert HoldLine.objects.get(hold=spared.hold, item__code="latex-11-oat").quantity == 120
        row = BillRow.objects.get(event=spared, code="latex-11-oat")
        assert (row.quantity, row.spare) == (120, 8)


def test_spares_of_two_pieces_are_one_line(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=(*SPARED, BillLine("latex-11-oat", "Oat 11 in", 30, "Column", spare=2)))
        assert (listed(event)["latex-11-oat"], listed(event)["spare:latex-11-oat"]) == (140, 10)


def test_an_item_whose_own_name_says_spare_is_not_taken_for_a_spare(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        movements.write_movements(
            [(add_item(kind=Kind.HARDWARE, name="Spare latex 11 oat"), MovementKind.OPENING, 3)]
        )
        event = take()
        agree(event, bill=(*SPARED, BillLine("spare-latex-11-oat", "Spare latex 11 oat", 3)))
        assert (listed(event)["spare-latex-11-oat"], listed(event)["spare:latex-11-oat"]) == (3, 8)
        assert state(event, "spare-latex-11-oat").line.item_code == "spare-latex-11-oat"


def test_what_the_catalogue_does_not_know_has_its_spares_after_all_sizes(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=(*SPARED, BillLine("latex-11-plum", "Plum 11 in", 12, "Garland", spare=1)))
        last = load_list.find_load_out_list(event.pk).states[-1].line
        assert (last.code, last.label, last.shelf_place) == ("spare:latex-11-plum", "Spare Plum 11 in", "")


def test_the_longest_code_has_room_for_its_spares(wickerlark: House) -> None:
    with wickerlark.enter():
        event = take()
        code = "x" * 80
        agree(event, bill=(BillLine(code, "Y" * 160, 3, spare=1),))
        assert listed(event)[f"spare:{code}"] == 1


bills = st.lists(
    st.builds(
        lambda code, quantity, share: BillLine(
            code, code, quantity, spare=min(quantity - 1, int(quantity * share))
        ),
        st.sampled_from(["latex-5-oat", "latex-11-oat", "latex-11-sage", "ring-6ft"]),
        st.integers(1, 500),
        st.floats(0, 1),
    ),
    max_size=12,
)


def test_a_line_and_its_spares_are_always_what_the_bill_says(wickerlark: House) -> None:
    @given(bill=bills)
    def always(bill: list[BillLine]) -> None:
        oat = Colour(pk=1, name="Oat", code="oat")
        items = {"latex-5-oat": Item(pk=1, code="latex-5-oat", kind=Kind.LATEX, size_in=5, colour=oat)}
        lines = load_list.bill_lines(Event(), bill, items)
        wanted, spare, sums = Counter[str](), Counter[str](), Counter[str]()
        for billed in bill:
            wanted[billed.code] += billed.quantity
            spare[billed.code] += billed.spare
        for line in lines:
            sums[line.item_code] += line.quantity
            assert line.quantity > 0
        assert sums == wanted
        assert {line.spare_of: line.quantity for line in lines if line.spare_of} == +spare
        assert len({line.code for line in lines}) == len(lines)

    with wickerlark.enter():
        always()


def test_dividing_loses_and_adds_no_balloon(wickerlark: House) -> None:
    @given(
        needed=st.integers(1, 300),
        spare=st.integers(1, 60),
        loaded=st.integers(0, 400),
        short=st.integers(0, 400),
    )
    def always(needed: int, spare: int, loaded: int, short: int) -> None:
        own = LineState(LoadOutLine(code="a", quantity=needed), count=loaded, at=timezone.now(), short=short)
        beside = LineState(LoadOutLine(code="spare:a", spare_of="a", quantity=spare), short=short)
        first, second = spares.share_out([own, beside])
        assert first.short + second.short == short
        assert second.short == min(short, spare)
        assert first.count + second.count == loaded
        if loaded > needed:
            assert first.went_out + second.went_out == loaded

    with wickerlark.enter():
        always()


def test_spares_of_a_kit_are_spares_of_what_is_in_it(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        oat = Item.objects.get(code="latex-11-oat")
        kits.save_kit(None, name="Cluster", note="", parts={oat.pk: 4})
        event = take()
        agree(event, bill=(BillLine("kit-cluster", "Cluster", 10, spare=1),))
        assert (listed(event)["latex-11-oat"], listed(event)["spare:latex-11-oat"]) == (36, 4)


# --- Agreed again ---


def test_agreeing_twice_under_one_key_is_once_and_other_spares_are_another_bill(
    wickerlark: House, spared: Event
) -> None:
    with wickerlark.enter():
        before = listed(spared)
        agree(spared, bill=SPARED)
        assert listed(spared) == before
        with pytest.raises(CannotCommit, match="another bill"):
            agree(spared, bill=BILL)


def test_agreed_anew_with_other_counts_ticks_on_both_lines_stay(wickerlark: House, spared: Event) -> None:
    with wickerlark.enter():
        own, spare = state(spared, "latex-11-oat").line, state(spared, "spare:latex-11-oat").line
        ticks.save_ticks(spared.pk, [said(own, 112), said(spare, 8)])
        agree(spared, key="v2", bill=(replace(SPARED[0], quantity=130, spare=9), *SPARED[1:]))
        assert (state(spared, own.code).line.pk, state(spared, spare.code).line.pk) == (own.pk, spare.pk)
        stands = [state(spared, code) for code in (own.code, spare.code)]
        assert [(found.count, found.line.quantity) for found in stands] == [(112, 121), (8, 9)]
        agree(spared, key="v3", bill=BILL)
        assert "spare:latex-11-oat" not in listed(spared)
        assert listed(spared)["latex-11-oat"] == 120
        agree(spared, key="v4", bill=SPARED)
        assert state(spared, spare.code).is_in


def test_a_line_ticked_before_its_spares_were_told_apart_has_both_in(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter("crew"):
        ticks.save_ticks(agreed.pk, [said(state(agreed, "latex-11-oat").line, 120)])
    with wickerlark.enter():
        agree(agreed, key="v2", bill=SPARED)
        own, spare = state(agreed, "latex-11-oat"), state(agreed, "spare:latex-11-oat")
        assert own.is_in
        assert spare.is_in
        assert (own.count, spare.count, own.went_out + spare.went_out) == (112, 8, 120)
        assert spare.by == own.by == wickerlark.crew.get_short_name()
        ticks.save_ticks(agreed.pk, [said(spare.line, 5)])
        assert (state(agreed, "latex-11-oat").count, state(agreed, "spare:latex-11-oat").count) == (112, 5)


# --- Rules ---


@pytest.mark.parametrize(("spare", "words"), [(120, "120 of 120"), (121, "121 of 120"), (-1, "-1 of 120")])
def test_all_of_it_or_less_than_nothing_is_not_spare(wickerlark: House, spare: int, words: str) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        with pytest.raises(CannotCommit, match=f"Oat 11 in: {words} can't be spare"):
            agree(event, bill=(replace(BILL[0], spare=spare),))
        assert not event.load_out.exists()


def test_the_database_keeps_a_bill_of_nothing_but_spares_out(wickerlark: House, spared: Event) -> None:
    with wickerlark.enter():
        row = BillRow.objects.filter(event=spared, code="latex-11-oat")
        for wrong in (120, 121):
            with pytest.raises(IntegrityError, match="fewer_spare_than_all"), transaction.atomic():
                row.update(spare=wrong)
        assert row.get().spare == 8


@pytest.mark.parametrize(
    ("code", "wrong"),
    [
        ("latex-11-oat", {"spare_of": "latex-11-oat"}),
        ("latex-11-oat", {"code": "spare:ring-6ft"}),
        ("spare:latex-11-oat", {"spare_of": ""}),
        ("spare:latex-11-oat", {"spare_of": "ring-6ft"}),
    ],
)
def test_the_database_keeps_a_spare_line_to_its_item(
    wickerlark: House, spared: Event, code: str, wrong: dict[str, str]
) -> None:
    with wickerlark.enter():
        line = spared.load_out.filter(code=code)
        with pytest.raises(IntegrityError, match="spare_by_its_code"), transaction.atomic():
            line.update(**wrong)
        assert line.exists()


def test_what_lacks_lacks_from_the_spares_first(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=(replace(BILL[0], quantity=205, spare=8),))
        assert (state(event, "latex-11-oat").short, state(event, "spare:latex-11-oat").short) == (0, 5)
        other = take("Supper", days=30)
        agree(other, key="other", bill=(replace(BILL[0], quantity=230, spare=8),))
        # 30 lack of the second by itself, and all that the first takes.
        row = BillRow.objects.get(event=other)
        own, spare = state(other, "latex-11-oat").short, state(other, "spare:latex-11-oat").short
        assert (spare, own + spare) == (8, row.short)


# --- Back to the shelf ---


def everything_back(event: Event, oat: dict[str, int], spare: dict[str, int]) -> None:
    """Count back: those two lines as said, of all others everything whole."""
    said_of = {"latex-11-oat": oat, "spare:latex-11-oat": spare}
    ops = []
    for found in load_list.find_load_out_list(event.pk).states:
        told = said_of.get(found.line.code, {"count": found.went_out})
        ops.append(said(found.line, kind=TickKind.BACK, **{"count": 0, **told}))
    assert ticks.save_ticks(event.pk, ops).refused == ()


def test_used_up_broken_and_lost_are_the_same_to_the_ledger_on_either_line(
    wickerlark: House, spared: Event
) -> None:
    with wickerlark.enter("crew"):
        stages.reach(spared.pk, Stage.PREPARED)
        everything_back(spared, {"used": 110, "broken": 2}, {"count": 3, "used": 4, "lost": 1})
        answer = returns.count_back(spared.pk)
        rows = Movement.objects.exclude(kind="opening").order_by("kind")
        assert [(row.item.code, row.kind, row.quantity) for row in rows] == [
            ("latex-11-oat", "broken", -2),
            ("latex-11-oat", "lost", -1),
            ("latex-11-oat", "used", -114),
        ]
        assert on_hand("latex-11-oat") == 200 - 117
        assert answer.losses == (returns.Loss("Oat 11 in", broken=2, lost=1),)
    with wickerlark.enter():
        assert (
            "Broken: 2 × Oat 11 in. Missing: 1 × Oat 11 in." in LogEntry.objects.filter(event=spared)[0].text
        )


def test_spares_that_come_back_whole_are_on_the_shelf_again(wickerlark: House, spared: Event) -> None:
    with wickerlark.enter("crew"):
        stages.reach(spared.pk, Stage.PREPARED)
        everything_back(spared, {"used": 112}, {"count": 8})
        returns.count_back(spared.pk)
        assert on_hand("latex-11-oat") == 200 - 112


def test_spares_that_nobody_counted_are_named(wickerlark: House, spared: Event) -> None:
    with wickerlark.enter("crew"):
        stages.reach(spared.pk, Stage.PREPARED)
        everything_back(spared, {"used": 112}, {"count": 7})
        with pytest.raises(returns.CannotCountBack, match="Spare oat 11 in: 7 of 8 accounted for"):
            returns.count_back(spared.pk)


@given(
    whole=st.integers(0, 8), used=st.integers(0, 112), broken=st.integers(0, 5), spare_used=st.integers(0, 8)
)
def test_two_lines_of_one_thing_are_said_in_the_words_of_one(
    whole: int, used: int, broken: int, spare_used: int
) -> None:
    now = timezone.now()
    apart = [
        Back(whole=0, broken=broken, lost=0, used=used, by="", at=now),
        Back(whole=whole, broken=0, lost=0, used=spare_used, by="", at=now),
    ]
    one = Back(whole=whole, broken=broken, lost=0, used=used + spare_used, by="", at=now)
    assert line_states.counted_words(apart) == one.words


def test_the_real_cost_is_that_of_the_whole_and_one_row(wickerlark: House, spared: Event) -> None:
    with wickerlark.enter():
        # A third of a cent each: two rounded parts would not add up to the rounded whole.
        Item.objects.filter(code="latex-11-oat").update(bag_price=Decimal("0.3333"), bag_size=100)
        everything_back(spared, {"used": 112}, {"count": 3, "used": 5})
        (row,) = (row for row in real_cost.find_real_cost(spared.pk).materials if row.label == "Oat 11 in")
        assert (row.planned, row.took) == (Decimal("0.40"), Decimal("0.39"))
        assert row.words == "3 back, 117 used"


def test_a_thing_of_which_only_the_spares_are_counted_costs_the_rest_as_planned(
    wickerlark: House, spared: Event
) -> None:
    with wickerlark.enter():
        Item.objects.filter(code="latex-11-oat").update(bag_price=Decimal(100), bag_size=100)
        ticks.save_ticks(spared.pk, [said(state(spared, "spare:latex-11-oat").line, 8, TickKind.BACK)])
        (row,) = (row for row in real_cost.find_real_cost(spared.pk).materials if row.label == "Oat 11 in")
        assert (row.planned, row.took) == (Decimal(120), Decimal(112))


# --- Swapped ---


def plum() -> Item:
    """Another 11 in latex, plenty of it."""
    item = add_item(kind=Kind.LATEX, colour=add_colour(name="Plum", hex="#5A2A4E"), size_in=11, place="bay N")
    movements.open_with([Material(item.code, 5_000)])
    return item


def test_a_swap_takes_the_spares_along(wickerlark: House, spared: Event) -> None:
    with wickerlark.enter():
        before, other = listed(spared), plum()
        holds.swap(spared.hold_id or 0, out="latex-11-oat", into=other.code, key="there")
        after = listed(spared)
        assert (after[other.code], after[f"spare:{other.code}"]) == (112, 8)
        assert not {"latex-11-oat", "spare:latex-11-oat"} & after.keys()
        line = state(spared, f"spare:{other.code}").line
        assert (line.label, line.shelf_place, line.spare_of) == ("Spare plum 11 in", "bay N", other.code)
        holds.swap(spared.hold_id or 0, out=other.code, into="latex-11-oat", key="back")
        assert listed(spared) == before


def test_a_swap_into_what_is_on_the_list_already_adds_line_to_line(wickerlark: House, spared: Event) -> None:
    with wickerlark.enter():
        holds.swap(spared.hold_id or 0, out="latex-5-oat", into="latex-11-oat", key="s")
        assert (listed(spared)["latex-11-oat"], listed(spared)["spare:latex-11-oat"]) == (186, 14)
        assert summed(spared)["latex-11-oat"] == 200
        assert HoldLine.objects.get(hold=spared.hold, item__code="latex-11-oat").quantity == 200


def test_a_swap_of_fewer_than_were_spare_leaves_one_for_the_piece(wickerlark: House, spared: Event) -> None:
    with wickerlark.enter():
        other = plum()
        needs = [
            Material(line.item.code, 5 if line.item.code == "latex-11-oat" else line.quantity)
            for line in HoldLine.objects.filter(hold=spared.hold).select_related("item")
        ]
        holds.change(spared.hold_id or 0, needs=needs, key="fewer")
        holds.swap(spared.hold_id or 0, out="latex-11-oat", into=other.code, key="s")
        assert (listed(spared)[other.code], listed(spared)[f"spare:{other.code}"]) == (1, 4)


# --- Pages ---


def test_the_phones_page_and_the_paper_show_the_spares(wickerlark: House, spared: Event) -> None:
    browser = wickerlark.client("crew")
    shown = said_by(browser.get(wickerlark.url("events:load-out", spared.pk)))
    for page in (shown, words_on(printed(wickerlark, browser, spared, "load-out"))):
        assert "Spare oat 11 in" in page
        assert "Spare oat 5 in" in page
        ring, at_hand = page.index("Ring 6 ft"), page.index("Keep within reach (spares, not inflated)")
        assert ring < at_hand < page.index("Spare oat 5 in") < page.index("Spare oat 11 in")


def test_on_the_return_list_a_press_says_that_spares_are_back(wickerlark: House, spared: Event) -> None:
    with wickerlark.enter("crew"):
        stages.reach(spared.pk, Stage.PREPARED)
    page = wickerlark.client("crew").get(wickerlark.url("events:return-list", spared.pk)).content.decode()
    rows = {part.split('"')[0]: part for part in page.split('data-code="')[1:]}
    assert "data-comes-back" in rows["spare:latex-11-oat"]
    assert "data-comes-back" not in rows["latex-11-oat"]
    assert "uninflated ones go back" in rows["spare:latex-11-oat"]
    assert "<label hidden>to repair" in rows["spare:latex-11-oat"]


@pytest.mark.parametrize("name", ["load-out", "return-list"])
def test_spares_need_no_query_of_their_own(wickerlark: House, spared: Event, name: str) -> None:
    browser, path = wickerlark.client(), wickerlark.url(f"events:{name}", spared.pk)
    plum = [BillLine(f"latex-{size}-plum", f"{size} in Plum", 30) for size in (5, 11, 17, 24)]
    with wickerlark.enter():
        agree(spared, key="v2", bill=(*SPARED, *plum))
    queries(browser, path)
    few = queries(browser, path)
    with wickerlark.enter():
        agree(spared, key="v3", bill=(*SPARED, *[replace(line, spare=3) for line in plum]))
    assert queries(browser, path) == few


def test_the_numbers_of_a_spare_line_are_kept_without_script(wickerlark: House, spared: Event) -> None:
    browser = wickerlark.client("crew")
    with wickerlark.enter("crew"):
        stages.reach(spared.pk, Stage.PREPARED)
        line = state(spared, "spare:latex-11-oat").line
    typed = {f"back-{line.pk}": "6", f"used-{line.pk}": "2", "do": "keep"}
    assert browser.post(wickerlark.url("events:return-list", spared.pk), typed).status_code == 302
    with wickerlark.enter("crew"):
        back = state(spared, "spare:latex-11-oat").back
        assert back is not None
        assert (back.whole, back.used) == (6, 2)


def test_a_press_without_script_ticks_a_spare_line(wickerlark: House, spared: Event) -> None:
    browser = wickerlark.client("crew")
    with wickerlark.enter("crew"):
        found = state(spared, "spare:latex-5-oat")
    pressed = f"{found.line.pk}:{found.other_count}:{found.new_uuid}"
    browser.post(wickerlark.url("events:ticks", spared.pk), {"tick": pressed})
    with wickerlark.enter("crew"):
        assert state(spared, "spare:latex-5-oat").is_in
        assert not state(spared, "latex-5-oat").at
        assert timezone.now() - (state(spared, "spare:latex-5-oat").at or timezone.now()) < timedelta(
            minutes=1
        )
