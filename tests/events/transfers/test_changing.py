"""Setting, undoing and requesting transfers, and what refuses them."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.http import Http404
from django.utils import timezone

from events.booking import stages
from events.jobs import calling_off, commitment
from events.jobs.commitment import BillLine, CannotCommit
from events.models import Event, Stage, TransferRequest
from events.transfers import changing, transfers
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import AgreedTransfer, HoldLine, Item
from studio.measures.times import Window
from tests.events.conftest import agree, stock_up
from tests.events.transfers.conftest import COVER, COVERS, RING, as_client, at, bakery, hall, log_of
from tests.people import House


def test_a_requested_transfer_is_held_with_the_agreement(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS), hall()
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        assert not AgreedTransfer.objects.exists(), "before it is agreed nothing is promised"
        (wish,) = transfers.find_requests(second)
        assert (wish.words, wish.giver) == ("1 × Ring cover oat", "Bakery birthday")
    with as_client(wickerlark):
        agree(second, bill=(COVER,))
    with wickerlark.enter():
        second.refresh_from_db()
        (comes,) = transfers.find_event_transfers(second).incoming
        assert (comes.words, comes.other, comes.arrives_at) == ("1 × Ring cover oat", first, at(18))
        assert not TransferRequest.objects.exists()
        assert "1 × Ring cover oat comes directly from Bakery birthday." in log_of(second)
        assert "1 × Ring cover oat goes directly on to Harbour hall." in log_of(first)


def test_a_request_to_an_event_without_stock_refuses_the_agreement(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS), hall()
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        calling_off.call_off(first.pk)
        with pytest.raises(CannotCommit, match="was requested from Bakery birthday, which holds no stock"):
            agree(second, bill=(COVER,))
        changing.cancel_request(second.pk, TransferRequest.objects.get().pk)
        agree(second, bill=(COVER,))


def test_a_request_for_what_is_not_in_the_bill_transfers_nothing(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS), hall()
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        agree(second, bill=(RING,))
        assert not AgreedTransfer.objects.exists()


def test_a_request_of_a_tentative_hold_is_held_once_the_hold_is_firm(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall()
        until = timezone.now() + timedelta(days=2)
        commitment.keep(second.pk, bill=(COVER,), key="deposit", until=until)
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        assert not AgreedTransfer.objects.exists()
        agree(second, bill=(COVER,))
        second.refresh_from_db()
        assert second.hold is not None
        assert second.hold.state == "held"
        assert AgreedTransfer.objects.get().taker_id == second.hold_id


def test_undone_it_returns_to_the_studio_or_says_why_not(
    both: tuple[Event, Event], wickerlark: House
) -> None:
    first, second = both
    with wickerlark.enter():
        link = AgreedTransfer.objects.get()
        rival = hall(COVER, title="Rival")
        with pytest.raises(
            transfers.CannotTransfer, match="can’t go home from Bakery birthday in time for Harbour"
        ):
            changing.undo_transfer(second.pk, link.pk)
        calling_off.call_off(rival.pk)
        changing.undo_transfer(second.pk, link.pk)
        changing.undo_transfer(second.pk, link.pk)
        assert not AgreedTransfer.objects.exists()
        assert "returns to the studio first" in log_of(second)
        assert "returns to the studio before it goes to Harbour hall" in log_of(first)


def test_an_uncleaned_item_needs_a_confirmation(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second, third = bakery(RING), hall(RING), hall(title="Third")
        for event in (second, third):
            with pytest.raises(transfers.CannotTransfer) as refused:
                changing.set_transfer(event.pk, giver_id=first.pk, code="ring-6ft", quantity=1)
            assert refused.value.message_dict == {
                "unwashed": [
                    "Ring 6 ft isn’t cleaned between the two events. Confirm that this is all right."
                ]
            }
        changing.set_transfer(second.pk, giver_id=first.pk, code="ring-6ft", quantity=1, unwashed=True)


@pytest.mark.parametrize(
    ("code", "quantity", "field"),
    [
        ("cover-oat", 2, "quantity"),
        ("nothing", 1, "which"),
        ("latex-11-oat", 1, "quantity"),
        ("cover-oat", 0, "quantity"),
    ],
)
def test_an_impossible_transfer_is_refused_at_its_field(
    wickerlark: House, code: str, quantity: int, field: str
) -> None:
    with wickerlark.enter():
        stock_up()
        latex = BillLine("latex-11-oat", "Oat 11 in", 10)
        first, second = bakery(COVER, latex), hall(COVER, latex)
        with pytest.raises(transfers.CannotTransfer) as refused:
            changing.set_transfer(second.pk, giver_id=first.pk, code=code, quantity=quantity)
        assert set(refused.value.message_dict) == {field}
        asked = hall(title="Asked")
        with pytest.raises(
            transfers.CannotTransfer,
            match=r"Only reusable items can be transferred|can transfer 1 × Ring cover oat",
        ):
            changing.set_transfer(asked.pk, giver_id=first.pk, code=code, quantity=quantity)


def test_events_that_are_not_agreed_or_already_loaded_transfer_nothing(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall(COVER)
        asked = hall(title="Asked")
        with pytest.raises(transfers.CannotTransfer, match="isn’t agreed"):
            changing.set_transfer(second.pk, giver_id=asked.pk, code="cover-oat", quantity=1)
        with pytest.raises(transfers.CannotTransfer, match="the same event"):
            changing.set_transfer(second.pk, giver_id=second.pk, code="cover-oat", quantity=1)
        with pytest.raises(Http404):
            changing.set_transfer(second.pk, giver_id=10**9, code="cover-oat", quantity=1)
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        stages.reach(second.pk, Stage.PREPARED)
        with pytest.raises(transfers.CannotTransfer, match="loaded already"):
            changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        with pytest.raises(transfers.CannotTransfer, match="loaded already"):
            changing.undo_transfer(second.pk, AgreedTransfer.objects.get().pk)


@pytest.mark.parametrize("which", [0, 1])
def test_calling_off_either_event_ends_the_transfer(
    both: tuple[Event, Event], wickerlark: House, which: int
) -> None:
    with wickerlark.enter():
        calling_off.call_off(both[which].pk)
        assert not AgreedTransfer.objects.exists()
        goes = ("comes from the studio", "returns to the studio")[which]
        assert f"{both[which].title} is called off: 1 × Ring cover oat {goes}." in log_of(both[1 - which])
        still = Event.objects.get(pk=both[1 - which].pk)
        (line,) = HoldLine.objects.filter(hold=still.hold, standing=True)
        assert (line.busy_from, line.busy_until) == (still.load_out_at, still.back_at)


def test_an_event_that_another_depends_on_is_not_called_off(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS), hall()
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=2)
        agree(second, bill=(COVERS,))
        hold_id = Event.objects.values_list("hold_id", flat=True).get(pk=second.pk)
        assert hold_id
        # The hall's van is loaded the day before, when the covers are lent out still: it has them only from the bakery.
        lent = Window(first.load_out_at - timedelta(hours=12), first.load_out_at)
        holds.hold(label="Lent out", window=lent, needs=[Material("cover-oat", 2)], key="lent")
        holds.change(hold_id, window=Window(lent.start, second.back_at), key="loaded early")
        with pytest.raises(calling_off.CannotCallOff, match="in time for Harbour hall"):
            calling_off.call_off(first.pk)
        assert Event.objects.get(pk=first.pk).is_agreed
    page = wickerlark.client().post(wickerlark.url("events:event-call-off", first.pk), follow=True)
    assert "This event can’t be called off yet." in page.content.decode()


def test_a_request_cannot_name_an_event_of_another_studio(
    wickerlark: House, federkorn: House, both: tuple[Event, Event]
) -> None:
    first, second = both
    with wickerlark.enter():
        TransferRequest.objects.create(event=second, giver=first, code="cover-oat", label="Cover", quantity=1)
    with federkorn.enter():
        assert not TransferRequest.objects.exists()
        with pytest.raises(IntegrityError, match="event_id_tenant_fk"), transaction.atomic():
            TransferRequest.objects.create(event=second, giver=first, code="c", label="Cover", quantity=1)
            with connection.cursor() as cursor:
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def test_a_transfer_is_refused_only_for_its_own_item(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall(COVER, RING)
        movements.count(Item.objects.get(code="ring-6ft").pk, 0, key="lost")
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        (comes,) = transfers.find_event_transfers(second).incoming
        assert comes.words == "1 × Ring cover oat"
        assert HoldLine.objects.filter(hold=second.hold, item__code="ring-6ft").get().quantity == 1
