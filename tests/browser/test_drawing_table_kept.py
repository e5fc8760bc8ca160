"""The drawing table leaves nothing behind: acts under way, and acts of somebody who was signed out."""

from __future__ import annotations

import re
import time

from playwright.sync_api import Browser, Page, Route, expect

from quoting.demo import PASSWORD
from tests.browser.product import Product
from tests.browser.test_drawing_table import ACT, acted, open_empty, ready, tile
from tests.browser.visitors import DESK, INES, sign_in, visit

SLOW_S = 1.5


def slowly(route: Route) -> None:
    time.sleep(SLOW_S)
    route.continue_()


def quoted(page: Page) -> None:
    """A quote with an arch for the next event, its piece on the table."""
    open_empty(page)
    acted(page, tile(page, "Arch").click)
    page.get_by_role("link", name="Quote with this").click()
    page.get_by_role("button", name=re.compile("Start a quote")).first.click()
    page.get_by_role("button", name="Change this piece").click()
    ready(page)


def test_what_is_still_on_its_way_goes_into_the_quote_as_well(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        quoted(page)
        page.route(ACT, slowly)
        tile(page, "Big round").click()
        page.get_by_role("button", name="Update the quote").click()
        expect(page.get_by_role("heading", name="Materials and labor")).to_be_visible()
        expect(page.get_by_text(re.compile("24 in")).first).to_be_visible()
        page.get_by_role("button", name="Change this piece").click()
        expect(page.locator(".hold.hold-round")).to_have_count(1)
        expect(page.locator(".table-head")).not_to_contain_text("not in the quote yet")


def test_who_was_signed_out_signs_in_and_the_change_is_made(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK, told=("status of 403",)) as page:
        sign_in(page, INES)
        open_empty(page)
        address = page.url
        page.context.clear_cookies()
        tile(page, "Arch").click()
        expect(page.locator("#table-waits")).to_contain_text("Sign in again; your change is still here.")
        page.locator("#table-sign-in").click()
        page.get_by_label("E-mail address").fill(INES)
        page.get_by_label("Password", exact=True).fill(PASSWORD)
        with page.expect_response(ACT):
            page.get_by_role("button", name="Sign in", exact=True).click()
        assert page.url.partition("?")[0] == address.partition("?")[0]
        expect(page.locator(".hold.hold-frame")).to_have_count(1)
        expect(page.locator("#table-waits")).to_be_hidden()


def test_a_busy_server_is_called_busy(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK, told=("status of 503",)) as page:
        sign_in(page, INES)
        open_empty(page)
        busy: list[int] = []

        def at_first(route: Route) -> None:
            if busy:
                route.continue_()
                return
            busy.append(503)
            route.fulfill(status=503, body="busy")

        page.route(ACT, at_first)
        tile(page, "Arch").click()
        expect(page.locator("#table-waits")).to_contain_text("The server is busy.")
        expect(page.locator(".hold.hold-frame")).to_have_count(1)
        expect(page.locator("#table-waits")).to_be_hidden()
