"""Counted back: the ledger knows what is gone, the hold is over, and it happens once and by this alone."""

from __future__ import annotations

import threading
from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.http import Http404
from django.utils import timezone

from events.booking import stages
from events.loadout import load_list, returns, ticks
from events.loadout.returns import CannotCountBack
from events.models import Event, LoadOutLine, LogEntry, Stage, TickKind
from stock.catalogue.items import Material, find_by_code
from stock.holds import availability, holds
from stock.ledger import movements
from stock.models import Hold, HoldLine, HoldState, Movement, Purpose
from studio.measures.times import Window
from tests import people
from tests.events.conftest import agree, all_back, days_ahead, said, stock_up, take
from tests.people import House

COUNTS: dict[str, dict[str, int]] = {
    "latex-11-oat": {"count": 14, "used": 106},
    "latex-5-oat": {"count": 0, "used": 80},
    "ring-6ft": {"count": 0, "broken": 1},
    "cover-oat": {"count": 0, "lost": 1},
    "greenery": {"count": 12},
    "along-first-aid": {"count": 1},
    "along-pump": {"count": 1},
    "along-scissors": {"count": 1},
    "along-tape": {"count": 1},
}
"""What went out and what became of it, by code."""


def counted(event: Event, **instead: dict[str, int]) -> None:
    """Say what came back, line by line."""
    counts = {**COUNTS, **{code.replace("_", "-"): count for code, count in instead.items()}}
    lines = {line.code: line for line in LoadOutLine.objects.filter(event=event)}
    ops = [said(lines[code], kind=TickKind.BACK, **facts) for code, facts in counts.items() if facts]
    assert ticks.save_ticks(event.pk, ops).refused == ()


def on_hand(code: str) -> int:
    item = find_by_code([code])[code]
    return movements.balances([item.pk])[item.pk]


def rings_free(window: Window) -> int:
    (ring,) = availability.availability([Material("ring-6ft", 1)], window)
    return ring.free


def loaded(event: Event) -> None:
    stages.reach(event.pk, Stage.PREPARED)


def test_what_is_gone_is_written_to_the_ledger_and_the_rest_is_free_again(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter("crew"):
        loaded(agreed)
        counted(agreed)
        answer = returns.count_back(agreed.pk)
        agreed.refresh_from_db()
        assert agreed.stage == Stage.COUNTED_BACK
        assert [(loss.label, loss.broken, loss.lost) for loss in answer.losses] == [
            ("Ring cover oat", 0, 1),
            ("Ring 6 ft", 1, 0),
        ]
        rows = Movement.objects.exclude(kind="opening").order_by("item__code")
        assert [(row.item.code, row.kind, row.quantity, row.label) for row in rows] == [
            ("cover-oat", "lost", -1, "Library centenary"),
            ("latex-11-oat", "used", -106, "Library centenary"),
            ("latex-5-oat", "used", -80, "Library centenary"),
            ("ring-6ft", "broken", -1, "Library centenary"),
        ]
        assert (on_hand("latex-11-oat"), on_hand("ring-6ft"), on_hand("greenery")) == (94, 1, 40)
        assert Hold.objects.get().state == HoldState.COUNTED_BACK
        window = Window(agreed.load_out_at, agreed.back_at)
        (free,) = availability.availability([Material("ring-6ft", 1)], window)
        assert free.free == 1


def test_the_owner_is_told_what_is_broken_and_what_is_missing(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        loaded(agreed)
        counted(agreed)
        returns.count_back(agreed.pk)
    with wickerlark.enter():
        assert LogEntry.objects.filter(event=agreed).first().text == (  # type: ignore[union-attr] # there is one
            "Counted back. Broken: 1 × Ring 6 ft. Missing: 1 × Ring cover oat. "
            "Charge the client or write it off."
        )


def test_what_is_to_be_mended_counts_again_on_its_day_and_sooner_by_hand(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter("crew"):
        loaded(agreed)
        counted(agreed, ring_6ft={"count": 0, "mend": 1}, greenery={"count": 9, "mend": 3})
        answer = returns.count_back(agreed.pk)
        assert {loss.label: loss.mend for loss in answer.losses if loss.mend} == {
            "Greenery": 3,
            "Ring 6 ft": 1,
        }
        kept_away = {line.item.code: line for line in HoldLine.objects.filter(hold__purpose=Purpose.MENDING)}
        assert {code: line.quantity for code, line in kept_away.items()} == {"greenery": 3, "ring-6ft": 1}
        ring = kept_away["ring-6ft"]
        assert ring.hold.label == "repair: Library centenary"
        assert abs(ring.busy_until - timezone.now() - returns.MENDING) < timedelta(minutes=1)
        assert (
            not Movement.objects.filter(item__code__in=["ring-6ft", "greenery"])
            .exclude(kind="opening")
            .exists()
        )
        soon = Window(timezone.now() + timedelta(days=1), timezone.now() + timedelta(days=2))
        later = Window(ring.busy_until, ring.busy_until + timedelta(days=1))
        assert [rings_free(window) for window in (soon, later)] == [1, 2]
    with wickerlark.enter():
        text = LogEntry.objects.filter(event=agreed)[0].text
        assert "To mend: 3 × Greenery, 1 × Ring 6 ft; counted on again from " in text
        holds.back_in_service(ring.hold_id, key="mended")
        assert rings_free(soon) == 2


def test_counting_back_twice_is_once(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        loaded(agreed)
        counted(agreed)
        first = returns.count_back(agreed.pk)
        rows = Movement.objects.count()
        again = returns.count_back(agreed.pk)
        assert again.losses == first.losses
        assert Movement.objects.count() == rows
        assert agreed.stages_reached.filter(stage=Stage.COUNTED_BACK).count() == 1


def test_what_is_not_accounted_for_is_named_and_nothing_is_written(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        loaded(agreed)
        counted(agreed, greenery={"count": 9}, ring_6ft={})
        with pytest.raises(CannotCountBack) as refusal:
            returns.count_back(agreed.pk)
        assert refusal.value.messages == [
            "Greenery: 9 of 12 accounted for.",
            "Ring 6 ft: 0 of 1 accounted for.",
        ]
        agreed.refresh_from_db()
        assert agreed.stage == Stage.PREPARED
        assert not Movement.objects.exclude(kind="opening").exists()
        assert Hold.objects.get().state == HoldState.HELD


def test_what_was_not_loaded_need_not_come_back(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        greenery = LoadOutLine.objects.get(event=agreed, code="greenery")
        ticks.save_ticks(agreed.pk, [said(greenery, 5)])
        loaded(agreed)
        counted(agreed, greenery={"count": 5})
        returns.count_back(agreed.pk)
        agreed.refresh_from_db()
        assert agreed.stage == Stage.COUNTED_BACK


def test_more_used_than_the_ledger_knew_is_counted_in_first(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        loaded(agreed)
        counted(agreed, latex_5_oat={"count": 0, "used": 230})
        returns.count_back(agreed.pk)
        rows = Movement.objects.filter(item__code="latex-5-oat").order_by("pk")
        assert [(row.kind, row.quantity) for row in rows] == [
            ("opening", 200),
            ("counted", 30),
            ("used", -230),
        ]
        assert on_hand("latex-5-oat") == 0


def test_an_event_whose_van_is_not_loaded_is_not_counted_back(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("crew"):
        counted(agreed)
        with pytest.raises(CannotCountBack, match="the van isn’t loaded"):
            returns.count_back(agreed.pk)


def test_an_enquiry_is_not_counted_back(wickerlark: House, enquired: Event) -> None:
    with wickerlark.enter("crew"), pytest.raises(CannotCountBack, match="Only an agreed event"):
        returns.count_back(enquired.pk)


def test_a_thing_that_the_catalogue_does_not_have_is_counted_and_left_out_of_the_ledger(
    wickerlark: House,
) -> None:
    from events.jobs.commitment import BillLine
    from tests.events.conftest import BILL

    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=(*BILL, BillLine("borrowed-easel", "Borrowed easel", 1)))
        loaded(event)
        all_back(event)
        easel = LoadOutLine.objects.get(event=event, code="borrowed-easel")
        ticks.save_ticks(event.pk, [said(easel, 0, TickKind.BACK, lost=1)])
        answer = returns.count_back(event.pk)
        assert [loss.label for loss in answer.losses] == ["Borrowed easel"]
        assert not Movement.objects.exclude(kind="opening").exists()


def test_a_phone_counts_back_without_signal_and_sends_it_all_in_one(wickerlark: House, agreed: Event) -> None:
    browser = wickerlark.client("crew")
    with wickerlark.enter("crew"):
        loaded(agreed)
        lines = {line.code: line.pk for line in LoadOutLine.objects.filter(event=agreed)}
    then = timezone.now() - timedelta(minutes=50)
    ops: list[dict[str, Any]] = [
        {"uuid": f"00000000-0000-4000-8000-{number:012d}", "kind": "back", "line": lines[code], "after": []}
        | {"made_at": then.isoformat(), **facts}
        for number, (code, facts) in enumerate(COUNTS.items())
    ]
    close = {"uuid": "00000000-0000-4000-8000-0000000000ff", "kind": "step", "task": "counted_back"}
    close["made_at"] = (then + timedelta(minutes=1)).isoformat()
    for _ in range(2):
        answer = browser.post(
            wickerlark.url("events:ticks", agreed.pk), {"ops": [*ops, close]}, content_type="application/json"
        ).json()
        assert answer["refused"] == []
        assert answer["stage"] == "counted_back"
    with wickerlark.enter():
        assert Movement.objects.exclude(kind="opening").count() == 4
        reached = agreed.stages_reached.get(stage=Stage.COUNTED_BACK).reached_at
        assert reached == then + timedelta(minutes=1)


def test_closing_too_early_is_refused_with_the_reason_and_the_counts_are_kept(
    wickerlark: House, agreed: Event
) -> None:
    browser = wickerlark.client("crew")
    with wickerlark.enter("crew"):
        loaded(agreed)
        ring = LoadOutLine.objects.get(event=agreed, code="ring-6ft")
    now = timezone.now().isoformat()
    count = {"uuid": "00000000-0000-4000-8000-000000000001", "kind": "back", "line": ring.pk, "count": 1}
    close = {"uuid": "00000000-0000-4000-8000-000000000002", "kind": "step", "task": "counted_back"}
    answer = browser.post(
        wickerlark.url("events:ticks", agreed.pk),
        {"ops": [{**count, "made_at": now}, {**close, "made_at": now}]},
        content_type="application/json",
    ).json()
    assert answer["kept"] == [count["uuid"]]
    assert answer["refused"][0]["uuid"] == close["uuid"]
    assert "Greenery: 0 of 12 accounted for." in answer["refused"][0]["why"]
    assert answer["lines"][str(ring.pk)]["back"]["count"] == 1
    assert answer["stage"] == "prepared"


def test_the_return_list_works_without_script_and_keeps_what_was_typed(
    wickerlark: House, agreed: Event
) -> None:
    browser = wickerlark.client("crew")
    address = wickerlark.url("events:return-list", agreed.pk)
    with wickerlark.enter("crew"):
        loaded(agreed)
        lines = {line.code: line.pk for line in LoadOutLine.objects.filter(event=agreed)}
    typed = {f"back-{lines['ring-6ft']}": "one"}
    page = browser.post(address, {**typed, "do": "close"})
    assert page.status_code == 422
    assert "Ring 6 ft: enter whole numbers." in page.content.decode()
    assert 'value="one"' in page.content.decode()
    typed = {f"back-{pk}": "1" if code in ("ring-6ft", "cover-oat") else "12" for code, pk in lines.items()}
    typed |= {f"used-{lines['latex-11-oat']}": "108", f"used-{lines['latex-5-oat']}": "67"}
    page = browser.post(address, {**typed, "do": "close"})
    assert page.status_code == 422
    assert "Oat 5 in: 79 of 80 accounted for." in page.content.decode()
    page = browser.post(address, {**typed, f"used-{lines['latex-5-oat']}": "68", "do": "close"})
    assert page.status_code == 302
    with wickerlark.enter():
        agreed.refresh_from_db()
        assert agreed.stage == Stage.COUNTED_BACK
        assert on_hand("latex-11-oat") == 92
    closed = browser.get(address).content.decode()
    assert "Counted back" in closed
    assert 'id="close"' not in closed


def test_a_client_and_a_stranger_count_nothing_back(
    wickerlark: House, federkorn: House, agreed: Event
) -> None:
    from studio import tenancy
    from studio.tenancy.rights import Role

    with federkorn.enter(), pytest.raises(Http404):
        returns.count_back(agreed.pk)
    with (
        tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT),
        pytest.raises(PermissionDenied, match="tick"),
    ):
        returns.count_back(agreed.pk)


@pytest.mark.django_db(transaction=True)
def test_two_phones_that_close_at_the_same_moment_write_the_ledger_once() -> None:
    house = people.wickerlark()
    with house.enter():
        stock_up()
        event = take(ready_by=days_ahead(3))
        agree(event)
        loaded(event)
        counted(event)
    failures: list[Exception] = []
    start = threading.Barrier(3)

    def close() -> None:
        try:
            start.wait(timeout=20)
            with house.enter("crew"):
                returns.count_back(event.pk)
        except Exception as failure:  # noqa: BLE001 -- whatever goes wrong in a thread is told below
            failures.append(failure)
        finally:
            connection.close()

    threads = [threading.Thread(target=close) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert failures == []
    with house.enter():
        assert Movement.objects.exclude(kind="opening").count() == 4
        assert load_list.find_load_out_list(event.pk).event.stage == Stage.COUNTED_BACK
