"""What phones say: kept once, settled by whoever knew of it, refused clearly."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from events.jobs import calling_off
from events.loadout import hours, line_states, load_list, tick_merge, ticks
from events.loadout.ticks import TickOp
from events.models import Event, LoadOutLine, Stage, Tick, TickKind
from tests.events.conftest import agree, said, take
from tests.people import House


def line_of(event: Event, code: str) -> LoadOutLine:
    return LoadOutLine.objects.get(event=event, code=code)


def state_of(event: Event, code: str) -> line_states.LineState:
    return next(s for s in load_list.find_load_out_list(event.pk).states if s.line.code == code)


def of_event(kind: TickKind, **more: Any) -> TickOp:
    facts: dict[str, Any] = {
        "uuid": uuid.uuid4(),
        "count": 0,
        "made_at": timezone.now(),
        **more,
    }
    return TickOp(line_id=None, kind=kind, **facts)


def test_two_phones_that_did_not_know_of_each_other_are_both_shown(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        greenery = line_of(agreed, "greenery")
        ticks.save_ticks(agreed.pk, [said(greenery, 12, after=())])
    with wickerlark.enter("staff"):
        ticks.save_ticks(agreed.pk, [said(greenery, 9, after=())])
        state = state_of(agreed, "greenery")
        assert (state.count, [(rival.count, rival.by) for rival in state.rivals]) == (9, [(12, "Wickerlark")])
        assert len(state.heads) == 2


def test_two_phones_that_say_the_same_do_not_contradict_each_other(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        greenery = line_of(agreed, "greenery")
        ticks.save_ticks(agreed.pk, [said(greenery, 12, after=()), said(greenery, 12, after=())])
        assert state_of(agreed, "greenery").rivals == ()


def test_whoever_knew_of_both_settles_it_even_with_a_slow_clock(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        greenery = line_of(agreed, "greenery")
        ticks.save_ticks(agreed.pk, [said(greenery, 12, after=()), said(greenery, 9, after=())])
        slow = timezone.now() - timedelta(hours=3)
        ticks.save_ticks(
            agreed.pk, [said(greenery, 10, made_at=slow, after=state_of(agreed, "greenery").heads)]
        )
        state = state_of(agreed, "greenery")
        assert (state.count, state.rivals) == (10, ())


def test_a_press_with_everything_in_sight_settles_what_is_older(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        greenery = line_of(agreed, "greenery")
        ticks.save_ticks(agreed.pk, [said(greenery, 12, after=()), said(greenery, 9, after=())])
        ticks.save_ticks(agreed.pk, [said(greenery, 11)])
        assert (state_of(agreed, "greenery").count, state_of(agreed, "greenery").rivals) == (11, ())


@given(
    said_by=st.lists(
        st.tuples(st.integers(0, 4), st.integers(0, 12), st.none() | st.lists(st.integers(0, 7), max_size=3)),
        min_size=1,
        max_size=8,
    ),
    shuffle=st.randoms(use_true_random=False),
)
def test_any_log_whatever_it_names_has_one_count_and_the_same_in_any_order(
    said_by: list[tuple[int, int, list[int] | None]], shuffle: Any
) -> None:
    start = timezone.now()
    log = [
        Tick(
            studio_id=1,
            uuid=uuid.UUID(int=number),
            line_id=1,
            count=count,
            made_at=start + timedelta(minutes=minute),
            after=None if after is None else [uuid.UUID(int=name) for name in after],
        )
        for number, (minute, count, after) in enumerate(said_by)
    ]
    (found,) = tick_merge.merge_ticks(log).values()
    mixed = log * 2
    shuffle.shuffle(mixed)
    (again,) = tick_merge.merge_ticks(mixed).values()
    assert (found.tick.uuid, set(found.heads)) == (again.tick.uuid, set(again.heads))
    assert found.tick.uuid in found.heads
    assert all(
        tick_merge.tick_numbers(rival) != tick_merge.tick_numbers(found.tick) for rival in found.rivals
    )


def test_installed_sent_before_loaded_goes_through_loaded_and_loaded_then_changes_nothing(
    wickerlark: House, agreed: Event
) -> None:
    then = timezone.now() - timedelta(hours=2)
    with wickerlark.enter("crew"):
        installed = of_event(TickKind.STEP, task="installed", text="Mr Adeyo", made_at=then)
        loaded = of_event(TickKind.STEP, task="prepared", made_at=then - timedelta(hours=3))
        assert ticks.save_ticks(agreed.pk, [installed]).refused == ()
        assert ticks.save_ticks(agreed.pk, [loaded, installed]).refused == ()
        agreed.refresh_from_db()
        assert agreed.stage == Stage.INSTALLED
        assert agreed.stages_reached.filter(stage=Stage.INSTALLED).get().reached_at == then
        assert agreed.stages_reached.filter(stage=Stage.PREPARED).count() == 1
        assert load_list.find_load_out_list(agreed.pk).steps["installed"].text == "Mr Adeyo"


def test_a_step_sent_again_after_it_was_taken_back_is_not_taken_again(
    wickerlark: House, agreed: Event
) -> None:
    from events.booking import stages

    with wickerlark.enter("crew"):
        loaded = of_event(TickKind.STEP, task="prepared")
        ticks.save_ticks(agreed.pk, [loaded])
        stages.reach(agreed.pk, Stage.AGREED)
        ticks.save_ticks(agreed.pk, [loaded])
        agreed.refresh_from_db()
        assert agreed.stage == Stage.AGREED


def test_a_step_of_an_event_that_was_called_off_is_refused_and_nothing_kept_of_it(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        calling_off.call_off(agreed.pk)
        answer = ticks.save_ticks(agreed.pk, [of_event(TickKind.STEP, task="prepared")])
        assert [refusal.why for refusal in answer.refused] == ["An event can't go from agreed to prepared."]
        assert not Tick.objects.exists()


def test_notes_of_a_line_and_of_the_day_are_all_kept(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        greenery = line_of(agreed, "greenery")
        notes = [
            said(greenery, 0, TickKind.NOTE, text="two lengths are torn"),
            said(greenery, 0, TickKind.NOTE, text="the third as well"),
            of_event(TickKind.NOTE, text="lift is out of order"),
        ]
        ticks.save_ticks(agreed.pk, notes)
        the_list = load_list.find_load_out_list(agreed.pk)
        assert [note.text for note in the_list.notes] == ["lift is out of order"]
        texts = [note.text for note in state_of(agreed, "greenery").notes]
        assert texts == ["two lengths are torn", "the third as well"]


def test_hours_stand_beside_what_was_planned(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        ticks.save_ticks(agreed.pk, [of_event(TickKind.HOURS, task="install", count=80, people=2)])
        ticks.save_ticks(agreed.pk, [of_event(TickKind.HOURS, task="tea", count=15)])
        rows = {row.task: row for row in hours.task_hours(load_list.find_load_out_list(agreed.pk))}
    # Planned 130.5 minutes of work; two people for 80 minutes are 160: 22.6 % more.
    assert (rows["install"].spent_minutes, rows["install"].over_percent) == (160, 23)
    assert (rows["prep"].planned_words, rows["prep"].spent_minutes) == ("3 h 6 min", None)
    assert (rows["tea"].planned_minutes, rows["tea"].spent_minutes) == (None, 15)


@pytest.mark.parametrize(
    ("spoilt", "why"),
    [
        ({"kind": TickKind.NOTE}, "Write a note first."),
        ({"kind": TickKind.NOTE, "text": "x" * 501}, "This note has 501 characters; at most 500 fit."),
        ({"kind": TickKind.STEP, "task": "agreed"}, "No event has this step."),
        ({"kind": TickKind.HOURS, "count": 5}, "Choose the task that the time was spent on."),
        ({"kind": TickKind.HOURS, "task": "x" * 61}, "Choose the task that the time was spent on."),
        ({"kind": TickKind.HOURS, "task": "install", "count": 10_081}, "Enter at most one week for a task."),
        ({"kind": TickKind.HOURS, "task": "install", "people": 0}, "Enter 1 to 200 people for a task."),
        ({"kind": TickKind.BACK}, "This line isn’t on the list any more."),
    ],
)
def test_what_makes_no_sense_is_refused_in_words(
    wickerlark: House, agreed: Event, spoilt: dict[str, Any], why: str
) -> None:
    with wickerlark.enter("crew"):
        answer = ticks.save_ticks(agreed.pk, [of_event(**spoilt)])
        assert [refusal.why for refusal in answer.refused] == [why]
        assert not Tick.objects.exists()


def test_nothing_breaks_on_the_way_into_the_van(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        ring = line_of(agreed, "ring-6ft")
        answer = ticks.save_ticks(agreed.pk, [said(ring, 0, broken=1)])
        assert [refusal.why for refusal in answer.refused] == [
            "Only returned items can be broken, lost, used up or to be repaired."
        ]
        with pytest.raises(IntegrityError, match="only_a_count_back"), transaction.atomic():
            Tick.objects.create(uuid=uuid.uuid4(), event=agreed, line=ring, broken=1, made_at=timezone.now())


def test_a_month_old_outbox_is_taken_even_if_the_list_was_made_anew_meanwhile(
    wickerlark: House, agreed: Event
) -> None:
    old = timezone.now() - timedelta(days=31)
    with wickerlark.enter():
        ring, greenery = line_of(agreed, "ring-6ft"), line_of(agreed, "greenery")
        agree(agreed, key="v2", bill=agreed_bill()[:3])
        answer = ticks.save_ticks(
            agreed.pk, [said(ring, 1, made_at=old, after=()), said(greenery, 12, made_at=old, after=())]
        )
        assert answer.refused == ()
        assert state_of(agreed, "ring-6ft").count == 1


def agreed_bill() -> Any:
    from tests.events.conftest import BILL

    return BILL


def test_ticks_of_one_event_are_not_taken_by_another(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        other = take("Supper")
        agree(other, key="other", bill=agreed_bill()[:1])
        answer = ticks.save_ticks(other.pk, [said(line_of(agreed, "ring-6ft"), 1)])
        assert [refusal.why for refusal in answer.refused] == ["This line isn’t on the list any more."]
