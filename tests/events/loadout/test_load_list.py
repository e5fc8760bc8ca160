"""The load-out list: its order, and ticks from any number of phones."""

from __future__ import annotations

import threading
import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, connection, transaction
from django.http import Http404
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from events.jobs.commitment import BillLine
from events.loadout import load_list, tick_merge, ticks
from events.loadout.line_states import LineState, LoadOutList
from events.loadout.ticks import TickOp
from events.models import Event, LoadOutLine, LoadPlace, Tick
from tests import people
from tests.events.conftest import BILL, agree, stock_up, take
from tests.people import House


def op(line: LoadOutLine, count: int, *, at: datetime | None = None, name: uuid.UUID | None = None) -> TickOp:
    """A tick as a phone makes it."""
    return TickOp(name or uuid.uuid4(), line.pk, count, at or timezone.now())


def line_of(event: Event, code: str) -> LoadOutLine:
    """The line of that code."""
    return LoadOutLine.objects.get(event=event, code=code)


def state_of(the_list: LoadOutList, code: str) -> LineState:
    """How a line stands."""
    return next(state for group in the_list.groups for state in group.lines if state.line.code == code)


def test_what_is_used_last_on_site_goes_in_first(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        groups = load_list.find_load_out_list(agreed.pk).groups
    # Order on site (common practice, no source): frames, covers, garland, fillers, greenery.
    assert [(group.place, [state.line.code for state in group.lines]) for group in groups] == [
        (LoadPlace.FIRST, ["greenery", "latex-5-oat"]),
        (LoadPlace.MIDDLE, ["latex-11-oat"]),
        (
            LoadPlace.LAST,
            ["cover-oat", "ring-6ft", "along-first-aid", "along-pump", "along-scissors", "along-tape"],
        ),
    ]


def test_each_line_says_from_which_shelf_how_many_and_for_what(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        ring = line_of(agreed, "ring-6ft")
        assert (ring.shelf_place, ring.quantity, ring.detail) == ("bay C2", 1, "Ring")


def test_the_list_is_the_bill_summed_by_code(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=(*BILL, BillLine("latex-11-oat", "Oat 11 in", 30, "Column")))
        line = line_of(event, "latex-11-oat")
        assert (line.quantity, line.detail) == (150, "Garland, Column")


def test_a_tick_counts_and_says_who(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        greenery = line_of(agreed, "greenery")
        ticks.save_ticks(agreed.pk, [op(greenery, 5)])
        assert state_of(load_list.find_load_out_list(agreed.pk), "greenery").is_begun
        ticks.save_ticks(agreed.pk, [op(greenery, 12)])
        the_list = load_list.find_load_out_list(agreed.pk)
        assert (the_list.in_count, the_list.total) == (1, 9)
        assert the_list.loaders == (("Wickerlark", 1),)


def test_the_same_tick_again_is_the_same_tick(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        once = op(line_of(agreed, "greenery"), 12)
        first = ticks.save_ticks(agreed.pk, [once])
        again = ticks.save_ticks(agreed.pk, [once, once])
        assert first.kept == (once.uuid,)
        assert set(again.kept) == {once.uuid}
        assert Tick.objects.count() == 1


def test_the_same_line_ticked_on_two_phones_is_in_once(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        ticks.save_ticks(agreed.pk, [op(line_of(agreed, "ring-6ft"), 1)])
    with wickerlark.enter("staff"):
        ticks.save_ticks(agreed.pk, [op(line_of(agreed, "ring-6ft"), 1)])
        assert state_of(load_list.find_load_out_list(agreed.pk), "ring-6ft").count == 1
        assert load_list.find_load_out_list(agreed.pk).in_count == 1


def test_a_late_tick_of_an_earlier_hour_does_not_undo_a_newer_one(wickerlark: House, agreed: Event) -> None:
    now = timezone.now()
    with wickerlark.enter("crew"):
        greenery = line_of(agreed, "greenery")
        ticks.save_ticks(agreed.pk, [op(greenery, 12, at=now)])
        ticks.save_ticks(agreed.pk, [op(greenery, 3, at=now - timedelta(hours=1))])
        assert state_of(load_list.find_load_out_list(agreed.pk), "greenery").count == 12


def test_a_phone_whose_clock_runs_ahead_does_not_outvote_the_others(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        greenery = line_of(agreed, "greenery")
        ticks.save_ticks(agreed.pk, [op(greenery, 12, at=timezone.now() + timedelta(days=3))])
        assert Tick.objects.get().made_at <= timezone.now()
        ticks.save_ticks(agreed.pk, [op(greenery, 0)])
        assert state_of(load_list.find_load_out_list(agreed.pk), "greenery").count == 0


def test_ticks_of_a_phone_whose_clock_runs_ahead_keep_their_order(wickerlark: House, agreed: Event) -> None:
    ahead = timezone.now() + timedelta(minutes=7)
    with wickerlark.enter("crew"):
        greenery = line_of(agreed, "greenery")
        ops = [
            op(greenery, count, at=ahead + timedelta(milliseconds=count), name=uuid.UUID(int=100 - count))
            for count in range(12)
        ]
        ticks.save_ticks(agreed.pk, ops)
        assert state_of(load_list.find_load_out_list(agreed.pk), "greenery").count == 11


def test_a_phone_without_a_clock_is_told_so(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        answer = ticks.save_ticks(
            agreed.pk, [op(line_of(agreed, "greenery"), 12, at=datetime(1970, 1, 1, tzinfo=UTC))]
        )
        assert [refusal.why for refusal in answer.refused] == [
            "This phone’s clock is years off. Set it, then tick again."
        ]


def test_a_month_old_tick_is_taken(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        old = op(line_of(agreed, "greenery"), 12, at=timezone.now() - timedelta(days=31))
        assert ticks.save_ticks(agreed.pk, [old]).kept == (old.uuid,)


def test_ticks_for_another_events_line_are_refused_and_the_rest_kept(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        other = take("Supper")
        agree(other, key="other", bill=BILL[:1])
        good, bad = op(line_of(agreed, "greenery"), 12), op(line_of(other, "latex-11-oat"), 1)
        absurd = op(line_of(agreed, "ring-6ft"), -1)
        answer = ticks.save_ticks(agreed.pk, [bad, good, absurd])
        assert answer.kept == (good.uuid,)
        assert [(refusal.uuid, refusal.why) for refusal in answer.refused] == [
            (bad.uuid, "This line isn’t on the list any more."),
            (absurd.uuid, "-1 is not a possible count."),
        ]
        assert Tick.objects.count() == 1


def test_a_foreign_events_list_is_not_found(wickerlark: House, federkorn: House, agreed: Event) -> None:
    with federkorn.enter():
        with pytest.raises(Http404):
            load_list.find_load_out_list(agreed.pk)
        with pytest.raises(Http404):
            ticks.save_ticks(agreed.pk, [])


def test_a_client_sees_no_list(wickerlark: House, agreed: Event) -> None:
    from studio import tenancy
    from studio.tenancy.rights import Role

    with tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT):
        with pytest.raises(PermissionDenied, match="see the load-out list"):
            load_list.find_load_out_list(agreed.pk)
        with pytest.raises(PermissionDenied, match="tick"):
            ticks.save_ticks(agreed.pk, [])


def test_ticks_are_written_once(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        ticks.save_ticks(agreed.pk, [op(line_of(agreed, "greenery"), 12)])
        with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
            Tick.objects.update(count=0)
        with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
            Tick.objects.all().delete()


def test_agreed_anew_the_ticks_on_lines_that_stay_are_kept(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        ticks.save_ticks(agreed.pk, [op(line_of(agreed, "ring-6ft"), 1), op(line_of(agreed, "greenery"), 12)])
        agree(agreed, key="v2", bill=BILL[:3])
        the_list = load_list.find_load_out_list(agreed.pk)
        assert (the_list.in_count, the_list.total) == (1, 7)
        agree(agreed, key="v3")
        assert load_list.find_load_out_list(agreed.pk).in_count == 2


@given(
    counts=st.lists(st.tuples(st.integers(0, 5), st.integers(0, 12), st.integers(0, 3)), max_size=12),
    shuffle=st.randoms(use_true_random=False),
)
def test_the_state_of_a_list_does_not_depend_on_the_order_of_arrival(
    counts: list[tuple[int, int, int]], shuffle: object
) -> None:
    start = timezone.now()
    made = [
        Tick(
            studio_id=1,
            uuid=uuid.UUID(int=number),
            line_id=line,
            count=count,
            made_at=start + timedelta(minutes=minute),
        )
        for number, (minute, count, line) in enumerate(counts)
    ]
    folded = tick_merge.merge_ticks(made)
    mixed = list(made) * 2
    shuffle.shuffle(mixed)  # type: ignore[attr-defined] # hypothesis gives a Random
    assert {thing: found.tick.uuid for thing, found in tick_merge.merge_ticks(mixed).items()} == {
        thing: found.tick.uuid for thing, found in folded.items()
    }


@pytest.mark.django_db(transaction=True)
def test_two_phones_sending_at_the_same_moment_lose_and_double_nothing() -> None:
    house = people.wickerlark()
    with house.enter():
        stock_up()
        event = take()
        agree(event)
        lines = list(event.load_out.all())
    shared = [op(line, line.quantity) for line in lines]
    failures: list[Exception] = []

    def phone(ops: list[TickOp]) -> Callable[[], None]:
        def run() -> None:
            try:
                for one in ops:
                    with house.enter("crew"):
                        ticks.save_ticks(event.pk, [one])
            except Exception as failure:  # noqa: BLE001 -- whatever goes wrong in a thread is told below
                failures.append(failure)
            finally:
                connection.close()

        return run

    threads = [threading.Thread(target=phone(ops)) for ops in (shared, shared[::-1], shared)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    assert failures == []
    with house.enter():
        assert Tick.objects.count() == len(shared)
        assert load_list.find_load_out_list(event.pk).in_count == len(lines)
