"""Steps of the day on phones: not by a slip of the finger, asked about, and undone by whoever marked them."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from events.booking import stages
from events.crew_phones import phone_links
from events.loadout import load_list, loadout_json, steps, ticks
from events.loadout.ticks import TickOp
from events.models import Event, LoadOutLine, Stage, Tick, TickKind
from studio import tenancy
from studio.tenancy.rights import Role
from tests.events.conftest import address, agree, all_back, said, seen, stock_up, take
from tests.people import House


def step(task: str, *, kind: TickKind = TickKind.STEP, **more: Any) -> TickOp:
    """A step as a phone sends it."""
    facts: dict[str, Any] = {"uuid": uuid.uuid4(), "count": 0, "made_at": timezone.now(), **more}
    return TickOp(line_id=None, kind=kind, task=task, **facts)


def undo(task: str, **more: Any) -> TickOp:
    return step(task, kind=TickKind.UNDONE, **more)


def refusals(event: Event, *ops: TickOp) -> list[str]:
    return [refusal.why for refusal in ticks.save_ticks(event.pk, ops).refused]


def stage_of(event: Event) -> str:
    event.refresh_from_db()
    return event.stage


def marked(event: Event) -> set[str]:
    return set(load_list.find_load_out_list(event.pk).steps)


@pytest.fixture
def today(wickerlark: House) -> Event:
    """An agreed event whose van was to be loaded an hour ago, and that is ready in some hours."""
    with wickerlark.enter():
        stock_up()
        event = take(ready_by=timezone.now() + timedelta(hours=6))
        agree(event)
        now = timezone.now()
        Event.objects.filter(pk=event.pk).update(load_out_at=now - timedelta(hours=1), access_from=now)
        event.refresh_from_db()
        return event


# --- A slip of the finger ---


def test_three_taps_on_one_spot_mark_one_step_at_most(wickerlark: House, today: Event) -> None:
    start = timezone.now() - timedelta(minutes=10)
    taps = [
        step(task, made_at=start + timedelta(seconds=number))
        for number, task in enumerate(("prepared", "installed", "struck"))
    ]
    with wickerlark.enter("crew"):
        why = refusals(today, *taps)
        assert stage_of(today) == Stage.PREPARED
        assert marked(today) == {"prepared"}
    assert why == [
        "“Van loaded” was marked a moment earlier. If this is right, mark “Installed” again.",
        "“Van loaded” was marked a moment earlier. If this is right, mark “Struck” again.",
    ]


def test_the_same_step_on_two_phones_at_once_is_one_step(wickerlark: House, today: Event) -> None:
    at = timezone.now()
    with wickerlark.enter("crew"):
        assert refusals(today, step("prepared", made_at=at), step("prepared", made_at=at)) == []
        assert stage_of(today) == Stage.PREPARED


def test_steps_some_seconds_apart_are_both_taken_whatever_their_order(
    wickerlark: House, today: Event
) -> None:
    start = timezone.now() - timedelta(minutes=10)
    with wickerlark.enter("crew"):
        assert refusals(today, step("installed", made_at=start + timedelta(seconds=5))) == []
        assert refusals(today, step("prepared", made_at=start)) == []
        assert stage_of(today) == Stage.INSTALLED


# --- Undoing ---


def test_whoever_marked_a_step_undoes_it(wickerlark: House, today: Event) -> None:
    start = timezone.now() - timedelta(minutes=10)
    with wickerlark.enter("crew"):
        assert refusals(today, step("prepared", made_at=start)) == []
        assert refusals(today, step("installed", made_at=start + timedelta(minutes=1))) == []
        assert refusals(today, undo("installed", made_at=start + timedelta(minutes=2))) == []
        assert (stage_of(today), marked(today)) == (Stage.PREPARED, {"prepared"})
        assert refusals(today, undo("prepared", made_at=start + timedelta(minutes=3))) == []
        assert (stage_of(today), marked(today)) == (Stage.AGREED, set())
        assert refusals(today, step("prepared", made_at=start + timedelta(minutes=4))) == []
        assert (stage_of(today), marked(today)) == (Stage.PREPARED, {"prepared"})


def test_a_step_and_its_undoing_that_arrive_together_leave_no_step(wickerlark: House, today: Event) -> None:
    start = timezone.now() - timedelta(minutes=10)
    ops = [undo("prepared", made_at=start + timedelta(seconds=2)), step("prepared", made_at=start)]
    with wickerlark.enter("crew"):
        for _ in range(2):
            assert refusals(today, *ops) == []
            assert (stage_of(today), marked(today)) == (Stage.AGREED, set())
        assert Tick.objects.count() == 2


def test_struck_is_undone_as_well(wickerlark: House, today: Event) -> None:
    start = timezone.now() - timedelta(minutes=10)
    with wickerlark.enter("crew"):
        steps = ("prepared", "installed", "struck")
        ops = [step(task, made_at=start + timedelta(minutes=number)) for number, task in enumerate(steps)]
        assert refusals(today, *ops) == []
        assert refusals(today, undo("installed")) == ["Undo “Struck” first."]
        assert refusals(today, undo("struck")) == []
        assert (stage_of(today), marked(today)) == (Stage.INSTALLED, {"prepared", "installed"})


def test_a_step_of_somebody_else_is_theirs_or_the_offices_to_undo(wickerlark: House, today: Event) -> None:
    with wickerlark.enter():
        phone = phone_links.give(today.pk, whose="Rosa").phone
    as_phone = tenancy.entered(wickerlark.studio.pk, role=Role.CREW, phone_id=phone.pk)
    with as_phone:
        assert refusals(today, step("prepared")) == []
        assert undoable_here(today)
    with wickerlark.enter("crew"):
        assert refusals(today, undo("prepared")) == [
            "Rosa's phone marked this. Only they or the office can undo it."
        ]
        assert not undoable_here(today)
        assert stage_of(today) == Stage.PREPARED
    with wickerlark.enter("staff"):
        assert undoable_here(today)
        assert refusals(today, undo("prepared")) == []
        assert stage_of(today) == Stage.AGREED


def undoable_here(event: Event) -> bool:
    """Whether phones are told that they may undo what is marked."""
    steps = loadout_json.write_list(load_list.find_load_out_list(event.pk))["steps"]
    assert isinstance(steps, dict)
    return bool(steps["prepared"]["may_undo"])


def test_what_was_counted_back_is_not_undone(wickerlark: House, today: Event) -> None:
    with wickerlark.enter("crew"):
        start = timezone.now() - timedelta(minutes=10)
        assert refusals(today, step("prepared", made_at=start)) == []
        all_back(today)
        assert refusals(today, step("counted_back")) == []
        assert refusals(today, undo("counted_back")) == [
            "The count is in the stock ledger. Correct the stock at the office instead."
        ]
        assert refusals(today, undo("prepared")) == ["This event is counted back: its steps stay."]
        assert stage_of(today) == Stage.COUNTED_BACK


def test_a_step_that_the_office_undid_is_no_longer_shown_as_taken(wickerlark: House, today: Event) -> None:
    with wickerlark.enter("crew"):
        assert refusals(today, step("prepared", made_at=timezone.now() - timedelta(minutes=1))) == []
    with wickerlark.enter("staff"):
        stages.reach(today.pk, Stage.AGREED)
        assert marked(today) == set()


# --- Without script ---


def test_without_script_a_step_is_asked_about_on_a_page_of_its_own(wickerlark: House, agreed: Event) -> None:
    crew = wickerlark.client("crew")
    page = crew.post(address(wickerlark, "ticks", agreed), {"step": "prepared"}, follow=True)
    asked = " ".join(page.content.decode().split())
    assert page.redirect_chain[-1][0] == address(wickerlark, "step-mark", agreed, "prepared")
    assert "Load-out is planned for" in asked
    assert "9 lines aren’t ticked." in asked
    with wickerlark.enter():
        assert stage_of(agreed) == Stage.AGREED
    crew.post(address(wickerlark, "ticks", agreed), {"step": "prepared", "asked": "yes"})
    with wickerlark.enter():
        assert stage_of(agreed) == Stage.PREPARED
    assert "Undo “Van loaded”" in seen(wickerlark, "crew", agreed, "load-out")
    crew.post(address(wickerlark, "ticks", agreed), {"undo": "prepared"})
    with wickerlark.enter():
        assert stage_of(agreed) == Stage.AGREED


def test_the_page_of_a_step_is_for_those_who_tick_and_for_steps_that_come_next(
    wickerlark: House, federkorn: House, agreed: Event
) -> None:
    path = address(wickerlark, "step-mark", agreed, "prepared")
    assert wickerlark.client("crew").get(path).status_code == 200
    assert federkorn.client().get(path).status_code == 404
    assert wickerlark.client().get(address(wickerlark, "step-mark", agreed, "dance")).status_code == 404


def test_with_every_line_in_on_the_day_nothing_is_doubted(wickerlark: House, today: Event) -> None:
    with wickerlark.enter("crew"):
        lines = LoadOutLine.objects.filter(event=today, dropped=False)
        ticks.save_ticks(today.pk, [said(line, line.quantity) for line in lines])
    page = wickerlark.client("crew").get(address(wickerlark, "step-mark", today, "prepared"))
    assert "ticked" not in page.content.decode()
    assert "planned for" not in page.content.decode()


def test_the_days_of_each_step_are_those_at_the_venue(wickerlark: House) -> None:
    with wickerlark.enter():
        event = take(ready_by=datetime(2026, 12, 12, 15, tzinfo=UTC))
    event.zone = "Pacific/Auckland"  # 13 hours ahead: ready by 4 am on the 13th
    assert steps.days_of(event, "prepared") == (date(2026, 12, 12), date(2026, 12, 13))
    assert steps.days_of(event, "installed")[0] == date(2026, 12, 13)
    event.zone = "America/New_York"  # 5 hours behind
    assert steps.days_of(event, "prepared") == (date(2026, 12, 12), date(2026, 12, 12))
