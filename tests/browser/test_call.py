"""A call in real browsers: the client looks along, a colleague sees what is changed, a budget is fitted and undone."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.product import Product
from tests.browser.visitors import DESK, INES, PHONE, TEO, sign_in, visit

pytestmark = pytest.mark.browser
SEES_WITHIN_MS = 15_000
"""Generous, since a busy test machine is no fault of the page."""


def open_sketch(page: Page) -> None:
    """The newest quote that can still be sketched over."""
    page.goto("/s/wickerlark/quotes/")
    page.locator(".quotes-list .line", has_text="not offered yet").first.get_by_role("link").first.click()
    expect(page.locator("#quote")).to_be_visible()


def fullness(page: Page, percent: str) -> None:
    page.locator("#sketch-fullness").fill(percent)
    page.keyboard.press("Enter")


def test_client_and_colleague_see_each_change_and_the_client_no_more_once_it_is_stopped(
    browser: Browser, product: Product
) -> None:
    over = ("status of 404",)  # what the client's page says once the owner has stopped
    with (
        visit(browser, product.site, DESK) as owner,
        visit(browser, product.site, PHONE, told=over) as client,
    ):
        sign_in(owner, INES)
        open_sketch(owner)
        owner.get_by_role("button", name="Share live view with client").click()
        link = owner.get_by_label("Link for the client").input_value()
        client.goto(link)
        expect(client.get_by_text("A draft, not an offer.")).to_be_visible()
        assert "/l/" not in client.url
        before = client.locator("#looked-at").get_attribute("data-mark")
        assert before
        expect(owner.get_by_text("The client is watching")).to_be_visible(timeout=SEES_WITHIN_MS)
        with visit(browser, product.site, DESK) as colleague:
            sign_in(colleague, TEO)
            colleague.goto(owner.url)
            fullness(owner, "71")
            expect(client.locator("#looked-at")).not_to_have_attribute(
                "data-mark", before, timeout=SEES_WITHIN_MS
            )
            expect(colleague.locator('[data-says="change"]')).to_have_text(
                re.compile("Ines.* changed the fullness"), timeout=SEES_WITHIN_MS
            )
            expect(colleague.locator("#sketch-fullness")).to_have_value("71")
            expect(owner.locator('[data-says="here"]')).to_have_text(re.compile("Teo"))
        owner.get_by_role("button", name="Stop sharing").click()
        expect(client.get_by_role("heading", name="Nothing to show right now")).to_be_visible(
            timeout=SEES_WITHIN_MS
        )


def test_a_budget_is_fitted_by_keyboard_and_undone(browser: Browser, product: Product) -> None:
    with visit(browser, product.site, DESK) as owner:
        sign_in(owner, INES)
        open_sketch(owner)
        before = owner.locator("#sketch-fullness").input_value()
        total = owner.locator(".tape-total td").inner_text()
        owner.keyboard.press("Alt+B")
        expect(owner.locator("#fit-budget")).to_be_focused()
        owner.keyboard.type(str(int(float(re.sub(r"[^\d.]", "", total)) * 1.05)))
        owner.keyboard.press("Enter")
        first = owner.locator(".version").first
        expect(first).to_be_visible(timeout=30_000)
        promised = first.locator(".money").inner_text()
        first.get_by_role("button", name="Use this version").press("Enter")
        expect(owner.locator(".tape-total td")).to_have_text(promised)
        expect(owner.locator(".version")).to_have_count(0)
        owner.keyboard.press("Control+z")
        expect(owner.locator(".tape-total td")).to_have_text(total)
        expect(owner.locator("#sketch-fullness")).to_have_value(before)
        owner.keyboard.press("Alt+K")
        expect(owner.get_by_role("heading", name="Keyboard shortcuts")).to_be_visible()


def test_other_shares_colour_the_balloons_as_the_page_loaded_anew_shows_them(
    browser: Browser, product: Product
) -> None:
    with visit(browser, product.site, DESK) as owner:
        sign_in(owner, INES)
        open_sketch(owner)
        picture = owner.locator(".size-picture svg")
        before = picture.evaluate("svg => svg.outerHTML")
        share = owner.locator("#palette input").first
        share.fill("57" if share.input_value() != "57" else "43")
        with owner.expect_response(re.compile("/alter/")) as answered:
            share.press("Enter")
        assert "size-picture" not in answered.value.text()
        expect(owner.locator("#quote")).to_have_attribute("data-version", answered.value.headers["x-version"])
        coloured = picture.evaluate("svg => svg.outerHTML")
        owner.reload()
        assert before != coloured == picture.evaluate("svg => svg.outerHTML")
        owner.keyboard.press("Control+z")
        expect(picture).not_to_have_attribute("aria-label", re.compile("57 %|43 %"))
        owner.reload()
        assert picture.evaluate("svg => svg.outerHTML") == before
