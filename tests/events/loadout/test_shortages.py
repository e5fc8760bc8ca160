"""What an event lacks now: on its page, on the load-out list and among the alerts."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from events.jobs.commitment import BillLine
from events.loadout import load_list
from events.models import BillRow, Event
from stock.alerts import alerts
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import Alert, Item, Kind, MovementKind, Purpose
from tests import shelf
from tests.events.conftest import address, agree, printed, said_by, stock_up, take, words_on
from tests.people import House

LATEX = BillLine("latex-11-oat", "Oat 11 in", 222, "Garland", "garland")
RING = BillLine("ring-6ft", "Ring 6 ft", 1, "Ring", "frames")
RINGS = BillLine("ring-6ft", "Ring 6 ft", 2, "Ring", "frames")
OUTLINE = {"shape": "ring", "width_m": 1.83, "height_m": 1.83}


def page_of(house: House, event: Event, name: str = "event", role: str = "owner") -> str:
    return said_by(house.client(role).get(address(house, name, event)))


def listed_short(event: Event) -> dict[str, int]:
    return {
        state.line.code: state.short for state in load_list.find_load_out_list(event.pk).states if state.short
    }


@pytest.fixture
def rings(wickerlark: House) -> Event:
    """An event that has both rings of the studio, which owns another frame much like them."""
    with wickerlark.enter():
        stock_up()
        other = shelf.thing(Kind.FRAME, "Ring 6 ft, brass", code="ring-brass")
        shelf.put([(other, 2)])
        Item.objects.filter(code__in=["ring-6ft", "ring-brass"]).update(outline=OUTLINE)
        event = take()
        agree(event, bill=(RINGS,))
        event.refresh_from_db()
        return event


def test_what_was_bought_since_is_short_no_longer_and_the_page_says_both(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=(LATEX,))
        assert listed_short(event) == {"latex-11-oat": 22}
    assert "Oat 11 in: 22 short now</strong>, 22 when it was agreed" in page_of(wickerlark, event)
    with wickerlark.enter():
        movements.open_with([Material("latex-11-oat", 10)])
        assert listed_short(event) == {"latex-11-oat": 12}
    assert "Oat 11 in: 12 short now</strong>, 22 when it was agreed" in page_of(wickerlark, event)
    with wickerlark.enter():
        movements.open_with([Material("latex-11-oat", 12)])
        assert listed_short(event) == {}
        assert BillRow.objects.get().short == 22, "what was agreed stays"
    page = page_of(wickerlark, event)
    assert "Oat 11 in: available now</strong>, 22 short when it was agreed" in page
    assert "short now" not in page
    assert "missing" not in page_of(wickerlark, event, "load-out", "crew")
    assert "missing" not in words_on(printed(wickerlark, wickerlark.client("crew"), event, "load-out"))


@pytest.mark.parametrize("how", ["mending", "lost"])
def test_what_is_mended_or_lost_after_it_was_promised_is_short_on_every_page(
    wickerlark: House, rings: Event, how: str
) -> None:
    with wickerlark.enter():
        assert listed_short(rings) == {}
        ring = Item.objects.get(code="ring-6ft")
        if how == "mending":
            until = timezone.now() + timedelta(days=30)
            holds.set_aside(ring.pk, 1, until=until, purpose=Purpose.MENDING, why="bent", key="mend")
        else:
            movements.write_off(ring.pk, 1, kind=MovementKind.LOST, key="lost", reason="left at the quay")
        alerts.update_alerts()
        (alert,) = Alert.objects.filter(kind="short", over_at=None)
    assert alert.words.startswith(f"{rings.title}, ")
    assert alert.words.endswith(": 1 × Ring 6 ft short. Available instead: Ring 6 ft, brass.")
    assert alert.hold_id == rings.hold_id
    hold_page = wickerlark.url("stock:hold", rings.hold_id)
    assert f'href="{hold_page}"' in wickerlark.client().get(wickerlark.url("stock:alerts")).content.decode()
    page = page_of(wickerlark, rings)
    assert "Ring 6 ft: 1 short now</strong>, none when it was agreed" in page
    assert f'<a href="{hold_page}"> Ring 6 ft, brass</a> available instead' in page
    with wickerlark.enter("crew"):
        assert listed_short(rings) == {"ring-6ft": 1}
    assert "1 missing" in page_of(wickerlark, rings, "load-out", "crew")
    assert "1 missing" in words_on(printed(wickerlark, wickerlark.client("crew"), rings, "load-out"))


def test_what_is_mended_in_time_hurts_nobody(wickerlark: House, rings: Event) -> None:
    with wickerlark.enter():
        ring, until = Item.objects.get(code="ring-6ft"), timezone.now() + timedelta(days=2)
        holds.set_aside(ring.pk, 1, until=until, purpose=Purpose.MENDING, why="bent", key="mend")
        assert listed_short(rings) == {}
        alerts.update_alerts()
        assert not Alert.objects.filter(kind="short").exists()


def test_of_two_events_only_the_one_that_goes_short_is_named(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = take("First"), take("Second")
        for event in (first, second):
            agree(event, key=event.title, bill=(RING,))
        ring, until = Item.objects.get(code="ring-6ft"), timezone.now() + timedelta(days=30)
        holds.set_aside(ring.pk, 1, until=until, purpose=Purpose.MENDING, why="bent", key="mend")
        alerts.update_alerts()
        (alert,) = Alert.objects.filter(kind="short")
        assert alert.words.startswith("Second, ")
        assert (listed_short(first), listed_short(second)) == ({}, {"ring-6ft": 1})


def test_what_the_catalogue_does_not_have_stays_short_until_the_event_is_over(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=(RING, BillLine("neon-50", "Neon 50", 1, "Sign", "sign")))
        assert listed_short(event) == {"neon-50": 1}
    assert "Neon 50: 1 short now</strong>, 1 when it was agreed" in page_of(wickerlark, event)
