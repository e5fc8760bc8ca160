"""What is free for a window, and what standing holds lack."""

from __future__ import annotations

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stock.catalogue.items import Material
from stock.holds import holds
from stock.holds.availability import as_held, availability, shortages
from stock.ledger import movements
from stock.models import Item, MovementKind
from tests.people import House
from tests.stock.conftest import COVER, INK_5, OAT_11, RING, Stocked


def test_each_need_is_answered_in_order_with_what_is_free_and_short(stocked: Stocked) -> None:
    with stocked.house.enter("crew"):
        answers = availability(
            [Material(RING, 3), Material(OAT_11, 120), Material("moon-gate", 2), Material(OAT_11, 130)],
            stocked.days(5, 6),
        )
    assert [(each.code, each.needed, each.owned, each.free, each.short) for each in answers] == [
        (RING, 3, 2, 2, 1),
        (OAT_11, 250, 200, 200, 50),
        ("moon-gate", 2, 0, 0, 2),
    ]
    assert [each.is_unknown for each in answers] == [False, False, True]


@pytest.mark.parametrize(("needed", "bags"), [(200, 0), (201, 1), (300, 1), (301, 2)])
def test_what_is_short_is_bought_in_whole_bags(stocked: Stocked, needed: int, bags: int) -> None:
    with stocked.house.enter():
        (answer,) = availability([Material(OAT_11, needed)], stocked.days(5, 6))
    assert answer.bags_to_buy == bags


def test_a_frame_is_not_bought_by_the_bag(stocked: Stocked) -> None:
    with stocked.house.enter():
        (answer,) = availability([Material(RING, 9)], stocked.days(5, 6))
    assert answer.bags_to_buy is None


def test_what_is_used_up_is_promised_for_good_whatever_the_days(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="Later", window=stocked.days(30, 31), needs=[Material(OAT_11, 150)], key="k")
        (answer,) = availability([Material(OAT_11, 100)], stocked.days(5, 6))
    assert (answer.free, answer.short) == (50, 50)


def test_a_short_frame_says_when_there_would_be_enough(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="Supper", window=stocked.days(4, 6), needs=[Material(RING, 1)], key="a")
        holds.hold(label="Ball", window=stocked.days(6.5, 8), needs=[Material(RING, 2)], key="b")
        (answer,) = availability([Material(RING, 2)], stocked.days(5, 6))
    # A whole day for both is free again only after the ball: between the two there is but half a day.
    assert (answer.free, answer.back_at) == (1, stocked.days(6.5, 8).end)


def test_a_free_frame_names_the_return_it_hangs_on(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="School ball", window=stocked.days(1, 4), needs=[Material(RING, 1)], key="a")
        (both,) = availability([Material(RING, 2)], stocked.days(5, 6))
        (one,) = availability([Material(RING, 1)], stocked.days(5, 6))
    assert (both.free, both.back_at, both.back_from) == (2, stocked.days(1, 4).end, "School ball")
    assert (one.back_at, one.back_from) == (None, "")


def test_ones_own_hold_does_not_count_against_one(stocked: Stocked) -> None:
    with stocked.house.enter():
        mine = holds.hold(
            label="Fair", window=stocked.days(5, 6), needs=[Material(RING, 2), Material(OAT_11, 200)], key="a"
        ).hold_id
        needs = [Material(RING, 2), Material(OAT_11, 200)]
        assert [each.free for each in availability(needs, stocked.days(5, 6))] == [0, 0]
        assert [each.free for each in availability(needs, stocked.days(5, 6), besides=mine)] == [2, 200]


def test_another_studios_things_are_unknown_here(stocked: Stocked, federkorn: House) -> None:
    with federkorn.enter():
        (answer,) = availability([Material(RING, 1)], stocked.days(5, 6))
    assert answer.is_unknown


def test_the_queries_grow_neither_with_the_bill_nor_with_the_history(stocked: Stocked) -> None:
    needs = [Material(code, 1) for code in (OAT_11, RING, INK_5, COVER, "moon-gate")]
    counts = []
    with stocked.house.enter():
        for size, history in ((2, range(2, 5, 3)), (5, range(5, 30, 3))):
            for days in history:
                window = stocked.days(days, days + 0.5)
                holds.hold(label="Event", window=window, needs=needs[:4], key=f"k{days}")
            with CaptureQueriesContext(connection) as queries:
                availability(needs[:size], stocked.days(40, 41))
            counts.append(len(queries))
    assert counts[0] == counts[1]


def test_shortages_give_consumables_to_the_earlier_event_first(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="Second", window=stocked.days(9, 10), needs=[Material(OAT_11, 150)], key="b")
        holds.hold(label="First", window=stocked.days(5, 6), needs=[Material(OAT_11, 120)], key="a")
        holds.hold(label="Third", window=stocked.days(12, 13), needs=[Material(OAT_11, 30)], key="c")
        found = [(each.label, each.short) for each in shortages()]
        soon = [each.label for each in shortages(until=stocked.days(9, 11).end)]
    assert found == [("Second", 70), ("Third", 30)]
    assert soon == ["Second"]


def test_a_frame_lost_after_it_was_promised_is_a_shortage_of_the_later_event(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="First", window=stocked.days(5, 7), needs=[Material(RING, 1)], key="a")
        holds.hold(label="Second", window=stocked.days(6, 8), needs=[Material(RING, 1)], key="b")
        assert shortages() == []
        movements.write_off(Item.objects.get(code=RING).pk, 1, kind=MovementKind.LOST, key="l")
        assert [(each.label, each.item.code, each.short) for each in shortages()] == [("Second", RING, 1)]
        movements.receive(Item.objects.get(code=RING).pk, 1, key="r")
        assert shortages() == []


def test_a_lapsed_hold_lacks_nothing(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(
            label="Maybe",
            window=stocked.days(5, 6),
            needs=[Material(INK_5, 10)],
            key="a",
            tentative_until=stocked.days(1, 2).end,
        )
        assert len(shortages()) == 1
    with time_machine.travel(stocked.days(1, 2).end, tick=False), stocked.house.enter():
        assert shortages() == []


def test_what_a_hold_lacks_is_the_same_beside_other_holds_and_among_the_shortages(stocked: Stocked) -> None:
    """Whoever leaves first has what there is, whoever asked first."""
    with stocked.house.enter():
        ids = {}
        wanted = (("Later", 12, 120), ("Sooner", 9, 110), ("Last", 15, 20))
        for label, start, count in wanted:
            needs = [Material(OAT_11, count)]
            made = holds.hold(label=label, window=stocked.days(start, start + 1), needs=needs, key=label)
            ids[label] = made.hold_id
        lacking = {each.label: each.short for each in shortages()}
        assert lacking == {"Later": 30, "Last": 20}
        for label, start, count in wanted:
            needs, window = [Material(OAT_11, count)], stocked.days(start, start + 1)
            (own,) = as_held(availability(needs, window, besides=ids[label]), [ids[label]])
            assert own.short == lacking.get(label, 0), label


def test_a_hold_helps_with_what_is_on_it_alone(stocked: Stocked) -> None:
    with stocked.house.enter():
        window = stocked.days(9, 10)
        own = holds.hold(label="Fair", window=window, needs=[Material(OAT_11, 150)], key="k")
        holds.hold(label="Gala", window=stocked.days(12, 13), needs=[Material(OAT_11, 150)], key="later")
        more = availability([Material(OAT_11, 180), Material(INK_5, 5)], window, besides=own.hold_id)
        assert [each.free for each in more] == [50, 0]
        assert [each.free for each in as_held(more, [own.hold_id])] == [150, 0]


def test_who_has_no_hold_waits_for_all_others(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="Fair", window=stocked.days(9, 10), needs=[Material(INK_5, 40)], key="k")
        found = availability([Material(INK_5, 40)], stocked.days(3, 4))
        assert as_held(found, []) == found
        assert found[0].short
