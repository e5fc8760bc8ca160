"""What a change on a call may cost, and what becomes of a sketch that is asked too much."""

from __future__ import annotations

import gzip
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quoting.craft.design.design_file import load_design
from quoting.design_library import library
from quoting.models import Quote
from quoting.quotes import sheet, sketch
from tests import people
from tests.people import House
from tests.quoting import scenes
from tests.quoting.quote_page.test_quote_page import HTMX, fields

D = Decimal
MOST_QUERIES = 17
MOST_BYTES = 40_000
"""Of an answer, compressed."""
MARKS = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE")
"""Begin and end of transactions: no queries."""


def swags(house: House, width_m: str) -> Quote:
    """A quote of ceiling swags, made to measure, so wide."""
    quote = scenes.quote(house)
    design = load_design(library.STARTERS / "ceiling-swags.json")
    template = library.keep_design(design, house.studio)
    quote = sketch.add_piece(quote.pk, template.pk, version=quote.version)
    first, second = quote.pieces.order_by("position")
    quote = sketch.remove_piece(quote.pk, first.pk, version=quote.version)
    return sketch.alter_piece(quote.pk, second.pk, {}, version=quote.version, width_m=D(width_m))


def answered(house: House, quote: Quote, **typed: Any) -> tuple[Any, int]:
    """The answer to a change, and how many queries it took."""
    client, address = house.client(), house.url("quoting:quote", quote.pk)
    sent = fields(client.get(address).content.decode()) | typed
    with CaptureQueriesContext(connection) as queries:
        answer = client.post(house.url("quoting:quote-alter", quote.pk), sent, headers=HTMX)
    return answer, sum(not query["sql"].startswith(MARKS) for query in queries.captured_queries)


@pytest.mark.django_db(transaction=True)
def test_a_change_to_300_balloons_takes_few_queries_and_40_kb_whatever_it_changes() -> None:
    house = people.wickerlark()
    with house.enter():
        quote = swags(house, "6.4")
        assert 270 <= quote.pieces.get().takeoff.balloons <= 330
        codes = list(house_colours())
    changes: list[dict[str, Any]] = [
        {"fullness": "83"},
        {"width_m": "24 ft"},
        {"loss": "9"},
        {"add_colour": codes[0]},
        {"crew": "3"},
        {"sizes": ["5", "17"]},
    ]
    for change in changes:
        answer, queries = answered(house, quote, **change)
        assert answer.status_code == 200, change
        assert queries <= MOST_QUERIES, change
        assert len(gzip.compress(answer.content, 6)) < MOST_BYTES, change


def house_colours() -> dict[str, tuple[str, str]]:
    """Colours that the design doesn't use yet."""
    from quoting.quotes import stock_view

    return {
        code: facts for code, facts in stock_view.owned().colours.items() if code in ("sage", "ink", "straw")
    }


@pytest.mark.django_db(transaction=True)
def test_a_change_takes_as_many_queries_with_many_set_pieces_and_lines() -> None:
    house = people.wickerlark()
    with house.enter():
        quote = scenes.quote(house)
        with_line(quote)
    _, few = answered(house, quote, fullness="80")
    with house.enter():
        for _ in range(3):
            version = Quote.objects.get(pk=quote.pk).version
            sketch.add_piece(quote.pk, scenes.starter(house.studio).pk, version=version)
        for _ in range(4):
            with_line(quote)
    _, many = answered(house, quote, fullness="70")
    assert many == few <= MOST_QUERIES


def with_line(quote: Quote) -> None:
    version = Quote.objects.get(pk=quote.pk).version
    sketch.add_free_line(
        quote.pk, label="Delivery", quantity=D(1), unit_price=D(5), tax_id=None, version=version
    )


def test_forty_set_pieces_are_taken_and_the_forty_first_is_refused(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece = quote.pieces.get()
        for position in range(2, 41):
            piece.pk, piece.position, piece.name = None, position, f"Arch {position}"
            piece.save()
        template = scenes.starter(wickerlark.studio)
    page = wickerlark.client().get(wickerlark.url("quoting:quote", quote.pk))
    assert page.status_code == 200
    assert "Arch 40" in page.content.decode()
    assert len(gzip.compress(page.content, 6)) < MOST_BYTES, "one picture, however many pieces"
    address = wickerlark.url("quoting:quote-add-piece", quote.pk, template.pk)
    answer = wickerlark.client().post(address, {"version": 1}, headers=HTMX)
    assert answer.status_code == 422
    assert "at most 40 set pieces" in answer.content.decode()
    changed, _ = answered(wickerlark, quote, fullness="80")
    assert changed.status_code == 200


def test_a_piece_of_thousands_of_balloons_is_drawn_or_refused_in_words(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = swags(wickerlark, "7.3")
    for width in ("60 m", "59 ft", "199 ft"):
        answer, _ = answered(wickerlark, quote, width_m=width)
        html = answer.content.decode()
        assert answer.status_code in (200, 422), width
        if answer.status_code == 422:
            assert f'value="{width}"' in html, "what was typed stays"
            assert 'class="error' in html or "errorlist" in html


def test_the_same_change_sent_twice_is_made_once(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
    client = wickerlark.client()
    sent = fields(client.get(wickerlark.url("quoting:quote", quote.pk)).content.decode()) | {"fullness": "70"}
    address = wickerlark.url("quoting:quote-alter", quote.pk)
    assert client.post(address, sent, headers=HTMX).status_code == 200
    again = client.post(address, sent, headers=HTMX)
    assert again.status_code == 422
    assert "you saw version 1" in again.content.decode()
    with wickerlark.enter():
        assert sheet.find_quote(quote.pk).version == 2
