"""A call with three versions, on the real stack: added by keyboard, offered at once, the best agreed to on a phone."""

from __future__ import annotations

import re
from datetime import date, timedelta

from playwright.sync_api import Browser, Page, expect

from tests.browser.product import Product
from tests.browser.test_client_phone import faults
from tests.browser.test_thin_job import DESIGN, pdf_text, take_enquiry, total_of
from tests.browser.visitors import DESK, INES, PHONE, sign_in, visit

TITLE = "Weighbridge centenary"
DAY = date.today() + timedelta(days=71)  # noqa: DTZ011 - a day far enough for any zone

OFFLINE = ("ERR_INTERNET_DISCONNECTED", "htmx:afterRequest", "htmx:sendError")


def test_a_call_with_three_versions_ends_with_the_best_agreed_on_a_phone(
    product: Product, browser: Browser
) -> None:
    with (
        visit(browser, product.site, DESK) as owner,
        visit(browser, product.site, PHONE, told=OFFLINE) as client,
    ):
        sign_in(owner, INES)
        event_address = take_enquiry(owner, TITLE, DAY)
        start(owner)
        prices = add_versions(owner)
        assert faults(owner) == []
        link = offer(owner)
        client.goto(link)
        expect(client.locator(".variant-name")).to_have_text(list(prices))
        assert faults(client) == []
        stays_without_a_line(client, prices)
        pick_by_keyboard(client, prices)
        agree_to_the_best(client, prices)
        owner.reload()
        expect(owner.locator("main")).to_contain_text("Grand picked")
        paper = " ".join(pdf_text(owner).split())
        assert "Chosen: Grand" in paper
        assert prices["Simple"] not in paper
        owner.goto(event_address)
        expect(owner.locator("main")).to_contain_text("The client picked “Grand”, one of 3 versions.")


def start(owner: Page) -> None:
    """A quote from a design."""
    owner.get_by_role("link", name="Start a quote").first.click()
    design = owner.get_by_role("listitem").filter(has=owner.get_by_role("heading", name=DESIGN, exact=True))
    design.get_by_role("button", name="Use this design").click()
    expect(owner.locator("svg [data-part=garland]").first).to_be_visible()


def add_versions(owner: Page) -> dict[str, str]:
    """A fuller one, and a grand one with a plinth, by keyboard. Gives back each version's price as the strip has it."""
    add(owner, "Fuller: fuller, more greenery", "Fuller")
    owner.keyboard.press("Alt+1")
    expect(owner.locator(".version-tabs [aria-current]")).to_contain_text("Simple")
    add(owner, "As this one", "Grand")
    owner.locator("#more-line > summary").click()
    owner.locator("#line-label").fill("Hired plinth")
    owner.locator("#line-unit_price").fill("264.99")
    owner.get_by_role("button", name="Add the line").click()
    expect(owner.locator("#tape")).to_contain_text("Hired plinth")
    rows = owner.locator(".version-tabs a").all()
    prices = {row.locator("b").inner_text(): row.locator(".money").inner_text() for row in rows}
    assert list(prices) == ["Simple", "Fuller", "Grand"]
    assert prices["Grand"] == total_of(owner)
    assert len(set(prices.values())) == 3
    return prices


def add(owner: Page, way: str, name: str) -> None:
    """One more version of the one that is shown."""
    owner.wait_for_load_state("networkidle")
    owner.keyboard.press("Alt+v")
    expect(owner.locator("#id_added-name")).to_be_focused()
    owner.get_by_label("Starts", exact=True).select_option(way)
    owner.get_by_role("button", name="Add it").press("Enter")
    expect(owner.locator(".version-tabs [aria-current]")).to_contain_text(name)


def offer(owner: Page) -> str:
    """Offer all three; gives back the client's link."""
    owner.get_by_role("button", name="Make an offer", exact=True).click()
    link = owner.get_by_label("Link to copy").input_value()
    expect(owner.get_by_role("heading", name="Versions to pick from")).to_be_visible()
    return link


def total(client: Page) -> str:
    """The total on the client's tape."""
    return client.locator("#price .tape-total td").inner_text().strip()


def stays_without_a_line(client: Page, prices: dict[str, str]) -> None:
    """What didn't reach the server isn't shown as chosen."""
    client.wait_for_load_state("networkidle")
    client.context.set_offline(True)
    client.get_by_role("radio", name=re.compile("^Grand")).click()
    expect(client.locator("#variants-said")).to_contain_text("nothing has changed")
    expect(client.get_by_role("radio", name=re.compile("^Simple"))).to_be_checked()
    expect(client.locator("#variant-C-mark")).to_be_empty()
    assert total(client) == prices["Simple"]
    client.context.set_offline(False)


def pick_by_keyboard(client: Page, prices: dict[str, str]) -> None:
    """The arrow keys go from card to card; the sum follows, and the focus stays."""
    client.get_by_role("radio", name=re.compile("^Simple")).focus()
    client.keyboard.press("ArrowDown")
    expect(client.locator("#variant-B-mark")).to_contain_text("Your choice")
    expect(client.get_by_role("radio", name=re.compile("^Fuller"))).to_be_focused()
    expect(client.locator("#bar-total")).to_have_text(prices["Fuller"])
    assert client.locator("#variants-said").is_hidden()


def agree_to_the_best(client: Page, prices: dict[str, str]) -> None:
    """The best is picked and agreed to, by name and price."""
    client.locator("#variant-C").click()
    expect(client.locator("#variant-C-mark")).to_contain_text("Your choice")
    expect(client.locator("#price .tape-total td")).to_have_text(prices["Grand"])
    client.locator("#agree").get_by_label("Your name", exact=True).fill("Ada Hemp")
    said = re.compile("I agree to “Grand” at the price of " + re.escape(prices["Grand"]))
    client.get_by_role("checkbox", name=said).check()
    client.locator("#agree").get_by_role("button", name="Agree", exact=True).click()
    expect(client.get_by_role("heading", name="Your agreement")).to_be_visible()
    expect(client.locator("#price .tape-total td")).to_have_text(prices["Grand"])
