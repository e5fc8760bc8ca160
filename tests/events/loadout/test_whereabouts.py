"""A stock-take in the middle of a load-out: what was ticked has left, what came back lies there again."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from events.booking import stages
from events.loadout import ticks
from events.loadout.whereabouts import find_sightings
from events.models import Event, LoadOutLine, Stage, TickKind
from stock.catalogue.items import find_by_code
from stock.counting import stocktake
from tests.events.conftest import agree, said, take
from tests.people import House

OAT = "latex-11-oat"


def tick(event: Event, code: str, count: int, kind: TickKind = TickKind.LOADED, **more: int) -> None:
    line = LoadOutLine.objects.get(event=event, code=code)
    assert ticks.save_ticks(event.pk, [said(line, count, kind, **more)]).refused == ()


def here(code: str) -> tuple[int, list[tuple[str, int]]]:
    """How many are expected in their place, and what is away for what."""
    (expected,) = stocktake.expect([find_by_code([code])[code]])
    return expected.here, [(each.label, each.quantity) for each in expected.away]


def test_what_is_in_the_van_has_left_though_the_day_is_still_to_come(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        owned, _ = here(OAT)
        tick(agreed, "ring-6ft", 1)
        tick(agreed, OAT, 60)
        assert agreed.hold is not None
        assert here(OAT) == (owned - 60, [(agreed.hold.label, 60)])
        assert stocktake.find_differences({find_by_code([OAT])[OAT].pk: owned - 60}) == []
        assert here("latex-5-oat")[1] == [], "not ticked yet: it still lies there"
        stages.reach(agreed.pk, Stage.PREPARED)
        assert here("latex-5-oat")[1] != [], "the van is closed: it went with the rest"


def test_what_came_back_whole_lies_there_before_the_returns_are_closed(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        owned, _ = here(OAT)
        tick(agreed, OAT, 120)
        stages.reach(agreed.pk, Stage.PREPARED)
        tick(agreed, OAT, 14, TickKind.BACK, used=106)
        assert here(OAT)[0] == owned - 106
        (seen,) = [each for each in find_sightings([agreed.hold_id or 0]) if each.code == OAT]
        assert (seen.left, seen.back, seen.is_accounted_for) == (120, 14, True)


def test_events_that_nobody_ticked_go_by_their_plan(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        assert find_sightings([agreed.hold_id or 0]) == []
        assert here(OAT)[1] == []


def test_what_nobody_ticked_took_no_more_than_there_was(wickerlark: House, agreed: Event) -> None:
    """A van is marked as loaded though balloons were missing: what was still to be bought can't be out."""
    with wickerlark.enter():
        other = take("Bakery opening", days=11)
        agree(other, key="bakery")
        owned, _ = here(OAT)
        tick(agreed, OAT, 120)
        for event in (agreed, other):
            stages.reach(event.pk, Stage.PREPARED)
        left = owned - 120
        assert 0 < left < 120
        assert agreed.hold is not None
        other.refresh_from_db()
        assert other.hold is not None
        assert here(OAT) == (0, [(agreed.hold.label, 120), (other.hold.label, left)])
        pk = find_by_code([OAT])[OAT].pk
        assert stocktake.find_differences({pk: 0}) == []
        assert [each.by for each in stocktake.find_differences({pk: 7})] == [7]


def test_what_was_ticked_left_even_if_the_ledger_knew_of_fewer(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        other = take("Bakery opening", days=11)
        agree(other, key="bakery")
        owned, _ = here(OAT)
        for event in (agreed, other):
            tick(event, OAT, 120)
        assert here(OAT)[0] == owned - 240 < 0


def test_what_came_back_was_out_though_nobody_ticked_it(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        owned, _ = here(OAT)
        stages.reach(agreed.pk, Stage.PREPARED)
        tick(agreed, OAT, 14, TickKind.BACK, used=106)
        (seen,) = [each for each in find_sightings([agreed.hold_id or 0]) if each.code == OAT]
        assert (seen.left, seen.back, seen.assumed) == (120, 14, 0)
        assert here(OAT)[0] == owned - 106


@pytest.mark.parametrize("events", [1, 4])
def test_three_queries_whatever_the_number_of_events(wickerlark: House, agreed: Event, events: int) -> None:
    with wickerlark.enter():
        for number in range(events):
            agree(take(f"Fair {number}", days=20 + 3 * number), key=f"fair-{number}")
        holds = list(Event.objects.exclude(hold=None).values_list("hold_id", flat=True))
        for event in Event.objects.exclude(hold=None):
            tick(event, OAT, 1)
        with CaptureQueriesContext(connection) as asked:
            seen = find_sightings([pk for pk in holds if pk])
        assert len({each.hold_id for each in seen}) == events + 1
    assert len(asked) == 3
