"""The studio's pages of an offer: who may, what they show, and how often a link is told."""

from __future__ import annotations

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from quoting.models import Offer, OfferState, Quote, QuoteState
from quoting.offers import offering
from quoting.offers import pdf as offer_pdf
from quoting.offers.document_presenter import present_offer
from quoting.quotes import sheet, sketch
from stock.ledger import movements
from stock.models import Item
from studio.models import OutboxEntry
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.client_page.test_views import text_of
from tests.quoting.offer_scenes import as_shown, offered, open_link

pytestmark = pytest.mark.django_db

READ = ("offer", "offer-paper", "offer-pdf")
DONE = ("offer-link", "offer-mail", "offer-withdraw")


def quote_of(house: House) -> Quote:
    with house.enter():
        return offer_scenes.quote(house)


def test_a_page_that_shows_an_older_sketch_offers_nothing(wickerlark: House) -> None:
    quote = quote_of(wickerlark)
    client, address = wickerlark.client("staff"), wickerlark.url("quoting:offer-make", quote.pk)
    with wickerlark.enter():
        seen = sheet.find_quote(quote.pk).version
        Quote.objects.filter(pk=quote.pk).update(version=seen + 1)
    page = client.post(address, {"version": str(seen)}, follow=True)
    assert f"is at version {seen + 1}, you saw version {seen}" in text_of(page.content)
    with wickerlark.enter():
        assert not Offer.objects.exists()
    client.post(address, {"version": str(seen + 1)})
    with wickerlark.enter():
        assert Offer.objects.count() == 1


def test_pressing_offer_leads_to_the_offer_with_its_link_shown_once(wickerlark: House) -> None:
    quote = quote_of(wickerlark)
    client = wickerlark.client("staff")
    page = client.post(wickerlark.url("quoting:offer-make", quote.pk), follow=True)
    first = page.content.decode()
    (link,) = re.findall(r'value="(http://testserver/o/[\w-]+)"', first)
    assert "on its way to adeyo@example.org" in text_of(page.content)
    open_link(link)
    again = client.get(page.request["PATH_INFO"]).content.decode()
    assert "/o/" not in again
    with wickerlark.enter():
        assert Offer.objects.get().offered_by_id == wickerlark.staff.pk


def test_pressing_twice_makes_one_offer(wickerlark: House) -> None:
    quote = quote_of(wickerlark)
    client = wickerlark.client()
    answers = [client.post(wickerlark.url("quoting:offer-make", quote.pk)) for _ in range(2)]
    assert answers[0]["Location"] == answers[1]["Location"]
    with wickerlark.enter():
        assert Offer.objects.count() == 1


def test_a_refusal_is_said_on_the_quotes_page(wickerlark: House) -> None:
    quote = quote_of(wickerlark)
    with wickerlark.enter():
        Quote.objects.filter(pk=quote.pk).update(state=QuoteState.AGREED)
    page = wickerlark.client().post(wickerlark.url("quoting:offer-make", quote.pk), follow=True)
    assert page.request["PATH_INFO"] == wickerlark.url("quoting:quote", quote.pk)
    assert "This quote was agreed." in text_of(page.content)


def test_the_page_shows_answers_with_their_evidence(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    browser.post(
        address + "change", {"wish-words": "More ink", "wish-name": "Ada"}, REMOTE_ADDR="203.0.113.7"
    )
    browser.post(address + "agree", as_shown(made.offer), REMOTE_ADDR="203.0.113.7")
    seen = text_of(wickerlark.client("staff").get(wickerlark.url("quoting:offer", made.offer.pk)).content)
    for words in ("Ada asked for a change", "More ink", "Ada Adeyo agreed to", "203.0.113.7", "Harbour Browser 7",
                  made.offer.digest[:16], "Agreed"):  # fmt: skip
        assert words in seen


@pytest.mark.parametrize("name", READ)
def test_staff_read_offers_and_crew_do_not(wickerlark: House, name: str) -> None:
    made = offered(wickerlark).offer
    with wickerlark.enter():
        offer_pdf.make(made.pk)
    address = wickerlark.url(f"quoting:{name}", made.pk)
    assert wickerlark.client("owner").get(address).status_code == 200
    assert wickerlark.client("staff").get(address).status_code == 200
    assert wickerlark.client("crew").get(address).status_code == 403
    assert Client().get(address).status_code == 302


@pytest.mark.parametrize("name", DONE)
def test_crew_do_nothing_with_offers(wickerlark: House, name: str) -> None:
    made = offered(wickerlark).offer
    address = wickerlark.url(f"quoting:{name}", made.pk)
    assert wickerlark.client("crew").post(address).status_code == 403
    assert wickerlark.client("staff").get(address).status_code == 405
    with wickerlark.enter():
        assert Offer.objects.get().state == OfferState.OPEN


def test_another_studios_offers_do_not_exist_here(wickerlark: House, federkorn: House) -> None:
    theirs = offered(federkorn).offer
    quote = theirs.quote_id
    client = wickerlark.client()
    for name in READ:
        assert client.get(wickerlark.url(f"quoting:{name}", theirs.pk)).status_code == 404
        assert client.get(federkorn.url(f"quoting:{name}", theirs.pk)).status_code == 404
    for name in DONE:
        assert client.post(wickerlark.url(f"quoting:{name}", theirs.pk)).status_code == 404
        assert client.post(federkorn.url(f"quoting:{name}", theirs.pk)).status_code == 404
    assert client.post(wickerlark.url("quoting:offer-make", quote)).status_code == 404
    with federkorn.enter():
        kept = Offer.objects.get()
    assert (kept.state, kept.version) == (OfferState.OPEN, 1)


def test_a_new_link_is_shown_once_and_closes_the_first(wickerlark: House) -> None:
    made = offered(wickerlark)
    client = wickerlark.client("staff")
    page = client.post(wickerlark.url("quoting:offer-link", made.offer.pk), follow=True).content.decode()
    (link,) = re.findall(r'value="(http://testserver/o/[\w-]+)"', page)
    open_link(link)
    assert Client().get(made.address.removeprefix("http://testserver")).status_code == 404


def test_a_link_is_shown_on_the_page_of_its_own_offer_alone(wickerlark: House) -> None:
    first = offered(wickerlark).offer
    with wickerlark.enter():
        second = offering.offer(offer_scenes.quote(wickerlark, title="Bakery opening")).offer
    client = wickerlark.client()
    client.post(wickerlark.url("quoting:offer-link", first.pk))
    assert "/o/" not in client.get(wickerlark.url("quoting:offer", second.pk)).content.decode()
    assert "/o/" in client.get(wickerlark.url("quoting:offer", first.pk)).content.decode()


def test_withdrawing_on_the_page(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    client = wickerlark.client("staff")
    page = client.post(wickerlark.url("quoting:offer-withdraw", made.pk), follow=True)
    assert "Offer withdrawn. Its link says so" in text_of(page.content)
    refused = client.post(wickerlark.url("quoting:offer-link", made.pk), follow=True)
    assert "a link to it would be of no use" in text_of(refused.content)


def test_the_letter_is_sent_again_when_asked(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    client = wickerlark.client("staff")
    client.post(wickerlark.url("quoting:offer-mail", made.pk))
    client.post(wickerlark.url("quoting:offer-mail", made.pk))
    with wickerlark.enter():
        assert (
            OutboxEntry.objects.filter(task="quoting.mail_offer").count() == 2
        )  # the first, and one a minute


def test_a_client_without_an_address_is_given_the_link_by_hand(wickerlark: House) -> None:
    quote = quote_of(wickerlark)
    with wickerlark.enter():
        quote.event.client.email = ""
        quote.event.client.save()
    made = offered(wickerlark, quote).offer
    with wickerlark.enter():
        assert not OutboxEntry.objects.filter(task="quoting.mail_offer").exists()
    page = wickerlark.client().post(wickerlark.url("quoting:offer-mail", made.pk), follow=True)
    assert "No e-mail address is known" in text_of(page.content)


def test_page_takes_as_many_queries_for_many_versions_answers_and_pieces(wickerlark: House) -> None:
    quote = quote_of(wickerlark)
    with wickerlark.enter():
        for item in Item.objects.all():
            movements.count(item.pk, 20, key=f"count-{item.pk}")
    made = offered(wickerlark, quote)
    client = wickerlark.client()
    with CaptureQueriesContext(connection) as few:
        client.get(wickerlark.url("quoting:offer", made.offer.pk))
    with wickerlark.enter():
        quote = Quote.objects.get(pk=made.offer.quote_id)
        for _ in range(2):
            quote = sketch.add_piece(quote.pk, scenes.starter(wickerlark.studio).pk, version=quote.version)
        for _ in range(2):
            made = offering.offer(quote, after_version=made.offer.version)
    browser, address = open_link(made.address)
    for wish in ("More ink", "Less straw", "Wider"):
        browser.post(address + "change", {"wish-words": wish})
    with CaptureQueriesContext(connection) as many:
        page = client.get(wickerlark.url("quoting:offer", made.offer.pk))
    assert "Wider" in page.content.decode()
    assert page.content.decode().count('class="show"') == 3
    assert not page.context["unheld"]
    assert len(few) == len(many)
    assert sum(query["sql"].startswith("SELECT") for query in many.captured_queries) <= 15


def test_the_page_shows_no_cost_and_no_margin(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    for role in ("owner", "staff"):
        seen = text_of(wickerlark.client(role).get(wickerlark.url("quoting:offer", made.pk)).content)
        assert "margin" not in seen.lower()
        assert present_offer(made.frozen).total in seen
