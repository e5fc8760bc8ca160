"""Holds: nothing that comes back is promised twice, everything is all or nothing, a double press is one
hold."""

from __future__ import annotations

from datetime import timedelta

import pytest
import time_machine
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction

from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.ledger.idempotency import KeyTaken, once
from stock.models import Hold, HoldLine, HoldState, Item, KeptAnswer
from studio import tenancy
from studio.measures.times import Window, WindowReversed
from studio.tenancy.rights import Role
from tests.people import House
from tests.stock.conftest import COVER, INK_5, OAT_11, RING, Stocked


def test_a_hold_keeps_what_was_asked_and_marks_what_must_be_bought(stocked: Stocked) -> None:
    with stocked.house.enter("staff"):
        answer = holds.hold(
            label="Library centenary",
            window=stocked.days(5, 6),
            needs=[Material(OAT_11, 150), Material(RING, 2), Material(INK_5, 80), Material(OAT_11, 100)],
            key="agree-1",
        )
    assert answer.state == HoldState.HELD
    assert answer.lines == (Material(OAT_11, 250), Material(RING, 2), Material(INK_5, 80))
    assert [(each.code, each.free, each.short) for each in answer.short] == [
        (OAT_11, 200, 50),
        (INK_5, 0, 80),
    ]
    assert answer.unknown == ()


def test_what_comes_back_is_refused_whole_when_one_thing_is_gone(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="Supper", window=stocked.days(5, 6), needs=[Material(RING, 1)], key="first")
        with (
            pytest.raises(holds.NotFree, match="Ring 6 ft: 1 free of 2 needed") as refused,
            transaction.atomic(),
        ):
            holds.hold(
                label="Ball",
                window=stocked.days(5.5, 7),
                needs=[Material(OAT_11, 10), Material(RING, 2)],
                key="second",
            )
        assert Hold.objects.count() == HoldLine.objects.count() == 1
    (gone,) = refused.value.shortfalls
    assert gone.back_at == stocked.days(5, 6).end


def test_the_same_ring_serves_two_events_that_only_touch(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="Supper", window=stocked.days(5, 6), needs=[Material(RING, 2)], key="first")
        holds.hold(label="Ball", window=stocked.days(6, 7), needs=[Material(RING, 2)], key="second")
        assert HoldLine.objects.filter(standing=True).count() == 2


def test_a_cover_is_gone_until_it_is_washed(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="Supper", window=stocked.days(5, 6), needs=[Material(COVER, 1)], key="first")
        with pytest.raises(holds.NotFree) as refused:
            holds.hold(label="Ball", window=stocked.days(7, 8), needs=[Material(COVER, 1)], key="second")
        assert refused.value.shortfalls[0].back_at == stocked.days(5, 6).end + timedelta(hours=30)
        # Washing counts at the far end as well: a hold before it must leave time to wash.
        with pytest.raises(holds.NotFree, match="Ring cover: 0 free of 1 needed"):
            holds.hold(label="Fair", window=stocked.days(3, 4), needs=[Material(COVER, 1)], key="third")
        holds.hold(label="Late ball", window=stocked.days(7.25, 8), needs=[Material(COVER, 1)], key="fourth")


def test_a_hold_is_measured_at_its_busiest_moment_only(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="Morning", window=stocked.days(5, 5.4), needs=[Material(RING, 1)], key="a")
        holds.hold(label="Evening", window=stocked.days(5.5, 6), needs=[Material(RING, 1)], key="b")
        holds.hold(label="All day", window=stocked.days(5, 6), needs=[Material(RING, 1)], key="c")
        with pytest.raises(holds.NotFree, match="Ring 6 ft: 0 free of 1 needed"):
            holds.hold(label="Noon", window=stocked.days(5.3, 5.6), needs=[Material(RING, 1)], key="d")
        holds.hold(label="Gap", window=stocked.days(5.4, 5.5), needs=[Material(RING, 1)], key="e")


def test_a_code_that_the_catalogue_does_not_know_is_reported_not_kept(stocked: Stocked) -> None:
    with stocked.house.enter():
        answer = holds.hold(
            label="Fair",
            window=stocked.days(5, 6),
            needs=[Material("moon-gate", 1), Material(RING, 1)],
            key="k",
        )
        assert answer.unknown == ("moon-gate",)
        assert answer.lines == (Material(RING, 1),)


def test_what_is_out_of_use_is_refused(stocked: Stocked) -> None:
    with stocked.house.enter():
        items.retire_item(Item.objects.get(code=RING))
        with pytest.raises(holds.NotFree, match="Ring 6 ft is out of use"):
            holds.hold(label="Fair", window=stocked.days(5, 6), needs=[Material(RING, 1)], key="k")


def test_a_double_press_is_one_hold_and_gives_the_first_answer(stocked: Stocked) -> None:
    with stocked.house.enter():
        first = holds.hold(
            label="Fair",
            window=stocked.days(5, 6),
            needs=[Material(RING, 1), Material(INK_5, 4)],
            key="press",
        )
        movements.receive(Item.objects.get(code=INK_5).pk, 100, key="bought")
        again = holds.hold(
            label="Fair",
            window=stocked.days(5, 6),
            needs=[Material(RING, 1), Material(INK_5, 4)],
            key="press",
        )
        assert again == first
        assert Hold.objects.count() == 1


def test_the_same_key_with_other_content_is_an_error(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="Fair", window=stocked.days(5, 6), needs=[Material(RING, 1)], key="press")
        with pytest.raises(KeyTaken, match="used for another request"):
            holds.hold(label="Fair", window=stocked.days(5, 6), needs=[Material(RING, 2)], key="press")


def test_a_refusal_leaves_its_key_free(stocked: Stocked) -> None:
    with stocked.house.enter():
        blocker = holds.hold(label="Supper", window=stocked.days(5, 6), needs=[Material(RING, 2)], key="a")
        with pytest.raises(holds.NotFree, match="Ring 6 ft: 0 free of 1 needed"):
            holds.hold(label="Ball", window=stocked.days(5, 6), needs=[Material(RING, 1)], key="b")
        holds.release(blocker.hold_id, "c")
        assert holds.hold(label="Ball", window=stocked.days(5, 6), needs=[Material(RING, 1)], key="b").hold_id


def test_two_studios_may_use_the_same_key(stocked: Stocked, federkorn: House) -> None:
    with stocked.house.enter():
        once("k", {"a": 1}, dict[str, bool], lambda: {"mine": True})
    with federkorn.enter():
        assert once("k", {"a": 2}, dict[str, bool], lambda: {"theirs": True}) == {"theirs": True}
        assert KeptAnswer.objects.count() == 1


def test_a_tentative_hold_gives_way_after_its_date(stocked: Stocked) -> None:
    with stocked.house.enter():
        tentative = holds.hold(
            label="Maybe",
            window=stocked.days(9, 10),
            needs=[Material(RING, 2), Material(OAT_11, 150)],
            key="tentative",
            tentative_until=stocked.days(1, 3).end,
        )
        assert tentative.state == HoldState.TENTATIVE
        with pytest.raises(holds.NotFree, match="Ring 6 ft: 0 free of 1 needed"):
            holds.hold(label="Sure", window=stocked.days(9, 10), needs=[Material(RING, 1)], key="early")
    with time_machine.travel(stocked.days(1, 3).end, tick=False), stocked.house.enter():
        sure = holds.hold(
            label="Sure",
            window=stocked.days(9, 10),
            needs=[Material(RING, 1), Material(OAT_11, 150)],
            key="late",
        )
        assert sure.short == ()
        with pytest.raises(holds.NotFree, match="1 free of 2"):
            holds.confirm(tentative.hold_id, "too late")


def test_confirming_a_tentative_hold_keeps_it_for_good(stocked: Stocked) -> None:
    with stocked.house.enter():
        made = holds.hold(
            label="Maybe",
            window=stocked.days(9, 10),
            needs=[Material(RING, 2)],
            key="tentative",
            tentative_until=stocked.days(1, 3).end,
        )
        assert holds.confirm(made.hold_id, "yes").state == HoldState.HELD
        assert holds.confirm(made.hold_id, "yes").state == HoldState.HELD
    later = time_machine.travel(stocked.days(1, 4).end, tick=False)
    with later, stocked.house.enter(), pytest.raises(holds.NotFree, match="Ring 6 ft: 0 free of 1 needed"):
        holds.hold(label="Sure", window=stocked.days(9, 10), needs=[Material(RING, 1)], key="late")


def test_a_change_is_all_or_nothing_and_does_not_stand_in_its_own_way(stocked: Stocked) -> None:
    with stocked.house.enter():
        mine = holds.hold(label="Fair", window=stocked.days(5, 6), needs=[Material(RING, 1)], key="a").hold_id
        holds.change(mine, key="more", needs=[Material(RING, 2), Material(OAT_11, 20)])
        assert _lines(mine) == {RING: 2, OAT_11: 20}
        holds.change(mine, key="less", needs=[Material(RING, 1)])
        assert _lines(mine) == {RING: 1}
        holds.hold(label="Ball", window=stocked.days(7, 8), needs=[Material(RING, 2)], key="b")
        with pytest.raises(holds.NotFree, match="Ring 6 ft: 0 free of 1 needed"):
            holds.change(mine, key="later", window=stocked.days(7.5, 9))
        assert Hold.objects.get(pk=mine).starts_at == stocked.days(5, 6).start
        holds.change(mine, key="much later", window=stocked.days(8, 9))
        assert HoldLine.objects.get(hold_id=mine).busy_until == stocked.days(8, 9).end


def test_releasing_frees_everything_and_twice_is_no_harm(stocked: Stocked) -> None:
    with stocked.house.enter():
        mine = holds.hold(label="Fair", window=stocked.days(5, 6), needs=[Material(RING, 2)], key="a").hold_id
        holds.release(mine, "r1")
        holds.release(mine, "r2")
        holds.hold(label="Ball", window=stocked.days(5, 6), needs=[Material(RING, 2)], key="b")
        with pytest.raises(holds.NoSuchHold, match="over: released"):
            holds.confirm(mine, "c")


def test_counting_back_writes_what_is_gone_and_frees_the_rest(stocked: Stocked) -> None:
    with stocked.house.enter():
        mine = holds.hold(
            label="Fair", window=stocked.days(5, 6), needs=[Material(RING, 2), Material(OAT_11, 150)], key="a"
        ).hold_id
    with stocked.house.enter("crew"):
        holds.count_back(mine, used=[Material(OAT_11, 140)], lost=[Material(RING, 1)], key="back")
        holds.count_back(mine, used=[Material(OAT_11, 140)], lost=[Material(RING, 1)], key="back")
    with stocked.house.enter():
        assert _on_hand(OAT_11) == 60
        assert _on_hand(RING) == 1
        assert Hold.objects.get(pk=mine).state == HoldState.COUNTED_BACK
        assert not HoldLine.objects.filter(standing=True).exists()
        assert movements.find_mismatches() == []


def test_using_more_than_the_ledger_knew_counts_the_rest_in_first(stocked: Stocked) -> None:
    with stocked.house.enter():
        mine = holds.hold(
            label="Fair", window=stocked.days(5, 6), needs=[Material(OAT_11, 250)], key="a"
        ).hold_id
        holds.count_back(mine, used=[Material(OAT_11, 230)], key="back")
        assert _on_hand(OAT_11) == 0
        written = Item.objects.get(code=OAT_11).movements.order_by("pk").values_list("kind", "quantity")
        assert list(written) == [("opening", 200), ("counted", 30), ("used", -230)]


def test_counting_back_an_unknown_code_writes_nothing(stocked: Stocked) -> None:
    with stocked.house.enter():
        mine = holds.hold(
            label="Fair", window=stocked.days(5, 6), needs=[Material(OAT_11, 50)], key="a"
        ).hold_id
        with pytest.raises(movements.UnknownCode, match="moon-gate"), transaction.atomic():
            holds.count_back(mine, used=[Material(OAT_11, 50), Material("moon-gate", 1)], key="back")
        assert _on_hand(OAT_11) == 200
        assert Hold.objects.get(pk=mine).state == HoldState.HELD


@pytest.mark.parametrize(
    ("days", "needs", "label", "message"),
    [
        ((5, 6), [], "Fair", "at least one item"),
        ((5, 6), [Material(RING, 0)], "Fair", "whole numbers of at least 1: ring-6-ft"),
        ((5, 6), [Material(RING, -1)], "Fair", "whole numbers of at least 1: ring-6-ft"),
        ((5, 6), [Material(RING, 10**9)], "Fair", "whole numbers of at least 1: ring-6-ft"),
        ((5, 6), [Material(RING, 1)], "  ", "Enter what the hold is for"),
        ((-3, -2), [Material(RING, 1)], "Fair", "in the past"),
        ((5, 4000), [Material(RING, 1)], "Fair", "ten years at most"),
    ],
)
def test_what_nobody_can_mean_is_refused(
    stocked: Stocked, days: tuple[int, int], needs: list[Material], label: str, message: str
) -> None:
    with stocked.house.enter(), pytest.raises(holds.CannotHold, match=message):
        holds.hold(label=label, window=stocked.days(*days), needs=needs, key="k")


def test_no_window_ends_before_it_starts(stocked: Stocked) -> None:
    for days in ((6, 5), (5, 5)):
        with stocked.house.enter(), pytest.raises(WindowReversed, match="after the start"):
            holds.hold(label="Fair", window=stocked.days(*days), needs=[Material(RING, 1)], key="k")
    with stocked.house.enter():
        assert not Hold.objects.exists()


def test_every_fault_is_reported_at_once(stocked: Stocked) -> None:
    with stocked.house.enter(), pytest.raises(holds.CannotHold) as refused:
        holds.hold(
            label="", window=stocked.days(-3, -2), needs=[], key="k", tentative_until=stocked.days(-9, -8).end
        )
    assert len(refused.value.messages) == 4


def test_the_studio_itself_may_load_a_past_season(stocked: Stocked) -> None:
    with tenancy.entered(stocked.house.studio.pk, role=Role.SYSTEM):
        answer = holds.hold(
            label="Last year", window=stocked.days(-300, -299), needs=[Material(RING, 1)], key="k"
        )
        assert answer.state == HoldState.HELD


def test_crew_hold_nothing_and_release_nothing(stocked: Stocked) -> None:
    with stocked.house.enter("crew"):
        with pytest.raises(PermissionDenied, match="doesn't allow you to hold stock"):
            holds.hold(label="Fair", window=stocked.days(5, 6), needs=[Material(RING, 1)], key="k")
        with pytest.raises(PermissionDenied, match="doesn't allow you to hold stock"):
            holds.release(1, "k")


def test_another_studios_hold_is_not_there(stocked: Stocked, federkorn: House) -> None:
    with stocked.house.enter():
        mine = holds.hold(label="Fair", window=stocked.days(5, 6), needs=[Material(RING, 1)], key="a").hold_id
    with federkorn.enter():
        with pytest.raises(holds.NoSuchHold, match="no such hold"):
            holds.release(mine, "k")
        with pytest.raises(holds.NoSuchHold, match="no such hold"):
            holds.confirm(mine, "k")


def test_the_database_refuses_a_hold_line_for_nothing_and_one_that_ends_before_it_starts(
    stocked: Stocked,
) -> None:
    with stocked.house.enter():
        mine = Hold.objects.get(
            pk=holds.hold(
                label="Fair", window=stocked.days(5, 6), needs=[Material(INK_5, 1)], key="a"
            ).hold_id
        )
        ring = Item.objects.get(code=RING)
        window = stocked.days(5, 6)
        with pytest.raises(IntegrityError, match="stock_holdline_some"), transaction.atomic():
            HoldLine.objects.create(
                hold=mine, item=ring, quantity=0, busy_from=window.start, busy_until=window.end
            )
        with pytest.raises(IntegrityError, match="ends_after_start"), transaction.atomic():
            HoldLine.objects.create(
                hold=mine, item=ring, quantity=1, busy_from=window.end, busy_until=window.start
            )


def _lines(hold_id: int) -> dict[str, int]:
    return dict(HoldLine.objects.filter(hold_id=hold_id).values_list("item__code", "quantity"))


def _on_hand(code: str) -> int:
    item = Item.objects.get(code=code)
    return movements.balances([item.pk])[item.pk]


def test_a_hold_ends_in_the_future_and_lasts_ten_years_at_most(
    stocked: Stocked, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("stock.holds.holds.timezone.now", lambda: stocked.now)
    needs = [Material(OAT_11, 1)]
    with stocked.house.enter():
        with pytest.raises(holds.CannotHold, match="The end is in the past"):
            holds.hold(label="Over", window=stocked.days(-1, 0), needs=needs, key="over")
        with pytest.raises(holds.CannotHold, match="needs a future date"):
            holds.hold(
                label="Now", window=stocked.days(3, 4), needs=needs, tentative_until=stocked.now, key="now"
            )
        too_long = Window(stocked.now, stocked.now + holds.LONGEST + timedelta(seconds=1))
        with pytest.raises(holds.CannotHold, match="ten years at most"):
            holds.hold(label="Ages", window=too_long, needs=needs, key="ages")
        ten_years = Window(stocked.now, stocked.now + holds.LONGEST)
        assert holds.hold(label="Ten years", window=ten_years, needs=needs, key="ten").hold_id


def test_none_used_and_more_used_than_recorded_are_both_written_down_right(stocked: Stocked) -> None:
    with stocked.house.enter():
        made = holds.hold(label="Fair", window=stocked.days(3, 4), needs=[Material(OAT_11, 150)], key="k")
        holds.count_back(made.hold_id, used=[Material(OAT_11, 0), Material(INK_5, 30)], key="b")
        ink, oat = stocked.item(INK_5), stocked.item(OAT_11)
        assert movements.balances([ink.pk, oat.pk]) == {ink.pk: 0, oat.pk: 200}
        kinds = Item.objects.get(pk=ink.pk).movements.order_by("pk").values_list("kind", "quantity")
        assert list(kinds) == [("counted", 30), ("used", -30)]
        assert not Item.objects.get(pk=oat.pk).movements.filter(kind="used").exists()


def test_only_what_is_on_a_hold_is_swapped_and_for_what_there_is(stocked: Stocked) -> None:
    with stocked.house.enter():
        answer = holds.hold(label="Fair", window=stocked.days(3, 4), needs=[Material(OAT_11, 50)], key="h")
        for out, into, says in (
            (RING, OAT_11, f"no {RING} on this hold"),
            (OAT_11, OAT_11, f"no {OAT_11} on this hold"),
            (OAT_11, "latex-11-nobody", "no item latex-11-nobody"),
        ):
            with pytest.raises(holds.CannotHold, match=says), transaction.atomic():
                holds.swap(answer.hold_id, out=out, into=into, key=f"{out} {into}")
        part = holds.swap(answer.hold_id, out=OAT_11, into=INK_5, quantity=20, key="part")
        assert set(part.lines) == {Material(OAT_11, 30), Material(INK_5, 20)}
        rest = holds.swap(answer.hold_id, out=OAT_11, into=INK_5, quantity=99, key="rest")
        assert set(rest.lines) == {Material(INK_5, 50)}, "no more than is held"


def test_pieces_to_repair_stay_away_until_they_are_mended_and_can_come_back_one_by_one(
    stocked: Stocked,
) -> None:
    with stocked.house.enter():
        answer = holds.hold(
            label="Fair", window=stocked.days(3, 4), needs=[Material(RING, 2), Material(COVER, 1)], key="h"
        )
        holds.count_back(
            answer.hold_id, used=[], mend=[Material(RING, 1), Material(COVER, 1)],
            mended_by=stocked.now + timedelta(days=9), key="back",
        )  # fmt: skip
        aside = {hold.lines.get().item.code: hold for hold in Hold.objects.filter(state=HoldState.HELD)}
        assert set(aside) == {RING, COVER}
        assert {hold.label for hold in aside.values()} == {"repair: Fair"}
        later = stocked.days(5, 6)
        with pytest.raises(holds.NotFree, match="Ring 6 ft: 1 free of 2 needed"), transaction.atomic():
            holds.hold(label="Ball", window=later, needs=[Material(RING, 2)], key="ball")
        holds.back_in_service(aside[RING].pk, key="mended")
        assert holds.hold(label="Ball", window=later, needs=[Material(RING, 2)], key="ball 2").short == ()
        with pytest.raises(holds.NotFree, match="Ring cover"), transaction.atomic():
            holds.hold(label="Gala", window=later, needs=[Material(COVER, 1)], key="gala")
        with pytest.raises(movements.UnknownCode, match="no item of-nobody"), transaction.atomic():
            holds.count_back(
                holds.hold(label="X", window=stocked.days(20, 21), needs=[Material(RING, 1)], key="x").hold_id,
                used=[Material("of-nobody", 1)], key="y",
            )  # fmt: skip


def test_a_tentative_hold_can_be_kept_for_longer(stocked: Stocked) -> None:
    until = stocked.now + timedelta(days=1)
    with stocked.house.enter():
        answer = holds.hold(
            label="Fair", window=stocked.days(3, 4), needs=[Material(RING, 1)], tentative_until=until, key="h"
        )
        holds.change(answer.hold_id, tentative_until=until + timedelta(days=1), key="longer")
        assert Hold.objects.get().tentative_until == until + timedelta(days=1)
