"""Marking options on the quote page."""

from __future__ import annotations

import pytest

from quoting.models import Choice, Quote
from quoting.quotes.options import MOST_OPTIONS
from tests.people import House
from tests.quoting import scenes
from tests.quoting.client_page.test_views import text_of
from tests.quoting.quotes.test_options import line

pytestmark = pytest.mark.django_db


def test_marking_answers_with_the_sheet_and_what_is_out_leaves_the_price(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        before = quote.priced_total
        quote = line(quote, "Hired plinth", "64.99")
        (plinth,), (piece,) = quote.free_lines.all(), quote.pieces.all()
    browser = wickerlark.client("staff")
    address = wickerlark.url("quoting:quote-options", quote.pk)
    post = {"version": quote.version, "piece": piece.pk, f"line-{plinth.pk}": "off"}
    answer = browser.post(address, post, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert "Options: 1" in text_of(answer.content)
    with wickerlark.enter():
        kept = Quote.objects.get(pk=quote.pk)
        assert (kept.priced_total, kept.free_lines.get().choice) == (before, Choice.OFF)
    late = browser.post(address, post, headers={"HX-Request": "true"})
    assert late.status_code == 422  # somebody saw an older sketch


def test_what_cannot_be_marked_is_said_and_nothing_is_lost(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        for number in range(MOST_OPTIONS + 1):
            quote = line(quote, f"Candle {number}", "3")
        names = [f"line-{each.pk}" for each in quote.free_lines.all()]
    browser = wickerlark.client("owner")
    address = wickerlark.url("quoting:quote-options", quote.pk)
    headers = {"HX-Request": "true"}
    answer = browser.post(address, {"version": quote.version, **dict.fromkeys(names, "on")}, headers=headers)
    assert answer.status_code == 422
    assert "at most 6 options; 7 are marked" in text_of(answer.content)
    assert answer.content.decode().count('value="on" selected') == len(names)
    odd = browser.post(address, {"version": quote.version, names[0]: "perhaps"}, headers=headers)
    assert odd.status_code == 422
    assert wickerlark.client("crew").post(address, {}).status_code == 403
    with wickerlark.enter():
        assert set(quote.free_lines.values_list("choice", flat=True)) == {""}
