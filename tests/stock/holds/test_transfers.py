"""Pieces that go straight from one job to the next: promised once, kept through changes, undone where free."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from stock.care.wear import find_wear
from stock.catalogue.items import Material
from stock.holds import holds, transfers
from stock.holds.availability import availability, shortages
from stock.holds.holds import TransferIn
from stock.holds.presenter import hold_page
from stock.items.presenter import item_page
from stock.ledger import movements
from stock.ledger.idempotency import KeyTaken
from stock.models import AgreedTransfer, Hold, HoldLine, Purpose
from tests.people import House
from tests.stock.conftest import COVER, INK_5, OAT_11, RING, Stocked


def held(stocked: Stocked, name: str, start: float, end: float, needs: dict[str, int], **more: Any) -> int:
    """A hold of that name, from so many days from now to so many."""
    materials = [Material(code, quantity) for code, quantity in needs.items()]
    window = stocked.days(start, end)
    return holds.hold(label=name, window=window, needs=materials, key=name, **more).hold_id


def at(stocked: Stocked, day: float) -> datetime:
    return stocked.now + timedelta(days=day)


def lines(hold_id: int, code: str = RING) -> list[tuple[int, datetime, datetime]]:
    rows = HoldLine.objects.filter(hold_id=hold_id, item__code=code, standing=True)
    return list(rows.order_by("busy_from", "pk").values_list("quantity", "busy_from", "busy_until"))


def on(
    stocked: Stocked, giver: int, taker: int, *, day: float, code: str = RING, quantity: int = 1, **more: Any
) -> None:
    transfers.make_transfer(
        giver, taker, code=code, quantity=quantity, at=at(stocked, day), key=more.pop("key", "on"), **more
    )


@pytest.fixture
def two(stocked: Stocked) -> tuple[int, int]:
    """A bakery has one ring from day 3 to 4, a hall has the other from day 3.5 to 5."""
    with stocked.house.enter():
        return held(stocked, "Bakery", 3, 4, {RING: 1}), held(stocked, "Hall", 3.5, 5, {RING: 1})


def test_the_first_stay_ends_and_the_second_begins_at_that_moment(
    stocked: Stocked, two: tuple[int, int]
) -> None:
    bakery, hall = two
    with stocked.house.enter():
        on(stocked, bakery, hall, day=3.8)
        assert lines(bakery) == [(1, at(stocked, 3), at(stocked, 3.8))]
        assert lines(hall) == [(1, at(stocked, 3.8), at(stocked, 5))]
        (found,) = availability([Material(RING, 1)], stocked.days(3, 5))
        assert found.free == 1, "one ring serves both"


def test_only_as_many_as_were_said_go_straight_on(stocked: Stocked) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {RING: 2, OAT_11: 5})
        hall = held(
            stocked, "Hall", 3.5, 5, {RING: 1}, transfers_in=[TransferIn(bakery, RING, 1, at(stocked, 3.8))]
        )
        assert lines(bakery) == [
            (1, at(stocked, 3), at(stocked, 3.8)),
            (1, at(stocked, 3), at(stocked, 4)),
        ] or lines(bakery) == [(1, at(stocked, 3), at(stocked, 4)), (1, at(stocked, 3), at(stocked, 3.8))]
        assert lines(hall) == [(1, at(stocked, 3.8), at(stocked, 5))]
        assert lines(bakery, OAT_11) == [(5, at(stocked, 3), at(stocked, 4))]


def test_a_hold_that_has_its_pieces_only_straight_from_another_is_kept(stocked: Stocked) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {RING: 2})
        with pytest.raises(holds.NotFree, match="0 free of 1"):
            held(stocked, "Hall", 3.5, 5, {RING: 1})
        with pytest.raises(holds.NotFree, match="Ring 6 ft: 1 free of 2 needed"):
            held(
                stocked,
                "Hall",
                3.5,
                5,
                {RING: 2},
                transfers_in=[TransferIn(bakery, RING, 1, at(stocked, 3.8))],
            )
        held(stocked, "Hall", 3.5, 5, {RING: 1}, transfers_in=[TransferIn(bakery, RING, 1, at(stocked, 3.8))])


def test_what_wants_washing_goes_on_only_knowingly_and_is_washed_afterwards(stocked: Stocked) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {COVER: 1})
        with pytest.raises(holds.CannotHold, match="Ring cover would go on unwashed"):
            held(
                stocked,
                "Hall",
                4.2,
                5,
                {COVER: 1},
                transfers_in=[TransferIn(bakery, COVER, 1, at(stocked, 4))],
            )
        knowingly = TransferIn(bakery, COVER, 1, at(stocked, 4), unwashed=True)
        hall = held(stocked, "Hall", 4.2, 5, {COVER: 1}, transfers_in=[knowingly])
        assert lines(bakery, COVER) == [(1, at(stocked, 3), at(stocked, 4))]
        assert lines(hall, COVER) == [(1, at(stocked, 4), at(stocked, 5) + timedelta(hours=30))]


@pytest.mark.parametrize(
    ("day", "code", "quantity", "message"),
    [
        (2.9, RING, 1, "Bakery doesn’t have it at that moment"),
        (4.1, RING, 1, "Bakery doesn’t have it at that moment"),
        (3.8, RING, 2, "has 1 × Ring 6 ft, but 2 would be transferred"),
        (3.8, RING, 0, "at least 1"),
        (3.8, OAT_11, 1, "is a consumable"),
        (3.8, "ring-9-ft", 1, "There is no item"),
    ],
)
def test_what_nobody_can_mean_is_refused(
    stocked: Stocked, day: float, code: str, quantity: int, message: str
) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {RING: 1, OAT_11: 1})
        hall = held(stocked, "Hall", 3.5, 5, {RING: 1, OAT_11: 1})
        with pytest.raises(holds.CannotHold, match=message):
            on(stocked, bakery, hall, day=day, code=code, quantity=quantity)
        assert not AgreedTransfer.objects.exists()


def test_a_job_can_only_let_go_what_it_has(stocked: Stocked) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {COVER: 1})
        hall = held(stocked, "Hall", 3.5, 5, {RING: 1})
        with pytest.raises(holds.CannotHold, match="Bakery has no Ring 6 ft to transfer"):
            on(stocked, bakery, hall, day=3.8)
        short = held(stocked, "Short", 3.5, 3.7, {RING: 1})
        with pytest.raises(holds.CannotHold, match="Short is over by then"):
            on(stocked, hall, short, day=3.8)


def test_a_piece_is_handed_on_once(stocked: Stocked, two: tuple[int, int]) -> None:
    bakery, hall = two
    with stocked.house.enter():
        third = held(stocked, "Third", 6, 7, {RING: 1})
        on(stocked, bakery, hall, day=3.8)
        with pytest.raises(holds.CannotHold, match="A piece can be transferred only once"):
            on(stocked, hall, third, day=5, key="again")
        with pytest.raises(holds.CannotHold, match="A piece can be transferred only once"):
            on(stocked, bakery, third, day=3.9, key="twice")


def test_tentative_holds_and_what_is_set_aside_hand_nothing_on(stocked: Stocked) -> None:
    with stocked.house.enter():
        until = at(stocked, 2)
        tentative = held(stocked, "Tentative", 3, 4, {RING: 1}, tentative_until=until)
        hall = held(stocked, "Hall", 3.5, 5, {RING: 1})
        for giver, taker in ((tentative, hall), (hall, tentative)):
            with pytest.raises(holds.CannotHold, match="two confirmed events"):
                on(stocked, giver, taker, day=3.8)
        mending = holds.set_aside(
            stocked.item(RING).pk, 1, until=at(stocked, 4), purpose=Purpose.MENDING, key="m"
        ).hold_id
        with pytest.raises(holds.CannotHold, match="in cleaning or repair"):
            on(stocked, mending, hall, day=3.8)


def test_a_hold_whose_date_has_passed_is_not_made_firm_over_another(stocked: Stocked) -> None:
    with stocked.house.enter():
        tentative = held(stocked, "Tentative", 3.5, 5, {RING: 2}, tentative_until=at(stocked, 1))
        Hold.objects.filter(pk=tentative).update(tentative_until=timezone.now() - timedelta(hours=1))
        bakery = held(stocked, "Bakery", 3, 4, {RING: 1})
        held(stocked, "Other", 3, 6, {RING: 1})
        straight = [TransferIn(bakery, RING, 1, at(stocked, 3.8))]
        with pytest.raises(holds.NotFree, match="1 free of 2"):
            holds.change(tentative, key="firm", transfers_in=straight, firm=True)
        holds.change(tentative, key="one", needs=[Material(RING, 1)], transfers_in=straight, firm=True)
        assert Hold.objects.get(pk=tentative).state == "held"


def test_pressed_twice_is_once_and_another_number_changes_it(stocked: Stocked) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {RING: 2})
        hall = held(
            stocked, "Hall", 3.5, 5, {RING: 2}, transfers_in=[TransferIn(bakery, RING, 2, at(stocked, 3.8))]
        )
        on(stocked, bakery, hall, day=3.9, quantity=2)
        on(stocked, bakery, hall, day=3.9, quantity=2)
        assert lines(hall) == [(2, at(stocked, 3.9), at(stocked, 5))]
        assert lines(bakery) == [(2, at(stocked, 3), at(stocked, 3.9))]
        with pytest.raises(KeyTaken, match="already used for another request"):
            on(stocked, bakery, hall, day=3.9, quantity=1)
        with pytest.raises(holds.NotFree, match="Ring 6 ft: 1 free of 2 needed"):
            on(stocked, bakery, hall, day=3.9, quantity=1, key="fewer")


def test_undone_it_goes_home_where_it_is_free_for_that(stocked: Stocked, two: tuple[int, int]) -> None:
    bakery, hall = two
    with stocked.house.enter():
        on(stocked, bakery, hall, day=3.8)
        link = AgreedTransfer.objects.get()
        other = held(stocked, "Other", 3, 6, {RING: 1})
        with pytest.raises(holds.CannotHold, match="can’t go home from Bakery in time for Hall"):
            transfers.undo_transfer(link.pk, key="undo")
        holds.release(other, key="gone")
        transfers.undo_transfer(link.pk, key="undo")
        transfers.undo_transfer(link.pk, key="undo")
        transfers.undo_transfer(link.pk, key="undo again")
        assert lines(bakery) == [(1, at(stocked, 3), at(stocked, 4))]
        assert lines(hall) == [(1, at(stocked, 3.5), at(stocked, 5))]
        assert not AgreedTransfer.objects.exists()


def test_letting_either_job_go_sends_the_pieces_by_way_of_the_shelf(stocked: Stocked) -> None:
    with stocked.house.enter():
        for first in (True, False):
            bakery = held(stocked, f"Bakery {first}", 3, 4, {RING: 1})
            hall = held(stocked, f"Hall {first}", 3.5, 5, {RING: 1})
            on(stocked, bakery, hall, day=3.8, key=f"on {first}")
            holds.release(bakery if first else hall, key=f"gone {first}")
            assert not AgreedTransfer.objects.exists()
            assert not HoldLine.objects.filter(hold__state="released", standing=True).exists()
            stays = lines(hall if first else bakery)
            assert stays == [(1, at(stocked, 3.5 if first else 3), at(stocked, 5 if first else 4))]
            holds.release(hall if first else bakery, key=f"both {first}")


def test_a_job_is_not_let_go_over_the_head_of_the_one_that_waits_for_its_pieces(stocked: Stocked) -> None:
    with stocked.house.enter():
        held(stocked, "Early", 2, 3, {RING: 2})
        bakery = held(stocked, "Bakery", 3, 4, {RING: 2})
        hall = held(
            stocked, "Hall", 2.5, 5, {RING: 1}, transfers_in=[TransferIn(bakery, RING, 1, at(stocked, 3.8))]
        )
        with pytest.raises(holds.CannotHold, match="in time for Hall"):
            holds.release(bakery, key="gone")
        assert lines(hall) == [(1, at(stocked, 3.8), at(stocked, 5))]
        assert Hold.objects.get(pk=bakery).state == "held"


def test_other_times_are_looked_at_with_what_transfer_requests_out_on(
    stocked: Stocked, two: tuple[int, int]
) -> None:
    bakery, hall = two
    with stocked.house.enter():
        on(stocked, bakery, hall, day=3.8)
        with pytest.raises(holds.CannotHold, match="Bakery doesn’t have it at that moment"):
            holds.change(bakery, window=stocked.days(6, 7), key="later")
        with pytest.raises(holds.CannotHold, match="Hall is over by then"):
            holds.change(hall, window=stocked.days(3, 3.7), key="sooner")
        holds.change(bakery, window=stocked.days(3.2, 4.4), leaves_at=at(stocked, 4.2), key="moved")
        assert lines(bakery) == [(1, at(stocked, 3.2), at(stocked, 4.2))]
        assert lines(hall) == [(1, at(stocked, 4.2), at(stocked, 5))]
        holds.change(hall, window=stocked.days(3.5, 6), key="longer")
        assert lines(hall) == [(1, at(stocked, 4.2), at(stocked, 6))]


def test_a_longer_stay_clashes_with_others_though_it_transfer_requests(stocked: Stocked) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {RING: 2})
        hall = held(
            stocked, "Hall", 3.5, 5, {RING: 2}, transfers_in=[TransferIn(bakery, RING, 2, at(stocked, 3.8))]
        )
        held(stocked, "Next", 5, 6, {RING: 1})
        with pytest.raises(holds.NotFree, match="1 free of 2"):
            holds.change(hall, window=stocked.days(3.5, 5.5), key="longer")
        holds.change(bakery, leaves_at=at(stocked, 3.6), key="sooner")
        with pytest.raises(holds.NotFree, match="1 free of 2"):
            on(stocked, bakery, hall, day=3.6, quantity=1)


def test_other_quantities_and_swaps_respect_what_transfer_requests_out_on(stocked: Stocked) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {RING: 1, OAT_11: 10})
        hall = held(stocked, "Hall", 3.5, 5, {RING: 1, OAT_11: 10})
        on(stocked, bakery, hall, day=3.8)
        with pytest.raises(holds.CannotHold, match="has 0 × Ring 6 ft"):
            holds.change(hall, needs=[Material(OAT_11, 10)], key="none")
        with pytest.raises(holds.CannotHold, match="has 0 × Ring 6 ft"):
            holds.swap(bakery, out=RING, into=COVER, key="swap")
        holds.change(hall, needs=[Material(RING, 2), Material(OAT_11, 20)], key="more")
        assert sorted(lines(hall)) == [
            (1, at(stocked, 3.5), at(stocked, 5)),
            (1, at(stocked, 3.8), at(stocked, 5)),
        ]
        holds.swap(bakery, out=OAT_11, into=INK_5, key="other")
        assert lines(bakery) == [(1, at(stocked, 3), at(stocked, 3.8))]
        assert holds.confirm(hall, key="c").lines == (Material(OAT_11, 20), Material(RING, 2))


def test_counted_back_sooner_than_planned_it_has_gone_on_by_now(
    stocked: Stocked, monkeypatch: pytest.MonkeyPatch
) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {RING: 2})
        hall = held(
            stocked, "Hall", 3.5, 5, {RING: 2}, transfers_in=[TransferIn(bakery, RING, 2, at(stocked, 3.8))]
        )
        early = at(stocked, 3.6)
        monkeypatch.setattr("django.utils.timezone.now", lambda: early)
        holds.count_back(bakery, used=[], key="back")
        assert lines(bakery) == []
        assert lines(hall) == [(2, early, at(stocked, 5))]
        assert [link.at for link in transfers.list_transfers([bakery])] == [early]
        with pytest.raises(holds.CannotHold, match="The transfer has happened: Bakery is over"):
            transfers.undo_transfer(AgreedTransfer.objects.get().pk, key="undo")
        holds.change(hall, window=stocked.days(3.5, 5.2), key="longer")
        assert lines(hall) == [(2, early, at(stocked, 5.2))]
        holds.count_back(hall, used=[], lost=[Material(RING, 1)], key="hall back")
        assert not HoldLine.objects.filter(standing=True).exists()
        assert movements.balances([stocked.item(RING).pk]) == {stocked.item(RING).pk: 1}
        assert find_wear(stocked.item(RING)).uses == 4, "each ring was out twice"


def test_a_piece_that_breaks_at_the_first_job_is_short_at_the_second(stocked: Stocked) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {RING: 2})
        hall = held(
            stocked, "Hall", 3.5, 5, {RING: 2}, transfers_in=[TransferIn(bakery, RING, 2, at(stocked, 3.8))]
        )
        holds.count_back(bakery, used=[], broken=[Material(RING, 1)], key="back")
        (short,) = shortages()
        assert (short.hold_id, short.short) == (hall, 1)


def test_what_is_short_already_may_still_be_undone_or_let_go(stocked: Stocked, two: tuple[int, int]) -> None:
    bakery, hall = two
    with stocked.house.enter():
        on(stocked, bakery, hall, day=3.8)
        held(stocked, "Other", 4.5, 6, {RING: 1})
        ring = stocked.item(RING)
        movements.write_off(ring.pk, 2, kind="broken", key="both")  # type: ignore[arg-type] # as a form would say it
        holds.release(hall, key="off")
        assert lines(bakery) == [(1, at(stocked, 3), at(stocked, 4))]


def test_pages_of_the_shelf_say_when_each_piece_comes_and_goes(
    stocked: Stocked, two: tuple[int, int]
) -> None:
    bakery, hall = two
    with stocked.house.enter():
        on(stocked, bakery, hall, day=3.8)
        (line,) = hold_page(hall).lines
        assert (line.available.needed, line.available.short) == (1, 0)
        page = item_page(stocked.item(RING), stocked.house.studio)
        assert [(each.label, each.starts_at, each.ends_at, each.left) for each in page.promises] == [
            ("Bakery", at(stocked, 3), at(stocked, 3.8), 1),
            ("Hall", at(stocked, 3.8), at(stocked, 5), 1),
        ]


def test_the_own_hold_beside_which_is_asked_has_what_transfer_requests_to_it(stocked: Stocked) -> None:
    with stocked.house.enter():
        bakery = held(stocked, "Bakery", 3, 4, {RING: 2})
        hall = held(
            stocked, "Hall", 3.5, 5, {RING: 1}, transfers_in=[TransferIn(bakery, RING, 1, at(stocked, 3.8))]
        )
        (found,) = availability([Material(RING, 1)], stocked.days(3.5, 5), besides=hall)
        assert (found.free, found.short) == (1, 0)
        (more,) = availability([Material(RING, 2)], stocked.days(3.5, 5), besides=hall)
        assert more.short == 1
        (others,) = availability([Material(RING, 1)], stocked.days(3.5, 5))
        assert others.short == 1


def looked_at_now() -> None:
    """Have the database look at what it looks at when a transaction ends."""
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("SET CONSTRAINTS ALL DEFERRED")


def test_two_lines_of_a_hold_that_do_not_meet_are_refused_by_the_database(
    stocked: Stocked, two: tuple[int, int]
) -> None:
    bakery, hall = two
    with stocked.house.enter():
        on(stocked, bakery, hall, day=3.8)
        looked_at_now()  # what was written so far is in order, and isn't looked at again below
        for wrong in (
            lambda: HoldLine.objects.filter(hold_id=hall).update(busy_from=at(stocked, 3.6)),
            lambda: HoldLine.objects.filter(hold_id=bakery).update(busy_until=at(stocked, 4)),
            lambda: HoldLine.objects.filter(hold_id=bakery).update(quantity=2),
            lambda: HoldLine.objects.filter(hold_id=bakery).update(handed_on=None),
            lambda: HoldLine.objects.filter(hold_id=hall).delete(),
            lambda: AgreedTransfer.objects.update(at=at(stocked, 3.7)),
        ):
            with pytest.raises(IntegrityError, match="handed on must leave"), transaction.atomic():
                wrong()
                looked_at_now()


def test_only_who_may_hold_stock_hands_it_on(stocked: Stocked, two: tuple[int, int]) -> None:
    with stocked.house.enter("crew"):
        with pytest.raises(PermissionDenied, match="doesn't allow you to hold stock"):
            on(stocked, *two, day=3.8)
        with pytest.raises(PermissionDenied, match="doesn't allow you to hold stock"):
            transfers.undo_transfer(1, key="undo")
        assert transfers.list_transfers(two) == []


def test_another_studio_neither_sees_nor_undoes_it(
    stocked: Stocked, two: tuple[int, int], federkorn: House
) -> None:
    bakery, hall = two
    with stocked.house.enter():
        on(stocked, bakery, hall, day=3.8)
        link = AgreedTransfer.objects.get()
    with federkorn.enter():
        assert transfers.list_transfers(two) == []
        transfers.undo_transfer(link.pk, key="undo")
        with pytest.raises(holds.NoSuchHold, match="There is no such hold"):
            on(stocked, bakery, hall, day=3.8, key="theirs")
        with pytest.raises(IntegrityError, match="giver_id_tenant_fk"), transaction.atomic():
            AgreedTransfer.objects.create(
                giver_id=bakery, taker_id=hall, item_id=link.item_id, quantity=1, at=link.at
            )
            with connection.cursor() as cursor:
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    with stocked.house.enter():
        assert AgreedTransfer.objects.get() == link


def test_a_hold_asks_no_more_with_many_pieces_that_go_straight_on(stocked: Stocked) -> None:
    def asked(hold_id: int, key: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            holds.change(hold_id, window=stocked.days(3, 4.1 + len(key) / 100), key=key)
        return len(queries)

    with stocked.house.enter():
        movements.receive(stocked.item(RING).pk, 20, key="many")
        bakery, with_one = held(stocked, "Bakery", 3, 4, {RING: 12}), 0
        for number in range(10):
            taker = held(stocked, f"Hall {number}", 3.5, 5, {RING: 1})
            on(stocked, bakery, taker, day=3.8, key=f"on {number}")
            if number == 0:
                with_one = asked(bakery, "a")
        assert asked(bakery, "bb") == with_one
