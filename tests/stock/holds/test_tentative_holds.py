"""Tentative holds that stand in the way of a window, the first to expire first."""

from __future__ import annotations

from datetime import timedelta

from stock.catalogue.items import Material
from stock.holds import holds
from stock.holds.tentative_holds import find_conflicts
from stock.models import Hold
from tests.stock.conftest import OAT_11, RING, Stocked


def tentative(stocked: Stocked, label: str, start: float, end: float, days: float) -> int:
    until = stocked.now + timedelta(days=days)
    needs = [Material(RING, 1), Material(OAT_11, 10)]
    made = holds.hold(
        label=label, window=stocked.days(start, end), needs=needs, tentative_until=until, key=label
    )
    return made.hold_id


def labels(stocked: Stocked, start: float, end: float, code: str = RING) -> list[str]:
    return [line.label for line in find_conflicts([code], stocked.days(start, end))]


def test_those_that_overlap_are_named_first_to_expire_first(stocked: Stocked) -> None:
    with stocked.house.enter():
        tentative(stocked, "Later", 10, 12, days=8)
        tentative(stocked, "Sooner", 11, 13, days=2)
        holds.hold(label="Agreed", window=stocked.days(30, 31), needs=[Material(RING, 1)], key="a")
        assert labels(stocked, 11, 12) == ["Sooner", "Later"]
        assert labels(stocked, 12, 13) == ["Sooner"], "what is back by then is not in the way"
        assert labels(stocked, 13, 14) == []
        assert labels(stocked, 9, 10) == []
        assert labels(stocked, 30, 31) == [], "an agreed one is no tentative one"
        assert labels(stocked, 11, 12, "no-such-code") == []
        (line,) = find_conflicts([RING], stocked.days(12, 13))
        assert (line.name, line.quantity, line.until) == ("Ring 6 ft", 1, stocked.now + timedelta(days=2))


def test_one_that_has_expired_or_was_released_stands_in_nobodys_way(stocked: Stocked) -> None:
    with stocked.house.enter():
        expired = tentative(stocked, "Expired", 10, 12, days=1)
        Hold.objects.filter(pk=expired).update(tentative_until=stocked.now - timedelta(seconds=1))
        released = tentative(stocked, "Released", 10, 12, days=1)
        holds.release(released, "r")
        assert labels(stocked, 10, 12) == []
