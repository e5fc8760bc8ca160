"""The shelf page and the count sheet: who sees what, searching, long lists."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import Hold, Item, Kind, Movement
from stock.shelf.presenter import LISTED_ITEMS
from studio.measures.times import Window
from tests.people import House
from tests.stock.conftest import INK_5, OAT_11, RING, Stocked
from tests.stock.pages import text

GET_PAGES = ("shelf", "count-sheet", "colours", "item-choose-kind")


def test_an_empty_shelf_teaches_and_offers_the_first_step(wickerlark: House) -> None:
    page = text(wickerlark.client().get(wickerlark.url("stock:shelf")))
    assert "Nothing on the shelf yet" in page
    assert wickerlark.url("stock:first-shelf") in page
    assert wickerlark.url("stock:first-shelf") not in text(
        wickerlark.client("crew").get(wickerlark.url("stock:shelf"))
    )


def test_the_shelf_shows_rounds_with_what_is_free_and_held(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(
            label="Fair",
            window=stocked.days(5, 6),
            needs=[Material(OAT_11, 60), Material(INK_5, 40), Material(RING, 1)],
            key="k",
        )
    page = text(stocked.house.client("crew").get(stocked.house.url("stock:shelf")))
    assert 'aria-label="Oat, 11 in: 140 free, 60 held"' in page
    assert "Ink 5 in</a>: <strong>40 short" in page
    assert "bay C2" in page


def test_a_frame_that_is_out_says_when_the_first_is_back(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(label="Fair", window=stocked.days(-1, 1), needs=[Material(RING, 1)], key="k")
    page = text(stocked.house.client().get(stocked.house.url("stock:shelf")))
    assert "1 out, first back" in page
    assert "<small>of 2</small>" in page


def test_searching_finds_by_name_colour_and_place_and_htmx_gets_the_part_alone(stocked: Stocked) -> None:
    client, address = stocked.house.client(), stocked.house.url("stock:shelf")
    for sought, there, gone in (
        ("bay c2", "Ring 6 ft", "Oat, 11"),
        ("oat", "Ring cover", "Ink, 5"),
        ("ink", "Ink, 5", "Oat, 11"),
    ):
        page = text(client.get(address, {"q": sought}))
        assert there in page
        assert gone not in page
    part = text(client.get(address, {"q": "ring"}, headers={"hx-request": "true"}))
    assert part.strip().startswith('<div id="things"')
    assert "<html" not in part


@pytest.mark.parametrize("sought", ["zzz", "%", "_", "\\", "'; drop", "\x00", "🎈" * 100, "<script>"])
def test_any_search_is_answered(stocked: Stocked, sought: str) -> None:
    response = stocked.house.client().get(stocked.house.url("stock:shelf"), {"q": sought})
    assert response.status_code == 200
    assert "<script>&" not in response.content.decode()


def _fill(house: House, count: int) -> None:
    """So many more colours, rounds, frames and holds."""
    soon = timezone.now() + timedelta(days=2)
    with house.enter():
        for number in range(count):
            colour = items.add_colour(name=f"Tone {count}-{number}", hex=f"#{40 + number:02X}8899")
            latex = items.add_item(kind=Kind.LATEX, colour=colour, size_in=11, bag_size=100)
            frame = items.add_item(kind=Kind.FRAME, name=f"Arch {count}-{number}")
            movements.open_with([Material(latex.code, 40), Material(frame.code, 2)])
            holds.hold(
                label=f"Event {count}-{number}",
                window=Window(soon + timedelta(days=number), soon + timedelta(days=number + 1)),
                needs=[Material(latex.code, 50), Material(frame.code, 1), Material(RING, 1)],
                key=f"fill-{count}-{number}",
            )
            movements.receive(frame.pk, 1, key=f"more-{count}-{number}")


@pytest.mark.parametrize("page", ["shelf", "count-sheet", "item", "item-add", "item-change", "colours"])
def test_a_page_asks_the_same_few_questions_however_much_there_is(stocked: Stocked, page: str) -> None:
    ring = stocked.item(RING)
    of_page: dict[str, list[Any]] = {"item": [ring.pk], "item-change": [ring.pk], "item-add": ["frame"]}
    args = of_page.get(page, [])
    client, address = stocked.house.client(), stocked.house.url(f"stock:{page}", *args)
    counts = []
    for more in (3, 9):
        _fill(stocked.house, more)
        client.get(address)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address).status_code == 200
        # Savepoints, and settings put back at their end, are the test's own: the product has one transaction a page.
        asked = [query["sql"] for query in queries if "SAVEPOINT" not in query["sql"]]
        counts.append(sum("set_config('billowbook.studio', ''" not in sql for sql in asked))
    assert counts[0] == counts[1]


def test_a_long_list_is_cut_short_until_all_of_it_is_asked_for(stocked: Stocked) -> None:
    with stocked.house.enter():
        for number in range(LISTED_ITEMS + 3):
            items.add_item(kind=Kind.SIGN, name=f"Sign {number:03}")
    client, address = stocked.house.client("crew"), stocked.house.url("stock:shelf")
    page = text(client.get(address))
    assert f"Sign {LISTED_ITEMS - 1:03}" in page
    assert f"Sign {LISTED_ITEMS:03}" not in page
    assert "and 3 more" in page
    assert "Ring 6 ft" in page
    whole = text(client.get(address, {"only": "sign"}))
    assert f"Sign {LISTED_ITEMS + 2:03}" in whole
    assert "Ring 6 ft" not in whole
    assert client.get(address, {"only": "zeppelin"}).status_code == 200


def test_a_page_reads_and_never_writes(stocked: Stocked) -> None:
    with stocked.house.enter():
        before = (Movement.objects.count(), Hold.objects.count(), Item.objects.count())
    for page in GET_PAGES:
        assert stocked.house.client().get(stocked.house.url(f"stock:{page}")).status_code == 200
    with stocked.house.enter():
        assert (Movement.objects.count(), Hold.objects.count(), Item.objects.count()) == before
