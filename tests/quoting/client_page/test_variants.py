"""Versions on the client's page: cards to pick from, with scripts and without; on paper; what can't be picked."""

from __future__ import annotations

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quoting.models import Answer, Choice, Offer, OfferState, Quote, Rates
from quoting.offers import offering
from quoting.offers import pdf as offer_pdf
from quoting.offers.document import as_opened, price_choice, read_offer
from quoting.offers.document_presenter import present_offer
from quoting.quotes import sketch
from tests.people import House
from tests.quoting.client_page.test_options import words_of
from tests.quoting.client_page.test_views import text_of
from tests.quoting.offer_scenes import as_shown, open_link
from tests.quoting.variants.scenes import fresh, offered_three, three

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


def total(offer: Offer, letter: str) -> str:
    return present_offer(offer.frozen, as_opened(read_offer(offer.frozen).quote, letter)).total


def exact(offer: Offer, letter: str) -> str:
    quote = read_offer(offer.frozen).quote
    return str(price_choice(quote, as_opened(quote, letter)).total)


def picked(page: str) -> list[str]:
    """Letters of the cards that say that they are chosen."""
    marks = re.findall(r'id="variant-(\w)-mark"[^>]*>(.*?)</p>', page, flags=re.DOTALL)
    return [letter for letter, said in marks if said.strip()]


def test_each_version_is_a_card_with_its_picture_price_and_what_differs(wickerlark: House) -> None:
    made = offered_three(wickerlark)
    browser, address = open_link(made.address)
    page = browser.get(address).content
    radios = re.findall(r'<input type="radio" id="variant-(\w)"[^>]*form="agree-form"([^>]*)>', page.decode())
    assert [(letter, "checked" in rest) for letter, rest in radios] == [
        ("A", True),
        ("B", False),
        ("C", False),
    ]
    assert picked(page.decode()) == ["A"]
    for one in present_offer(made.offer.frozen).variants:
        assert f"{one.name} {one.total}" in text_of(page)
    assert "Compared with Fuller: more balloons" in text_of(page)
    cards = page.decode().split('id="variants"')[1].split("</fieldset>")[0]
    assert cards.count("<svg") - cards.count('class="icon') == 4


def test_another_version_brings_its_price_pieces_and_statement(wickerlark: House) -> None:
    made = offered_three(wickerlark)
    browser, address = open_link(made.address)
    answer = browser.post(address + "choose", {"variant": "C", "options_of": "A"}, headers=HTMX)
    part = answer.content.decode()
    assert answer.status_code == 200
    assert "<html" not in part
    assert picked(part) == ["C"]
    assert f'name="total" value="{exact(made.offer, "C")}"' in part
    assert 'name="options_of" value="C"' in part
    assert f"I agree to “Grand” at the price of {total(made.offer, 'C')}" in text_of(answer.content)
    assert part.split('id="shows"')[1].count('class="show"') == 2
    with wickerlark.enter():
        assert not Answer.objects.exists()


def test_without_scripts_the_page_comes_with_the_version(wickerlark: House) -> None:
    made = offered_three(wickerlark)
    browser, address = open_link(made.address)
    page = browser.post(address + "choose", {"variant": "B", "options_of": "A", "agree-name": "Ada"}).content
    assert picked(page.decode()) == ["B"]
    assert "Price: Fuller" in text_of(page)
    assert 'value="Ada"' in page.decode()
    assert "Hired plinth" in text_of(page)


def test_a_version_is_agreed_to_and_the_page_says_which(wickerlark: House) -> None:
    made = offered_three(wickerlark)
    browser, address = open_link(made.address)
    post = as_shown(made.offer, total=exact(made.offer, "B"), variant="B", options_of="B")
    assert browser.post(address + "agree", post).status_code == 302
    page = browser.get(address).content
    assert 'id="variants"' not in page.decode()
    assert "Chosen Fuller" in text_of(page)
    assert total(made.offer, "B") in text_of(page)
    staff = text_of(wickerlark.client("staff").get(wickerlark.url("quoting:offer", made.offer.pk)).content)
    assert "Fuller picked" in staff
    assert "Grand picked" not in staff


def test_a_version_whose_total_was_not_shown_is_not_agreed_to(wickerlark: House) -> None:
    """Without scripts somebody may pick another card and agree at once: the page showed another total then."""
    made = offered_three(wickerlark)
    browser, address = open_link(made.address)
    answer = browser.post(address + "agree", as_shown(made.offer, variant="C", options_of="A"))
    assert answer.status_code == 409
    assert picked(answer.content.decode()) == ["C"]
    assert "corrected below" in text_of(answer.content)
    with wickerlark.enter():
        assert not Answer.objects.exists()


@pytest.mark.parametrize("letter", ["D", "", "AB", "a", "<b>", "\x00"])
@pytest.mark.parametrize("path", ["choose", "agree"])
def test_a_version_of_no_offer_is_said_plainly(wickerlark: House, path: str, letter: str) -> None:
    made = offered_three(wickerlark)
    browser, address = open_link(made.address)
    answer = browser.post(address + path, as_shown(made.offer, variant=letter, options_of="A"))
    assert answer.status_code == 422
    assert picked(answer.content.decode()) == ["A"]
    assert "Ada Adeyo" in answer.content.decode()
    with wickerlark.enter():
        assert Offer.objects.get().state == OfferState.OPEN


def test_options_go_with_the_version_that_they_were_shown_for(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, _, grand = three(wickerlark)
        for quote, choice in ((lead, Choice.ON), (grand, Choice.OFF)):
            piece = quote.pieces.order_by("position")[0]
            sketch.set_options(quote.pk, {f"florals-{piece.pk}": choice}, version=quote.version)
        made = offering.offer(fresh(lead))
    browser, address = open_link(made.address)
    ticked = {"variant": "C", "options_of": "A", "option": "a"}
    page = browser.post(address + "choose", ticked, headers=HTMX).content.decode()
    assert f'name="total" value="{exact(made.offer, "C")}"' in page
    assert not re.search(r'id="option-a"[^>]*checked', page)
    page = browser.post(address + "choose", {**ticked, "options_of": "C"}, headers=HTMX).content.decode()
    with_florals = price_choice(read_offer(made.offer.frozen).quote, ("C", "a")).total
    assert f'name="total" value="{with_florals}"' in page
    assert 'id="shows"' not in page


def test_more_versions_ask_the_database_no_more_than_a_fixed_number(wickerlark: House) -> None:
    made = offered_three(wickerlark)
    browser, address = open_link(made.address)
    with CaptureQueriesContext(connection) as captured:
        browser.get(address)
    assert sum(query["sql"].startswith("SELECT") for query in captured.captured_queries) <= 20


def test_the_pieces_of_every_version_have_their_own_models(wickerlark: House) -> None:
    made = offered_three(wickerlark)
    browser, address = open_link(made.address)
    sizes = [browser.get(f"{address}model/{place}.glb").status_code for place in (1, 2, 3, 4, 5)]
    assert sizes == [200, 200, 200, 200, 404]


def test_the_paper_has_a_table_of_the_versions_and_each_of_them(wickerlark: House) -> None:
    made = offered_three(wickerlark)
    with wickerlark.enter():
        words = words_of(bytes(offer_pdf.make(made.offer.pk).content))
    assert "What differs Deposit Total" in words
    for one in present_offer(made.offer.frozen).variants:
        assert f"Price of {one.name}" in words
        assert words.count(one.total) >= 2


def test_the_paper_of_what_was_agreed_has_one_version(wickerlark: House) -> None:
    made = offered_three(wickerlark)
    browser, address = open_link(made.address)
    browser.post(
        address + "agree", as_shown(made.offer, total=exact(made.offer, "B"), variant="B", options_of="B")
    )
    with wickerlark.enter():
        words = words_of(bytes(offer_pdf.make_agreed(made.offer.pk).content))
    assert "Chosen: Fuller" in words
    assert total(made.offer, "B") in words
    assert total(made.offer, "C") not in words
    assert "Grand" not in words


def test_the_strip_leads_from_version_to_version(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, fuller, grand = three(wickerlark)
    page = wickerlark.client().get(wickerlark.url("quoting:quote", fuller.pk)).content.decode()
    strip = page.split('id="quote-versions"')[1].split("</nav>")[0]
    assert re.findall(r"/quotes/(\d+)/\"( aria-current)?", strip) == [
        (str(lead.pk), ""), (str(fuller.pk), " aria-current"), (str(grand.pk), ""),
    ]  # fmt: skip
    assert f'value="{lead.pk}.{lead.version} {grand.pk}.{grand.version}"' in page


def test_the_strip_has_the_prices_that_an_offer_would_have(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, *_ = three(wickerlark)
        Rates.objects.update(markup_percent=55)
        totals = [one.total for one in present_offer(offering.offer(fresh(lead)).offer.frozen).variants]
    page = wickerlark.client().get(wickerlark.url("quoting:quote", lead.pk)).content.decode()
    strip = page.split('id="quote-versions"')[1].split("</nav>")[0]
    assert re.findall(r'<span class="money">([^<]+)</span>', strip) == totals


def test_versions_are_added_named_and_left_out_on_the_page(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, fuller, _ = three(wickerlark)
    owner = wickerlark.client()
    wrong = owner.post(wickerlark.url("quoting:variant-rename", fuller.pk), {"version-name": "Grand"})
    assert wrong.status_code == 422
    assert "Another version is called Grand." in text_of(wrong.content)
    assert 'value="Grand"' in wrong.content.decode()
    full = owner.post(wickerlark.url("quoting:variant-add", lead.pk), {"added-name": "", "added-way": "same"})
    assert full.status_code == 422
    assert "At most 3 versions" in text_of(full.content)
    owner.post(wickerlark.url("quoting:variant-leave-out", fuller.pk))
    assert "Fuller is left out." in text_of(owner.get(wickerlark.url("quoting:quote", lead.pk)).content)
    owner.post(wickerlark.url("quoting:variant-put-back", fuller.pk))
    with wickerlark.enter():
        assert not Quote.objects.get(pk=fuller.pk).is_left_out


def test_what_cannot_be_held_is_shown_before_anything_is_sent(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, _, grand = three(wickerlark, covers=1)
    page = wickerlark.client().post(wickerlark.url("quoting:offer-make", lead.pk), {"version": lead.version})
    assert page.status_code == 409
    assert "Cover for arch 7ft, sage: 1 free of 2 needed." in text_of(page.content)
    assert f"/quotes/{grand.pk}/versions/leave-out/" in page.content.decode()
    with wickerlark.enter():
        assert not Offer.objects.exists()
