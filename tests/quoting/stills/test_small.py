"""Small pictures in lists: the lifelike one or the drawing, for whoever may see it, without a query a row."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from bs4 import BeautifulSoup
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from PIL import Image

from quoting.models import Quote, QuoteState, SetPiece, Still
from quoting.quotes import sketch
from quoting.stills import small, stills
from tests.people import House
from tests.quoting import scenes
from tests.quoting.stills.conftest import jpeg
from tests.quoting.stills.test_stills import do_work

pytestmark = pytest.mark.django_db


def make(house: House, **facts: Any) -> Quote:
    with house.enter():
        quote: Quote = scenes.quote(house, **facts)
    return quote


def picture_in(browser: Client, page: str) -> str:
    """The address of the one small picture on a page."""
    soup = BeautifulSoup(browser.get(page).content, "lxml")
    (image,) = soup.select("img.line-picture, img.load-picture")
    assert image["alt"]
    return str(image["src"])


def opened(browser: Client, address: str) -> Image.Image:
    response = browser.get(address)
    assert response.status_code == 200
    assert response["Content-Type"] == "image/webp"
    assert "private" in response["Cache-Control"]
    assert len(response.content) < 20_000
    return Image.open(io.BytesIO(response.content))


def test_lists_of_quotes_and_events_show_the_drawing(wickerlark: House) -> None:
    quote = make(wickerlark)
    browser = wickerlark.client()
    seen = {picture_in(browser, wickerlark.url(name)) for name in ("quoting:quotes", "events:events")}
    (address,) = seen
    image = opened(browser, address)
    assert image.width == small.WIDTH_PX
    assert len(set(image.convert("RGB").resize((60, 45)).get_flattened_data())) > 100
    page = browser.get(wickerlark.url("quoting:quotes"))
    assert b"<svg" in page.content, "icons"
    with wickerlark.enter():
        assert quote.pieces.get().picture[:60] not in page.content.decode()


def test_a_still_that_comes_is_shown_under_another_address(wickerlark: House, renderer: list[Any]) -> None:
    quote = make(wickerlark)
    browser = wickerlark.client()
    before = picture_in(browser, wickerlark.url("quoting:quotes"))
    with wickerlark.enter():
        stills.ask(quote.pieces.get())
    assert picture_in(browser, wickerlark.url("quoting:quotes")) == before
    do_work(wickerlark)
    after = picture_in(browser, wickerlark.url("quoting:quotes"))
    assert after != before
    assert "immutable" in browser.get(after)["Cache-Control"]
    assert browser.get(before)["Cache-Control"] == "no-store"
    middle = opened(browser, after).convert("RGB").getpixel((30, 20))
    with Image.open(io.BytesIO(jpeg())) as painted:
        expected = painted.getpixel((30, 20))
    assert isinstance(middle, tuple)
    assert isinstance(expected, tuple)
    assert max(abs(a - b) for a, b in zip(middle, expected, strict=True)) < 12


def test_queries_dont_grow_with_the_rows(wickerlark: House) -> None:
    browser = wickerlark.client()
    counts: dict[str, list[int]] = {"quoting:quotes": [], "events:events": []}
    make(wickerlark)
    for more in (0, 3):
        for _ in range(more):
            make(wickerlark)
        for name, found in counts.items():
            browser.get(wickerlark.url(name))
            with CaptureQueriesContext(
                connection,
            ) as queries:
                browser.get(wickerlark.url(name))
            found.append(len(queries))
    assert all(few == many for few, many in counts.values()), counts


def test_an_event_shows_what_was_agreed_before_what_is_sketched(wickerlark: House) -> None:
    agreed = make(wickerlark)
    with wickerlark.enter():
        later = sketch.start_quote(agreed.event, scenes.starter(wickerlark.studio))
        Quote.objects.filter(pk=agreed.pk).update(state=QuoteState.AGREED)
        shown = small.of_events([agreed.event_id])
        assert f"/pieces/{agreed.pieces.get().pk}/" in shown[agreed.event_id].address
        Quote.objects.filter(pk=agreed.pk).update(state=QuoteState.SET_ASIDE)
        shown = small.of_events([agreed.event_id])
        assert f"/pieces/{later.pieces.get().pk}/" in shown[agreed.event_id].address


def test_a_piece_that_may_be_left_out_stands_for_a_quote_only_where_all_may(wickerlark: House) -> None:
    quote = make(wickerlark)
    with wickerlark.enter():
        first = quote.pieces.get()
        second = SetPiece.objects.get(pk=first.pk)
        second.pk, second.position, second.name = None, first.position + 1, "The second"
        second._state.adding = True
        second.save()
        assert small.of_quotes([quote.pk])[quote.pk].alt == first.name
        SetPiece.objects.filter(pk=first.pk).update(choice="on")
        assert small.of_quotes([quote.pk])[quote.pk].alt == "The second"


def test_crew_sees_what_was_agreed_and_nothing_else(wickerlark: House) -> None:
    quote = make(wickerlark)
    owner, crew = wickerlark.client(), wickerlark.client("crew")
    address = picture_in(owner, wickerlark.url("events:events"))
    page = crew.get(wickerlark.url("events:events")).content.decode()
    assert not re.search(r"<img[^>]*line-picture", page)
    assert crew.get(address).status_code == 404
    with wickerlark.enter():
        Quote.objects.filter(pk=quote.pk).update(state=QuoteState.AGREED)
    assert picture_in(crew, wickerlark.url("events:events")) == address
    assert crew.get(address).status_code == 200


def test_another_studio_finds_nothing(wickerlark: House, federkorn: House) -> None:
    make(wickerlark)
    address = picture_in(wickerlark.client(), wickerlark.url("quoting:quotes"))
    theirs = address.replace(f"/s/{wickerlark.studio.slug}/", f"/s/{federkorn.studio.slug}/")
    assert federkorn.client().get(theirs).status_code == 404
    assert federkorn.client().get(address).status_code == 404
    assert Client().get(address).status_code == 302
    with federkorn.enter():
        assert not Still.objects.exists()
