"""Agreeing: all of it or nothing, once, and never what isn't there."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from events.jobs import calling_off, commitment
from events.jobs.commitment import BillLine, CannotCommit
from events.loadout import load_list
from events.models import BillRow, Event, Stage, Status
from stock.kits import kits
from stock.models import Hold, HoldLine, Item
from studio import tenancy
from studio.tenancy.rights import Role
from tests.events.conftest import BILL, WORK, agree, days_ahead, stock_up, take
from tests.people import House


def test_agreeing_confirms_holds_writes_the_bill_and_makes_the_list(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        answer = agree(take())
        event = Event.objects.get()
        assert (event.status, event.stage) == (Status.CONFIRMED, Stage.AGREED)
        hold = Hold.objects.get()
        assert event.hold_id == hold.pk == answer.hold_id
        assert (hold.starts_at, hold.ends_at) == (event.load_out_at, event.back_at)
        assert dict(HoldLine.objects.values_list("item__code", "quantity")) == {
            line.code: line.quantity for line in BILL
        }
        assert [(row.code, row.quantity) for row in event.bill.all()] == [
            (line.code, line.quantity) for line in BILL
        ]
        assert dict(event.work.values_list("task", "minutes")) == {
            "prep": Decimal(186),
            "install": Decimal("130.5"),
            "strike": Decimal(40),
        }
        kit = 4  # first-aid box, pump, scissors, tape
        assert load_list.find_load_out_list(event.pk).total == len(BILL) + kit
        assert answer.short == ()


def test_agreeing_twice_under_one_key_is_agreeing_once(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        first, second = agree(event), agree(event)
        assert first.hold_id == second.hold_id
        assert Hold.objects.count() == 1
        assert event.stages_reached.filter(stage=Stage.AGREED).count() == 1


def test_a_kit_on_the_bill_is_held_listed_and_written_down_as_its_parts(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        ids = dict(Item.objects.values_list("code", "pk"))
        kits.save_kit(None, name="Ring set", note="", parts={ids["ring-6ft"]: 1, ids["cover-oat"]: 2})
        event = take()
        bill = (BillLine("kit-ring-set", "Ring set", 1, "Ring", "frames"), BILL[0])
        agree(event, bill=bill)
        event.refresh_from_db()
        assert [
            (line.code, line.label, line.quantity, line.part) for line in commitment.stored_bill(event)
        ] == [
            ("ring-6ft", "Ring 6 ft", 1, "Ring"),
            ("cover-oat", "Ring cover oat", 2, "Ring"),
            ("latex-11-oat", "Oat 11 in", 120, "Garland"),
        ]
        assert dict(HoldLine.objects.values_list("item__code", "quantity"))["cover-oat"] == 2
        listed = {
            state.line.code: state.line.quantity for state in load_list.find_load_out_list(event.pk).states
        }
        assert listed["cover-oat"] == 2
        assert "kit-ring-set" not in listed
        agree(event, bill=bill)
        assert Hold.objects.count() == 1, "a second press is the same agreement"


def test_the_same_key_with_another_bill_is_refused(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event)
        with pytest.raises(CannotCommit, match="another bill"):
            agree(event, bill=BILL[:2])


def test_a_frame_that_is_gone_refuses_the_whole_agreement_and_nothing_happens(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        agree(take(), bill=(BillLine("ring-6ft", "Ring 6 ft", 2),))
        second = take("Rowing club supper")
        with pytest.raises(CannotCommit, match="Ring 6 ft: 0 free of 1 needed"):
            agree(second, key="quote-2-v1")
        second.refresh_from_db()
        assert (second.status, second.stage, second.hold_id) == (Status.TENTATIVE, Stage.ENQUIRY, None)
        assert Hold.objects.count() == 1
        assert not BillRow.objects.filter(event=second).exists()
        assert not second.load_out.exists()


def test_a_frame_is_free_again_for_an_event_after_its_return(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        agree(take(days=10), bill=(BillLine("ring-6ft", "Ring 6 ft", 2),))
        agree(take("Bakery opening", days=12), key="quote-2-v1")
        assert Event.objects.filter(status=Status.CONFIRMED).count() == 2


def test_latex_may_be_short_and_the_bill_says_by_how_much(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        answer = agree(take(), bill=(BillLine("latex-11-oat", "Oat 11 in", 222),))
        assert [(lack.code, lack.short) for lack in answer.short] == [("latex-11-oat", 22)]
        assert BillRow.objects.get().short == 22
        assert agree(answer.event, bill=(BillLine("latex-11-oat", "Oat 11 in", 222),)).short == answer.short


def test_what_the_catalogue_does_not_know_is_short_altogether(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        answer = agree(take(), bill=(*BILL, BillLine("neon-50", "Light sign 50", 1)))
        assert [(lack.code, lack.short) for lack in answer.short] == [("neon-50", 1)]


def test_agreeing_anew_under_another_key_changes_the_hold_and_the_list(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        first = agree(event)
        second = agree(event, key="quote-1-v2", bill=BILL[2:4])
        assert second.hold_id == first.hold_id
        assert set(HoldLine.objects.values_list("item__code", flat=True)) == {"ring-6ft", "cover-oat"}
        assert load_list.find_load_out_list(event.pk).total == 3  # the first-aid box as well


def test_an_empty_bill_is_agreed_without_a_hold(wickerlark: House) -> None:
    with wickerlark.enter():
        answer = agree(take(), bill=())
        assert answer.hold_id is None
        assert Event.objects.get().status == Status.CONFIRMED


def test_a_called_off_event_cannot_be_agreed(wickerlark: House) -> None:
    with wickerlark.enter():
        event = take()
        calling_off.call_off(event.pk)
        with pytest.raises(CannotCommit, match="called off"):
            agree(event)


def test_a_past_event_cannot_be_agreed_by_a_client(wickerlark: House) -> None:
    with tenancy.entered(wickerlark.studio.pk):
        event = take(ready_by=days_ahead(-3))
    with (
        tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT),
        pytest.raises(CannotCommit, match="over already"),
    ):
        agree(event, bill=())


def test_a_client_agrees_and_the_studio_holds(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
    with tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT):
        agree(event)
    with wickerlark.enter():
        assert Hold.objects.count() == 1
        assert load_list.find_load_out_list(event.pk).groups[0].lines[0].line.shelf_place == "loft"


def test_crew_cannot_agree_for_a_client(wickerlark: House) -> None:
    with wickerlark.enter():
        event = take()
    with wickerlark.enter("crew"), pytest.raises(PermissionDenied, match="agree to or decline"):
        agree(event)


def test_another_studios_event_is_not_found(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        event = take()
    with federkorn.enter(), pytest.raises(Http404):
        agree(event)


@pytest.mark.parametrize(
    ("bill", "key", "message"),
    [
        ((BillLine("ring-6ft", "Ring", 0),), "k", "Ring: 0 is no quantity"),
        ((BillLine("ring-6ft", "Ring", -1),), "k", "Ring: -1 is no quantity"),
        ((), "", "needs a key"),
        ((), "k" * 81, "needs a key"),
    ],
)
def test_nonsense_is_refused_with_what_is_wrong(
    wickerlark: House, bill: tuple[BillLine, ...], key: str, message: str
) -> None:
    with wickerlark.enter(), pytest.raises(CannotCommit, match=message):
        commitment.commit(take().pk, bill=bill, work=WORK, key=key)
