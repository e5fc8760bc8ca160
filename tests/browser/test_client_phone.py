"""The client's page on a phone: light, readable without scripts, open to everybody, and its options are followed."""

from __future__ import annotations

import io
import re

import pdfplumber
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Request, expect

from tests.browser.product import Product
from tests.browser.visitors import DESK, INES, JULE, PHONE, sign_in, visit

FIRST_VIEW_BYTES = 150_000
RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}}


def link_of(browser: Browser, product: Product, who: str, title: str) -> str:
    """A fresh link to the open offer of an event of the demo."""
    with visit(browser, product.site, DESK) as studio:
        sign_in(studio, who)
        studio.goto(offer_address(studio, title))
        studio.get_by_role("button", name="Make a new link").click()
        return studio.get_by_label("Link to copy").input_value()


def offer_address(page: Page, title: str) -> str:
    """Address of the open offer for the event of this title."""
    slug = page.url.split("/s/")[1].split("/")[0]
    for number in range(1, 40):
        answer = page.request.get(f"/s/{slug}/offers/{number}/")
        if answer.ok and f": {title}</h1>" in answer.text() and "Make a new link" in answer.text():
            return f"/s/{slug}/offers/{number}/"
    raise AssertionError(f"no open offer for {title}")


def total(page: Page) -> str:
    """The total on the tape."""
    return page.locator("#price .tape-total td").inner_text().strip()


def faults(page: Page) -> list[str]:
    """What axe finds wrong: WCAG 2.2 A and AA."""
    found = Axe().run(page, options=RULES).response["violations"]
    return [f"{fault['id']}: {node['html'][:160]}" for fault in found for node in fault["nodes"]]


def test_options_are_followed_and_agreed_to_on_a_phone(product: Product, browser: Browser) -> None:
    link = link_of(browser, product, INES, "Leaving ball")
    with visit(browser, product.site, PHONE) as client:
        sent: list[Request] = []
        client.on("requestfinished", lambda request: sent.append(request))  # noqa: PLW0108 -- it marks its handler
        client.goto(link)
        client.wait_for_load_state("networkidle")
        sizes = [(one.url, one.sizes()["responseBodySize"]) for one in list(sent)]
        beside_fonts = sum(size for url, size in sizes if not url.endswith(".woff2"))
        assert 10_000 < beside_fonts < FIRST_VIEW_BYTES, sizes
        assert faults(client) == []
        first = total(client)
        florals = client.get_by_role("checkbox", name=re.compile("^Florals"))
        client.locator("#agree").get_by_label("Your name", exact=True).fill("Ørsted Å. Björk")
        expect(client.locator(".part-florals").first).to_be_visible()
        florals.uncheck()
        expect(client.locator("#price .tape-total td")).not_to_have_text(first)
        expect(client.locator(".part-florals").first).to_be_hidden()
        expect(florals).to_be_focused()
        expect(client.locator("#agree").get_by_label("Your name", exact=True)).to_have_value(
            "Ørsted Å. Björk"
        )
        without_florals = total(client)
        client.get_by_role("checkbox", name=re.compile("^Two birch plinths")).check()
        expect(client.locator("#price .tape-total td")).not_to_have_text(without_florals)
        second = client.locator("#bar-total")
        expect(client.get_by_role("checkbox", name=re.compile("I agree to the price"))).to_have_count(1)
        expect(second).not_to_have_text(first)
        client.wait_for_load_state("networkidle")
        agreed = total(client)
        assert second.inner_text() == agreed
        client.get_by_role(
            "checkbox", name=re.compile("I agree to the price of " + re.escape(agreed))
        ).check()
        assert faults(client) == []
        client.locator("#agree").get_by_role("button", name="Agree", exact=True).click()
        expect(client.get_by_role("heading", name="Your agreement")).to_be_visible()
        expect(client.get_by_role("heading", name="What happens next")).to_be_visible()
        expect(client.locator("#deposit")).to_contain_text("RF")
        assert total(client) == agreed
        assert faults(client) == []
        paper = client.get_by_role("link", name="Download as PDF")
        expect(paper).to_be_visible(timeout=90_000)
        answer = client.request.get(str(paper.get_attribute("href")))
        with pdfplumber.open(io.BytesIO(answer.body())) as pdf:
            words = " ".join(" ".join((sheet.extract_text() or "").split()) for sheet in pdf.pages)
        assert agreed in words
        assert "Ørsted Å. Björk" in words
        assert "not included: Florals" in words
        assert len(answer.body()) < 600_000


def test_without_scripts_the_page_reads_switches_and_takes_a_wish(product: Product, browser: Browser) -> None:
    link = link_of(browser, product, JULE, "Silberhochzeit")
    with visit(browser, product.site, PHONE, java_script_enabled=False) as client:
        client.goto(link)
        first = total(client)
        expect(client.locator("figure.show svg").first).to_be_visible()
        option = client.get_by_role("checkbox", name=re.compile("^Abbau nach 23 Uhr"))
        option.check()
        client.get_by_role("button", name="Summe anzeigen").click()
        expect(client.locator("#price .tape-total td")).not_to_have_text(first)
        expect(option).to_be_checked()
        option.uncheck()
        # Ticked and agreed to at once, without looking at the total: said, not done.
        client.locator("#agree").get_by_label("Ihr Name", exact=True).fill("Familie Özdemir")
        client.get_by_role("checkbox", name=re.compile("stimme dem Preis von")).check()
        client.locator("#agree").get_by_role("button", name="Zustimmen", exact=True).click()
        expect(client.get_by_role("alert")).to_contain_text("Wir können noch nicht zusagen")
        assert total(client) == first
        client.get_by_text("Um eine Änderung bitten").click()
        client.get_by_label("Was möchten Sie ändern?").fill("Mehr Perlmutt, weniger Hafenblau.")
        client.get_by_role("button", name="Wunsch senden", exact=True).click()
        passed_on = client.get_by_role("status").filter(has_text="An Atelier Federkorn gesendet")
        expect(passed_on).to_be_visible()
