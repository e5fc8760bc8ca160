"""A client writes on the studio's website; the owner finds the enquiry with its wishes and makes a quote of it."""

from __future__ import annotations

import re
from datetime import date, timedelta

from playwright.sync_api import Browser, Page, expect

from tests.browser.product import Product
from tests.browser.visitors import DESK, INES, PHONE, sign_in, visit

OCCASION = "Harvest supper of the allotments"
DAY = (date.today() + timedelta(days=70)).isoformat()  # noqa: DTZ011 -- any day ahead
QUICKEST_MS = 4_000
"""Whoever sends sooner is asked to press again."""


def form_address(owner: Page) -> str:
    owner.goto("/s/wickerlark/settings/website/")
    owner.get_by_label("Clients can send enquiries").check()
    owner.get_by_role("button", name="Save").click()
    return owner.locator("main a[href*='/ask/']").get_attribute("href") or ""


def write(client: Page) -> None:
    client.get_by_label("Your name").fill("Wilma Osei")
    client.get_by_label("E-mail address").fill("wilma@osei.example")
    client.get_by_label("What do you celebrate?").fill(OCCASION)
    client.get_by_label("Day").fill(DAY)
    client.get_by_label("Where?").fill("Allotment shed, Mill Lane")
    client.get_by_label("Number of guests").fill("60")
    client.get_by_label("Palette that you like").fill("sage and oat")
    client.wait_for_timeout(QUICKEST_MS)
    client.get_by_role("button").last.tap()
    expect(client.get_by_role("heading", name="Thank you")).to_be_visible()


def test_an_enquiry_from_the_website_becomes_a_quote(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as owner:
        sign_in(owner, INES)
        with visit(browser, product.site, PHONE) as client:
            client.goto(form_address(owner))
            write(client)
            assert client.context.cookies() == []
        owner.goto("/s/wickerlark/find/?find=allotments")
        owner.get_by_role("link", name=re.compile(OCCASION)).first.click()
        expect(owner.locator("main")).to_contain_text("sage and oat")
        expect(owner.locator("main")).to_contain_text("60")
        owner.get_by_role("link", name="Start a quote").first.click()
        design = (
            owner.locator(".design").filter(has=owner.get_by_role("button", name="Use this design")).first
        )
        design.get_by_role("button", name="Use this design").click()
        expect(owner.get_by_role("button", name="Make an offer")).to_be_visible()
        expect(owner.locator("main")).to_contain_text("Wilma Osei")
