"""The ledger: written once, added up, explained."""

from __future__ import annotations

from collections.abc import Callable
from io import StringIO

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction

from stock.catalogue import items
from stock.catalogue.items import Material
from stock.ledger import movements
from stock.ledger.idempotency import KeyTaken
from stock.models import Balance, Kind, Movement, MovementKind
from tests.people import House
from tests.stock.conftest import COVER, INK_5, OAT_11, RING, Stocked


def on_hand(stocked: Stocked, code: str) -> int:
    item = stocked.item(code)
    with stocked.house.enter():
        return movements.balances([item.pk])[item.pk]


def test_what_is_received_used_counted_and_broken_adds_up(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        assert movements.receive(oat.pk, 100, key="in").on_hand == 300
        assert movements.use(oat.pk, 120, key="out").on_hand == 180
        assert movements.count(oat.pk, 175, key="count").quantity == -5
        assert movements.write_off(oat.pk, 5, kind=MovementKind.BROKEN, key="burst").on_hand == 170
        assert movements.put_back(oat.pk, 10, key="back").on_hand == 180
        assert Movement.objects.filter(item=oat).count() == 6


def test_every_movement_says_who_and_why(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter("staff"):
        movements.receive(oat.pk, 1, key="in", reason="note 4711", label="delivery")
        newest = Movement.objects.filter(item=oat)[0]
    assert (newest.person, newest.reason, newest.label) == (stocked.house.staff, "note 4711", "delivery")


def test_counting_what_is_there_is_written_down_as_well(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        assert movements.count(oat.pk, 200, key="count").quantity == 0
        assert Movement.objects.filter(item=oat, kind="counted", quantity=0).exists()


def test_no_more_leaves_the_shelf_than_the_ledger_knows_of(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with (
        stocked.house.enter(),
        pytest.raises(movements.NotThere, match="has 200 × Oat 11 in, not 201"),
    ):
        movements.use(oat.pk, 201, key="out")
    assert on_hand(stocked, OAT_11) == 200


@pytest.mark.parametrize("quantity", [0, -3, 10_000_001])
def test_a_quantity_that_nobody_means_is_refused(stocked: Stocked, quantity: int) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter(), pytest.raises(ValidationError, match="Enter a number between 1 and"):
        movements.receive(oat.pk, quantity, key="in")
    with stocked.house.enter(), pytest.raises(ValidationError, match="Enter a count between 0"):
        movements.count(oat.pk, -1, key="count")


def test_the_last_piece_can_be_used_and_the_smallest_and_largest_numbers_are_taken(stocked: Stocked) -> None:
    oat, ink = stocked.item(OAT_11), stocked.item(INK_5)
    with stocked.house.enter():
        assert movements.use(oat.pk, 200, key="all of it").on_hand == 0
        assert movements.receive(oat.pk, 1, key="one").on_hand == 1
        assert movements.count(oat.pk, 0, key="none left").on_hand == 0
        assert movements.receive(ink.pk, 10_000_000, key="most").on_hand == 10_000_000
        assert movements.count(ink.pk, 10_000_000, key="counted").quantity == 0
        with pytest.raises(ValidationError, match="Enter a count between 0 and 10,000,000"):
            movements.count(ink.pk, 10_000_001, key="too many")


@pytest.mark.parametrize("quantity", [0, -3, 10_000_001])
def test_no_way_of_taking_or_opening_takes_a_quantity_that_nobody_means(
    stocked: Stocked, quantity: int
) -> None:
    oat = stocked.item(OAT_11)
    ways: tuple[Callable[[], object], ...] = (
        lambda: movements.use(oat.pk, quantity, key="use"),
        lambda: movements.put_back(oat.pk, quantity, key="back"),
        lambda: movements.write_off(oat.pk, quantity, kind=MovementKind.LOST, key="lost"),
        lambda: movements.open_with([Material(OAT_11, quantity)]),
    )
    with stocked.house.enter():
        for way in ways:
            with pytest.raises(ValidationError, match="Enter a number between 1 and"):
                way()
    assert on_hand(stocked, OAT_11) == 200


def test_opening_stock_is_a_movement_of_its_own_kind_that_crew_may_not_write(stocked: Stocked) -> None:
    with stocked.house.enter("crew"), pytest.raises(PermissionDenied, match="edit the shelf"):
        movements.open_with([Material(INK_5, 10)])
    with stocked.house.enter():
        movements.open_with([Material(INK_5, 10), Material(INK_5, 5)], reason="first count")
        newest = Movement.objects.filter(item=stocked.item(INK_5))[0]
        assert (newest.kind, newest.quantity, newest.reason) == ("opening", 15, "first count")
    assert on_hand(stocked, INK_5) == 15


@pytest.mark.parametrize("key", ["", "k" * 121])
def test_a_key_has_one_to_a_hundred_and_twenty_characters(stocked: Stocked, key: str) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        with pytest.raises(ValidationError, match="A key has 1 to 120 characters"):
            movements.receive(oat.pk, 5, key=key)
        assert movements.receive(oat.pk, 5, key="k" * 120).on_hand == 205


def test_a_key_that_was_used_for_something_else_is_refused(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        movements.receive(oat.pk, 5, key="press")
        others: tuple[Callable[[], object], ...] = (
            lambda: movements.receive(oat.pk, 6, key="press"),
            lambda: movements.put_back(oat.pk, 5, key="press"),
            lambda: movements.receive(stocked.item(INK_5).pk, 5, key="press"),
        )
        for other in others:
            with pytest.raises(KeyTaken, match="already used for another request"):
                other()


def test_a_double_press_is_one_movement_and_the_same_answer(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        first = movements.receive(oat.pk, 50, key="press")
        movements.use(oat.pk, 10, key="between")
        assert movements.receive(oat.pk, 50, key="press") == first
    assert on_hand(stocked, OAT_11) == 240


def test_moving_to_another_place_is_a_movement_of_nothing(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter():
        assert movements.move(ring.pk, "bay D1")
        assert not movements.move(ring.pk, "bay D1")
        newest = Movement.objects.filter(item=ring)[0]
        assert (newest.kind, newest.quantity, newest.reason) == ("moved", 0, "from bay C2 to bay D1")
    assert stocked.item(RING).place == "bay D1"
    assert on_hand(stocked, RING) == 2


def test_opening_stock_names_every_unknown_code_and_writes_nothing(stocked: Stocked) -> None:
    with stocked.house.enter(), pytest.raises(movements.UnknownCode, match="nope, zip"), transaction.atomic():
        movements.open_with([Material(INK_5, 10), Material("zip", 1), Material("nope", 1)])
    assert on_hand(stocked, INK_5) == 0


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE stock_movement SET quantity = quantity + 1",
        "UPDATE stock_movement SET reason = 'other'",
        "DELETE FROM stock_movement",
    ],
)
def test_the_database_refuses_to_change_or_remove_a_movement(stocked: Stocked, statement: str) -> None:
    with stocked.house.enter():
        with connection.cursor() as cursor:
            cursor.execute("SELECT current_user")
            assert cursor.fetchone() == (connection.settings_dict["USER"],)
        refused = pytest.raises(IntegrityError, match="written once and never changed")
        with refused, transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    assert on_hand(stocked, OAT_11) == 200


@pytest.mark.parametrize(
    ("kind", "quantity"), [("received", -1), ("used", 1), ("lost", 0), ("moved", 2), ("gift", 1)]
)
def test_the_database_refuses_a_movement_with_the_wrong_sign(
    stocked: Stocked, kind: str, quantity: int
) -> None:
    oat = stocked.item(OAT_11)
    with (
        stocked.house.enter(),
        pytest.raises(IntegrityError, match="stock_movement_sign"),
        transaction.atomic(),
    ):
        Movement.objects.create(item=oat, kind=kind, quantity=quantity)


def test_the_database_keeps_balances_itself_and_never_below_nought(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        Movement.objects.create(item=oat, kind="used", quantity=-50)
        assert movements.balances([oat.pk]) == {oat.pk: 150}
        with pytest.raises(IntegrityError, match="never_below_zero"), transaction.atomic():
            Movement.objects.create(item=oat, kind="used", quantity=-151)


def test_a_movement_cannot_point_to_another_studios_item(stocked: Stocked, federkorn: House) -> None:
    oat = stocked.item(OAT_11)
    with federkorn.enter(), pytest.raises(IntegrityError, match="tenant_fk"), transaction.atomic():
        # The composite key is checked at the end of the transaction; the test asks for it at once.
        _written_and_checked(oat.pk)


def test_the_functions_find_no_item_of_another_studio(stocked: Stocked, federkorn: House) -> None:
    oat = stocked.item(OAT_11)
    with federkorn.enter(), pytest.raises(movements.UnknownCode, match="no such item"):
        movements.receive(oat.pk, 5, key="in")


def test_crew_count_nothing_into_the_ledger(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with (
        stocked.house.enter("crew"),
        pytest.raises(PermissionDenied, match="doesn't allow you to edit the shelf"),
    ):
        movements.receive(oat.pk, 5, key="in")


def test_crew_move_nothing_to_another_place(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter("crew"), pytest.raises(PermissionDenied, match="edit the shelf"):
        movements.move(ring.pk, "bay D1")


def test_a_balance_that_was_tampered_with_is_found_and_rebuilt(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        assert movements.find_mismatches() == []
        Balance.objects.filter(item=oat).update(on_hand=7)
        Balance.objects.filter(item=stocked.item(COVER)).delete()
    with pytest.raises(CommandError, match="2 balances are wrong"):
        call_command("rebuild_balances", "--check", stdout=StringIO())
    assert on_hand(stocked, OAT_11) == 7
    with stocked.house.enter():
        found = {each.code: (each.balance, each.ledger) for each in movements.find_mismatches()}
    assert found == {OAT_11: (7, 200), COVER: (0, 1)}

    told = StringIO()
    call_command("rebuild_balances", stdout=told)
    assert "wickerlark: latex-11-oat had 7, but its movements add up to 200" in told.getvalue()
    assert on_hand(stocked, OAT_11) == 200
    assert on_hand(stocked, COVER) == 1
    call_command("rebuild_balances", "--check", stdout=StringIO())


def test_rebuilding_an_unknown_studio_is_refused(stocked: Stocked) -> None:
    with pytest.raises(CommandError, match="no studio called elsewhere"):
        call_command("rebuild_balances", "--studio", "elsewhere", stdout=StringIO())


def test_an_item_nobody_wrote_about_has_none(stocked: Stocked) -> None:
    with stocked.house.enter():
        fresh = items.add_item(kind=Kind.FRAME, name="Arch 5 ft")
        assert movements.balances([fresh.pk]) == {fresh.pk: 0}


def _written_and_checked(item_id: int) -> None:
    Movement.objects.create(item_id=item_id, kind="received", quantity=1)
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
