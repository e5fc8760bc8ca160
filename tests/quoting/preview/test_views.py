"""The owner sees an offer as its client will, adds a sentence, and sends it once."""

from __future__ import annotations

import re

import pytest
from django.core import mail
from django.utils.html import escape

from events.models import Client
from quoting import tasks
from quoting.models import Offer, Quote
from quoting.offers import offering
from quoting.preview.as_client import see_as_client
from quoting.quotes import sheet
from stock.models import Hold
from studio.models import OutboxEntry, PublicLink
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.client_page.test_views import text_of
from tests.quoting.offer_scenes import open_link

pytestmark = pytest.mark.django_db
WORDS = "It was lovely to meet you both.\nThe oat arch would suit the hall."


def quoted(house: House) -> Quote:
    with house.enter():
        return offer_scenes.quote(house)


def counts() -> list[int]:
    return [model.objects.count() for model in (Offer, OutboxEntry, Hold, PublicLink)]


def test_what_is_seen_is_what_is_sent_and_looking_leaves_nothing_behind(wickerlark: House) -> None:
    quote = quoted(wickerlark)
    with wickerlark.enter():
        before = counts()
        seen = see_as_client(sheet.find_quote(quote.pk), WORDS)
        assert counts() == before
        assert sheet.find_quote(quote.pk).state == "sketch"
    browser = wickerlark.client()
    said = {"version": quote.version, "after_version": "0", "words": WORDS, "send": "1"}
    assert browser.post(wickerlark.url("quoting:quote-as-client", quote.pk), said).status_code == 302
    with wickerlark.enter():
        offer = Offer.objects.get()
        entry = OutboxEntry.objects.get(task="quoting.mail_offer")
    tasks.mail_offer(studio_id=wickerlark.studio.pk, entry_id=entry.pk)
    (letter,) = mail.outbox
    link = re.compile(r"https?://\S+/o/\S+")
    assert letter.subject == seen.letter.subject
    assert link.sub("LINK", str(letter.body)) == link.sub("LINK", seen.letter.plain)
    assert seen.to == offer.client_email


def test_the_words_stand_in_the_letter_and_on_the_page_and_stay_with_the_offer(wickerlark: House) -> None:
    quote = quoted(wickerlark)
    with wickerlark.enter():
        made = offering.offer(sheet.find_quote(quote.pk), words=f"  {WORDS}\n\n")
        seen = see_as_client(sheet.find_quote(quote.pk), WORDS)
        assert Offer.objects.count() == 1, "the same again is the offer that there is"
    for line in WORDS.split("\n"):
        assert line in seen.letter.plain
        assert line in seen.letter.rich
    browser, address = open_link(made.address)
    page = text_of(browser.get(address).content)
    assert all(line in page for line in WORDS.split("\n"))


def test_the_page_shows_both_frames_and_the_words_as_typed(wickerlark: House) -> None:
    quote = quoted(wickerlark)
    browser = wickerlark.client("staff")
    address = wickerlark.url("quoting:quote-as-client", quote.pk)
    answer = browser.post(address, {"words": WORDS})
    page = answer.content.decode()
    assert escape(WORDS) in page
    assert "frame-src 'self'" in answer["Content-Security-Policy"]
    for part in ("letter", "page"):
        frame = browser.get(wickerlark.url(f"quoting:quote-as-client-{part}", quote.pk), {"words": WORDS})
        assert frame.status_code == 200
        assert frame["X-Frame-Options"] == "SAMEORIGIN"
        assert "frame-ancestors 'self'" in frame["Content-Security-Policy"]
        assert WORDS.split("\n")[1] in frame.content.decode()
        assert "script-src 'none'" in frame["Content-Security-Policy"]
    with wickerlark.enter():
        assert not Offer.objects.exists()


@pytest.mark.parametrize(
    ("words", "fault"),
    [("<b>Hello</b> both", "Write plain text: &lt;b&gt;"), ("x" * 401, "at most 400")],
)
def test_words_that_cannot_be_are_said_at_the_field_and_nothing_is_sent(
    wickerlark: House, words: str, fault: str
) -> None:
    quote = quoted(wickerlark)
    address = wickerlark.url("quoting:quote-as-client", quote.pk)
    answer = wickerlark.client().post(address, {"words": words, "send": "1", "version": quote.version})
    assert answer.status_code == 422
    assert fault in answer.content.decode()
    assert escape(words) in answer.content.decode()
    straight = wickerlark.client().post(
        wickerlark.url("quoting:offer-make", quote.pk), {"words": words, "version": quote.version}
    )
    assert straight.status_code == 302
    with wickerlark.enter():
        assert not Offer.objects.exists()


def test_sent_by_a_double_press_it_is_sent_once(wickerlark: House) -> None:
    quote = quoted(wickerlark)
    browser = wickerlark.client()
    address = wickerlark.url("quoting:quote-as-client", quote.pk)
    said = {"version": quote.version, "after_version": "0", "words": WORDS, "send": "1"}
    for _ in range(2):
        assert browser.post(address, said).status_code == 302
    with wickerlark.enter():
        offer = Offer.objects.get()
        assert OutboxEntry.objects.filter(task="quoting.mail_offer").count() == 1
    again = wickerlark.url("quoting:offer-mail", offer.pk)
    press = re.findall(
        r'name="press"\s+value="(\w+)"',
        browser.get(wickerlark.url("quoting:offer", offer.pk)).content.decode(),
    )
    for _ in range(2):
        browser.post(again, {"press": press[0]})
    with wickerlark.enter():
        assert OutboxEntry.objects.filter(task="quoting.mail_offer").count() == 2


def test_a_client_without_an_address_gets_link_and_code(wickerlark: House) -> None:
    quote = quoted(wickerlark)
    with wickerlark.enter():
        Client.objects.update(email="")
    browser = wickerlark.client()
    address = wickerlark.url("quoting:quote-as-client", quote.pk)
    assert "No e-mail address is known" in text_of(browser.get(address).content)
    page = browser.post(address, {"version": quote.version, "send": "1"}, follow=True).content.decode()
    assert 'id="offer-link"' in page
    assert "Code to scan" in page
    assert "data-share" in page


def test_crew_see_none_of_it(wickerlark: House) -> None:
    quote = quoted(wickerlark)
    for part in ("", "-letter", "-page"):
        address = wickerlark.url(f"quoting:quote-as-client{part}", quote.pk)
        assert wickerlark.client("crew").get(address).status_code == 403
