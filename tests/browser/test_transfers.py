"""A frame is transferred from the bakery to the rowing club: the office chooses it, both crews see it on phones."""

from __future__ import annotations

from playwright.sync_api import Browser, Page, expect

from tests.browser.phones import all_sent, mark, phone, ready, ticks
from tests.browser.product import Product
from tests.browser.visitors import DESK, INES, MARIT, sign_in, visit

FRAME = "Arch frame 6 ft"


def test_a_transferred_frame_is_on_both_lists_and_not_missing_at_the_first(
    product: Product, browser: Browser
) -> None:
    with visit(browser, product.site, DESK) as office:
        sign_in(office, INES)
        bakery, club = address_of(office, "Bakery opening"), address_of(office, "Rowing club supper")
        chosen_for(office, club)
    with phone(browser, product.site, MARIT) as marit:
        marit.goto(f"{club}load-out/")
        row = marit.locator("[data-line]").filter(has_text=FRAME)
        expect(row).to_contain_text("directly from Bakery opening")
        loaded(marit, bakery)
        marit.goto(f"{bakery}count-back/")
        ready(marit)
        row = marit.locator("[data-line]").filter(has_text=FRAME)
        expect(row).to_contain_text("1 going on to Rowing club supper: leave in the van")
        expect(row.locator(".tick")).to_have_attribute("aria-pressed", "true")
        for place in range(ticks(marit).count()):
            if ticks(marit).nth(place).get_attribute("aria-pressed") != "true":
                ticks(marit).nth(place).tap()
                expect(ticks(marit).nth(place)).to_have_attribute("aria-pressed", "true")
        marit.get_by_role("button", name="Count back").tap()
        expect(marit.get_by_text("Counted back", exact=True)).to_be_visible()
        all_sent(marit)
        marit.reload()
        expect(marit.get_by_text("Counted back", exact=True)).to_be_visible()


def address_of(page: Page, title: str) -> str:
    page.goto("/s/wickerlark/events/")
    return page.get_by_role("link", name=title, exact=True).first.get_attribute("href") or ""


def chosen_for(page: Page, event: str) -> None:
    """The frame is chosen; first without a word of its being unwashed, which the page asks for."""
    page.goto(event)
    page.get_by_role("link", name="Transfer items from another event").click()
    offered = page.get_by_label("Item and event")
    words = offered.locator("option").filter(has_text=f"{FRAME} from Bakery opening").inner_text()
    offered.select_option(label=words)
    uncleaned = page.get_by_label("Take it without cleaning")
    if ", without cleaning" in words:
        page.get_by_role("button", name="Save").click()
        expect(page.get_by_text("isn’t cleaned between the two events")).to_be_visible()
        expect(offered.locator("option:checked")).to_contain_text(FRAME)
        uncleaned.check()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text(f"Comes directly from Bakery opening: 1 × {FRAME}")).to_be_visible()


def loaded(page: Page, event: str) -> None:
    """The van of the first event is loaded, and its things are built."""
    page.goto(f"{event}load-out/")
    ready(page)
    mark(page, "Van is loaded")
    mark(page, "Installed")
    all_sent(page)
