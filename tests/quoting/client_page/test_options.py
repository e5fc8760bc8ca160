"""Options on the client's page: switched with scripts and without, agreed to, on paper, and told to the studio."""

from __future__ import annotations

import io
import re
from typing import Any

import pdfplumber
import pytest
from django.core import mail as sent_mail
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from events.models import Event, Status
from quoting import tasks
from quoting.models import Answer, Choice, Offer, OfferState
from quoting.offers import offering
from quoting.offers import pdf as offer_pdf
from quoting.offers.document import price_choice, read_offer
from quoting.offers.document_presenter import present_offer
from quoting.offers.offering import Offered
from quoting.quotes import sketch
from studio.models import ConfirmedBy, OutboxEntry, Studio
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.client_page.test_views import text_of
from tests.quoting.offer_scenes import as_shown, open_link
from tests.quoting.quotes.test_options import line

pytestmark = pytest.mark.django_db


def offered_with_options(house: House) -> Offered:
    """Florals that are in at first (a), a plinth that is out (b)."""
    with house.enter():
        quote = line(offer_scenes.quote(house), "Hired plinth", "64.99", Choice.OFF)
        (piece,) = quote.pieces.all()
        quote = sketch.set_options(quote.pk, {f"florals-{piece.pk}": Choice.ON}, version=quote.version)
        return offering.offer(quote)


def total(offer: Offer, chosen: str) -> str:
    return present_offer(offer.frozen, chosen).total


def test_each_option_stands_on_the_page_with_what_it_makes_of_the_total(wickerlark: House) -> None:
    made = offered_with_options(wickerlark)
    browser, address = open_link(made.address)
    page = browser.get(address).content.decode()
    ticks = re.findall(r'<input type="checkbox" id="option-(\w)"[^>]*form="agree-form"([^>]*)>', page)
    assert [(key, "checked" in rest) for key, rest in ticks] == [("a", True), ("b", False)]
    assert "Hired plinth adds $69.05" in text_of(
        page.encode()
    )  # 64.99 and 6.25 % tax: 4.061875, rounded half up
    assert total(made.offer, "a") in text_of(page.encode())


def test_switching_without_scripts_gives_the_page_with_the_new_total(wickerlark: House) -> None:
    made = offered_with_options(wickerlark)
    browser, address = open_link(made.address)
    answer = browser.post(address + "choose", {"option": ["a", "b"], "agree-name": "Ada Adeyo"})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert total(made.offer, "ab") in text_of(answer.content)
    assert total(made.offer, "a") not in text_of(answer.content)
    assert 'value="Ada Adeyo"' in page
    assert f"I agree to the price of {total(made.offer, 'ab')}" in text_of(answer.content)
    with wickerlark.enter():
        assert Offer.objects.get().state == OfferState.OPEN
        assert not Answer.objects.exists()


def test_switching_with_scripts_answers_with_price_and_form_alone(wickerlark: House) -> None:
    made = offered_with_options(wickerlark)
    browser, address = open_link(made.address)
    answer = browser.post(address + "choose", {"option": "b"}, headers={"HX-Request": "true"})
    part = answer.content.decode()
    assert answer.status_code == 200
    assert "<html" not in part
    assert "data-part" not in part
    assert total(made.offer, "b") in text_of(answer.content)
    assert f'name="total" value="{price_choice(read_offer(made.offer.frozen).quote, "b").total}"' in part
    assert len(part) < 12_000


def test_what_is_agreed_to_is_what_is_ticked(wickerlark: House) -> None:
    made = offered_with_options(wickerlark)
    browser, address = open_link(made.address)
    price = price_choice(read_offer(made.offer.frozen).quote, "b")
    post = as_shown(made.offer, total=str(price.total), option="b")
    assert browser.post(address + "agree", post).status_code == 302
    seen = text_of(browser.get(address).content)
    assert total(made.offer, "b") in seen
    assert "Included Hired plinth Not included Florals" in seen
    staff = text_of(wickerlark.client("staff").get(wickerlark.url("quoting:offer", made.offer.pk)).content)
    assert f"Ada Adeyo agreed to {total(made.offer, 'b')}" in staff
    assert "Hired plinth chosen" in staff
    with wickerlark.enter():
        told = OutboxEntry.objects.get(task="studio.send_mail").arguments["context"]
    assert told["total"] == total(made.offer, "b")
    assert told["options"][1] == "Hired plinth: yes"


def test_a_tick_whose_total_was_not_shown_is_not_agreed_to(wickerlark: House) -> None:
    """Without scripts somebody may tick a box and agree at once: the page showed another total then."""
    made = offered_with_options(wickerlark)
    browser, address = open_link(made.address)
    answer = browser.post(address + "agree", as_shown(made.offer, option=["a", "b"]))
    seen = text_of(answer.content)
    assert answer.status_code == 409
    assert "corrected below" in seen
    assert total(made.offer, "ab") in seen
    assert 'value="Ada Adeyo"' in answer.content.decode()
    with wickerlark.enter():
        assert not Answer.objects.exists()


@pytest.mark.parametrize("path", ["choose", "agree"])
def test_an_option_that_does_not_exist_is_said_plainly(wickerlark: House, path: str) -> None:
    made = offered_with_options(wickerlark)
    browser, address = open_link(made.address)
    for unknown in ("z", "", "ab", "<b>", "\x00", "a" * 5000):
        answer = browser.post(address + path, as_shown(made.offer, option=["a", unknown]))
        assert answer.status_code == 422
        assert "This offer has no option" in text_of(answer.content)
        assert total(made.offer, "a") in text_of(answer.content)
    with wickerlark.enter():
        assert not Answer.objects.exists()


def test_the_page_with_options_asks_the_database_no_more(wickerlark: House) -> None:
    made = offered_with_options(wickerlark)
    browser, address = open_link(made.address)
    with CaptureQueriesContext(connection) as captured:
        browser.post(address + "choose", {"option": "a"})
    assert sum(query["sql"].startswith("SELECT") for query in captured.captured_queries) <= 16


def words_of(content: bytes) -> str:
    with pdfplumber.open(io.BytesIO(content)) as document:
        return " ".join(" ".join((page.extract_text() or "").split()) for page in document.pages)


def test_the_offer_on_paper_lists_its_options(wickerlark: House) -> None:
    made = offered_with_options(wickerlark)
    with wickerlark.enter():
        words = words_of(bytes(offer_pdf.make(made.offer.pk).content))
    assert "Hired plinth no adds $69.05" in words
    assert re.search(r"Florals yes adds", words)


def test_what_was_agreed_comes_on_paper_with_its_evidence_and_as_an_attachment(wickerlark: House) -> None:
    made = offered_with_options(wickerlark)
    browser, address = open_link(made.address)
    price = price_choice(read_offer(made.offer.frozen).quote, "b")
    post = as_shown(made.offer, total=str(price.total), option="b", **{"agree-name": "Ада Адейо 李雅"})
    browser.post(address + "agree", post, REMOTE_ADDR="203.0.113.7")
    assert "being made" in browser.get(address + "paper").content.decode()
    with wickerlark.enter():
        entry = OutboxEntry.objects.get(task="quoting.mail_agreed")
    tasks.mail_agreed(studio_id=wickerlark.studio.pk, entry_id=entry.pk)
    (letter,) = sent_mail.outbox
    ((name, content, media_type),) = letter.attachments
    assert (name, media_type) == ("agreed-1.pdf", "application/pdf")
    words = words_of(bytes(content))
    for said in (total(made.offer, "b"), "203.0.113.7", "Hired plinth", "not included: Florals", "Ада Адейо"):
        assert said in words, said
    assert made.offer.digest in words.replace(" ", "")
    assert "How to agree" not in words
    root: Any = PdfReader(io.BytesIO(bytes(content))).trailer["/Root"]
    assert "/StructTreeRoot" in root
    assert "Included: Hired plinth." in letter.body
    there = browser.get(address + "offer.pdf")
    assert (there.status_code, there.content) == (200, content)


def test_the_deposit_of_what_was_chosen_stands_on_the_page(wickerlark: House) -> None:
    with wickerlark.enter():
        Studio.objects.filter(pk=wickerlark.studio.pk).update(payment_words="By card at the workshop.")
    made = offered_with_options(wickerlark)
    browser, address = open_link(made.address)
    price = price_choice(read_offer(made.offer.frozen).quote, "b")
    browser.post(address + "agree", as_shown(made.offer, total=str(price.total), option="b"))
    with CaptureQueriesContext(connection) as captured:
        page = browser.get(address)
    seen = text_of(page.content)
    assert f"Deposit {present_offer(made.offer.frozen, 'b').deposit} due" in seen
    assert re.search(r"Reference RF\d\d", seen)  # ISO 11649
    assert "By card at the workshop." in seen
    assert "What happens next" in seen
    assert sum(query["sql"].startswith("SELECT") for query in captured.captured_queries) <= 22


def test_where_the_deposit_promises_neither_page_nor_letter_says_that_stock_is_held(
    wickerlark: House,
) -> None:
    with wickerlark.enter():
        Studio.objects.filter(pk=wickerlark.studio.pk).update(confirmed_by=ConfirmedBy.DEPOSIT)
    made = offered_with_options(wickerlark)
    browser, address = open_link(made.address)
    browser.post(address + "agree", as_shown(made.offer, option="a"))
    assert "Your date is confirmed once we receive it" in text_of(browser.get(address).content)
    with wickerlark.enter():
        assert Event.objects.get(quotes=made.offer.quote_id).status == Status.TENTATIVE
        told = OutboxEntry.objects.get(task="studio.send_mail").arguments["context"]
    letter = render_to_string("mail/offer_agreed.txt", told)
    assert "on hold until the deposit is paid" in letter
    assert "The stock is held" not in letter
