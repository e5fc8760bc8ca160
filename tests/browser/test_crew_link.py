"""An event on a phone without an account: given by the office, taken up by one phone, used without signal, ended."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, Page, expect

from tests.browser.phones import all_sent, kept, ready, ticks
from tests.browser.product import Product
from tests.browser.visitors import DESK, INES, PHONE, sign_in, visit
from tests.faults.phone_soak import list_not_loaded


@contextmanager
def handset(browser: Browser, site: str) -> Iterator[Page]:
    """A phone on which nobody has signed in."""
    context = browser.new_context(base_url=site, **PHONE)
    context.set_default_timeout(20_000)
    try:
        yield context.new_page()
    finally:
        context.close()


def new_link(office: Page) -> str:
    return office.locator(".given-link code").inner_text()


def made_link(office: Page, the_list: str) -> str:
    """A link to the list for Rosa's phone."""
    office.goto(the_list)
    office.get_by_role("link", name="Phones").click()
    office.get_by_label("Whose phone").fill("Rosa")
    office.get_by_role("button", name="Make a link").click()
    return new_link(office)


def test_a_phone_has_one_event_by_a_link_works_without_signal_and_is_ended_by_the_office(
    product: Product, browser: Browser
) -> None:
    with (
        visit(browser, product.site, DESK) as office,
        handset(browser, product.site) as rosa,
        handset(browser, product.site) as second,
    ):
        sign_in(office, INES)
        the_list = list_not_loaded(office)
        link = made_link(office, the_list)
        rosa.goto(link)
        rosa.get_by_role("button", name="Use this phone").tap()
        rosa.wait_for_url(f"**{the_list}")
        ready(rosa)
        (cookie,) = [each for each in rosa.context.cookies() if each["name"].startswith("crew_phone_")]
        assert cookie["httpOnly"]
        assert rosa.evaluate("document.cookie.includes('crew_phone')") is False

        second.goto(link)
        expect(second.get_by_role("alert")).to_contain_text("Another phone uses this link.")
        expect(second.get_by_role("button", name="Use this phone")).to_have_count(0)

        rosa.context.set_offline(True)
        rosa.goto(the_list)
        expect(rosa.locator("html[data-ready]")).to_have_count(1)
        before = ticks(rosa).nth(0).get_attribute("aria-pressed")
        ticks(rosa).nth(0).tap()
        expect(ticks(rosa).nth(0)).not_to_have_attribute("aria-pressed", before or "")
        (waits,) = kept(rosa)
        assert re.fullmatch(r"phone-\d+", waits["person"])
        expect(rosa.locator("#load-words")).to_contain_text("No signal. 1 tick kept on this phone")
        rosa.context.set_offline(False)
        all_sent(rosa)
        expect(rosa.locator("[data-by]").nth(0)).to_have_text("Rosa's phone")
        office.goto(the_list)
        expect(office.locator("[data-by]").nth(0)).to_have_text("Rosa's phone")

        rosa.context.set_offline(True)
        ticks(rosa).nth(1).tap()
        expect(rosa.locator("#load-words")).to_contain_text("1 tick kept on this phone")
        office.get_by_role("link", name="Phones").click()
        office.get_by_role("button", name="End the link of Rosa's phone").click()
        expect(office.get_by_text("The link of Rosa's phone has ended.")).to_be_visible()
        rosa.context.set_offline(False)
        expect(rosa.locator("#load-words")).to_have_text(
            "The link of this phone has ended. Ask the office for a new one to send. 1 tick kept on this phone.",
            timeout=40_000,
        )
        rosa.wait_for_timeout(500)
        rosa.goto(the_list)
        rosa.reload()
        expect(rosa.get_by_role("heading", name="This link has ended")).to_be_visible()
        expect(rosa.locator("#still-here")).to_contain_text(
            "1 thing on this phone was not sent. It stays here"
        )
        assert len(kept(rosa)) == 1

        office.get_by_role("button", name="New link for Rosa's phone").click()
        rosa.goto(new_link(office))
        rosa.get_by_role("button", name="Use this phone").tap()
        rosa.wait_for_url(f"**{the_list}")
        ready(rosa)
        all_sent(rosa)
        expect(rosa.locator("[data-by]").nth(1)).to_have_text("Rosa's phone")
