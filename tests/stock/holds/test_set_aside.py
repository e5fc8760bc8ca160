"""Setting aside for cleaning or repair: it counts as a hold and never fails a job in silence."""

from __future__ import annotations

from datetime import timedelta

import pytest

from stock.catalogue.items import Material
from stock.holds import availability, holds
from stock.models import Hold, Purpose
from tests.stock.conftest import COVER, OAT_11, RING, Stocked


def test_what_is_mended_counts_again_on_its_day(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter("staff"):
        holds.set_aside(
            ring.pk,
            1,
            until=stocked.now + timedelta(days=6),
            purpose=Purpose.MENDING,
            why="foot bent",
            key="m",
        )
        (before,) = availability.availability([Material(RING, 2)], stocked.days(5, 5.5))
        (after,) = availability.availability([Material(RING, 2)], stocked.days(6, 7))
        assert (before.free, before.short) == (1, 1)
        assert before.back_at == stocked.now + timedelta(days=6)
        assert after.short == 0
        with pytest.raises(holds.NotFree, match="Ring 6 ft: 1 free of 2 needed"):
            holds.hold(label="Fair", window=stocked.days(5, 5.5), needs=[Material(RING, 2)], key="k")


def test_what_breaks_makes_a_job_short_rather_than_being_refused(stocked: Stocked) -> None:
    cover = stocked.item(COVER)
    with stocked.house.enter():
        holds.hold(label="Fair", window=stocked.days(3, 4), needs=[Material(COVER, 1)], key="k")
        aside = holds.set_aside(
            cover.pk, 1, until=stocked.now + timedelta(days=9), purpose=Purpose.MENDING, key="m"
        )
        (short,) = availability.shortages()
        assert (short.label, short.short) == ("Fair", 1)
        holds.back_in_service(aside.hold_id, key="b")
        assert availability.shortages() == []
        with pytest.raises(holds.NoSuchHold, match="This hold is over: released"):
            holds.back_in_service(aside.hold_id, key="b2")


@pytest.mark.parametrize(("quantity", "days"), [(0, 3), (3, 3), (1, -1), (1, 9999)])
def test_setting_aside_nonsense_writes_nothing(stocked: Stocked, quantity: int, days: int) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter():
        with pytest.raises(holds.CannotHold, match=r"Enter a future date|You own 2 of it"):
            holds.set_aside(
                ring.pk, quantity, until=stocked.now + timedelta(days=days), purpose=Purpose.WASH, key="m"
            )
        assert not Hold.objects.exists()


def test_a_job_is_not_ended_by_the_button_of_the_wash(stocked: Stocked) -> None:
    with stocked.house.enter():
        job = holds.hold(label="Fair", window=stocked.days(3, 4), needs=[Material(RING, 1)], key="k")
        with pytest.raises(holds.NoSuchHold, match="out on an event, not in cleaning or repair"):
            holds.back_in_service(job.hold_id, key="b")
        assert Hold.objects.get().state == "held"


def test_all_that_is_owned_can_be_set_aside_for_ten_years_at_most(
    stocked: Stocked, monkeypatch: pytest.MonkeyPatch
) -> None:
    ring = stocked.item(RING)
    monkeypatch.setattr("stock.holds.holds.timezone.now", lambda: stocked.now)
    with stocked.house.enter():
        for key, until in (
            ("now", stocked.now),
            ("longer", stocked.now + holds.LONGEST + timedelta(seconds=1)),
        ):
            with pytest.raises(holds.CannotHold, match="future date"):
                holds.set_aside(ring.pk, 2, until=until, purpose=Purpose.MENDING, key=key)
        holds.set_aside(
            ring.pk, 2, until=stocked.now + holds.LONGEST, purpose=Purpose.MENDING, key="ten years"
        )
        (left,) = availability.availability([Material(RING, 1)], stocked.days(3, 4))
        assert left.free == 0


def test_latex_is_not_set_aside(stocked: Stocked) -> None:
    latex = stocked.item(OAT_11)
    with stocked.house.enter(), pytest.raises(holds.CannotHold, match="Only reusable items"):
        holds.set_aside(latex.pk, 1, until=stocked.now + timedelta(days=1), purpose=Purpose.WASH, key="k")
