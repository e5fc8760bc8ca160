"""The thread: which bead follows which, who threads it, and what its dates say."""

from __future__ import annotations

import itertools

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from events.booking import stages
from events.jobs import calling_off, commitment
from events.loadout import returns
from events.models import Event, LogEntry, Stage, Status
from events.progress.presenter import event_beads
from stock.models import Hold, HoldState
from tests.events.conftest import BILL, agree, all_back, stock_up, take
from tests.people import House


def test_an_event_goes_from_agreed_to_counted_back_in_the_crews_hands(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter("crew"):
        for stage in (Stage.PREPARED, Stage.INSTALLED):
            agreed.refresh_from_db()
            assert stages.next_by_hand(agreed) == stage
            stages.reach(agreed.pk, stage)
        agreed.refresh_from_db()
        assert stages.next_by_hand(agreed) is None, "counting back is no press of a button"
        all_back(agreed)
        returns.count_back(agreed.pk)
        agreed.refresh_from_db()
        assert (agreed.stage, agreed.status) == (Stage.COUNTED_BACK, Status.CONFIRMED)
        assert stages.next_by_hand(agreed) is None
        reached = stages.reached_at(agreed)
    assert set(reached) == {
        Stage.ENQUIRY, Stage.AGREED, Stage.PREPARED, Stage.INSTALLED, Stage.COUNTED_BACK,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("start", "end"),
    [
        (start, end)
        for start, end in itertools.product(Stage, Stage)
        if end not in stages.MOVES[start] and start != end
    ],
)
def test_no_stage_is_jumped(wickerlark: House, start: Stage, end: Stage) -> None:
    with wickerlark.enter():
        event = take()
        status = Status.CONFIRMED if start in list(Stage)[3:] else Status.TENTATIVE
        Event.objects.filter(pk=event.pk).update(stage=start, status=status)
        with pytest.raises(stages.CannotReach, match=f"can't go from {start.label} to {end.label}"):
            stages.reach(event.pk, end)


def test_only_agreeing_leads_to_agreed(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter():
        stages.reach(enquired.pk, Stage.OFFERED)
        with pytest.raises(stages.CannotReach, match="from offered to agreed"):
            stages.reach(enquired.pk, Stage.AGREED)


def test_an_offer_sent_again_counts_from_its_latest_day(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter():
        stages.reach(enquired.pk, Stage.OFFERED)
        stages.reach(enquired.pk, Stage.OFFERED)
        enquired.refresh_from_db()
        rows = list(enquired.stages_reached.filter(stage=Stage.OFFERED).order_by("pk"))
        assert len(rows) == 2
        assert stages.reached_at(enquired)[Stage.OFFERED] == rows[-1].reached_at


def test_going_where_one_is_changes_nothing(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        stages.reach(agreed.pk, Stage.PREPARED)
        before = LogEntry.objects.count()
        stages.reach(agreed.pk, Stage.PREPARED)
        assert LogEntry.objects.count() == before


def test_a_slip_is_taken_back_and_its_date_goes(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        stages.reach(agreed.pk, Stage.PREPARED)
        agreed.refresh_from_db()
        back = stages.previous_by_hand(agreed)
        assert back == Stage.AGREED
        stages.reach(agreed.pk, back)
        agreed.refresh_from_db()
        assert agreed.stage == Stage.AGREED
        assert Stage.PREPARED not in stages.reached_at(agreed)


def test_crew_send_no_offers(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter("crew"), pytest.raises(PermissionDenied, match="send offers"):
        stages.reach(enquired.pk, Stage.OFFERED)


def test_a_foreign_event_reaches_nothing(wickerlark: House, federkorn: House, enquired: Event) -> None:
    with federkorn.enter(), pytest.raises(Http404):
        stages.reach(enquired.pk, Stage.SKETCH)


def test_beads_say_what_is_done_what_is_now_and_when(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        beads = event_beads(agreed, stages.reached_at(agreed))
    assert [bead.state for bead in beads] == ["done", "done", "done", "now", "todo", "todo", "todo"]
    assert [bead.name for bead in beads if bead.when] == ["enquiry", "agreed"]


def test_calling_off_frees_the_stock_and_keeps_the_stage(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        calling_off.call_off(agreed.pk, why="flood in the reading room")
        calling_off.call_off(agreed.pk)
        agreed.refresh_from_db()
        assert (agreed.status, agreed.stage) == (Status.CANCELLED, Stage.AGREED)
        assert Hold.objects.get().state == HoldState.RELEASED
        assert LogEntry.objects.filter(text__startswith="Called off").count() == 1
        agree(take("Supper"), key="other", bill=(BILL[2], BILL[2]))
        with pytest.raises(stages.CannotReach, match="called off"):
            stages.reach(agreed.pk, Stage.PREPARED)


def test_taking_up_again_holds_the_bill_anew(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        calling_off.call_off(agreed.pk)
        calling_off.take_up_again(agreed.pk)
        calling_off.take_up_again(agreed.pk)
        agreed.refresh_from_db()
        assert agreed.status == Status.CONFIRMED
        held = Hold.objects.get(state=HoldState.HELD)
        assert agreed.hold_id == held.pk
        assert held.lines.count() == len(BILL)


def test_it_can_be_called_off_and_taken_up_as_often_as_one_likes(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        for _ in range(3):
            calling_off.call_off(agreed.pk)
            calling_off.take_up_again(agreed.pk)
        assert Hold.objects.filter(state=HoldState.HELD).count() == 1


def test_what_went_to_another_meanwhile_cannot_be_taken_up_again(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first = take()
        agree(first, bill=(BILL[2], BILL[2]))
        calling_off.call_off(first.pk)
        agree(take("Supper"), key="other")
        with pytest.raises(commitment.CannotCommit, match="Ring 6 ft: 1 free of 2 needed"):
            calling_off.take_up_again(first.pk)
        first.refresh_from_db()
        assert first.status == Status.CANCELLED


def test_an_enquiry_called_off_is_tentative_when_taken_up_again(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter():
        calling_off.call_off(enquired.pk)
        calling_off.take_up_again(enquired.pk)
        enquired.refresh_from_db()
        assert enquired.status == Status.TENTATIVE
