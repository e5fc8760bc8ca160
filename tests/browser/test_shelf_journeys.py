"""The shelf on the real stack: held from a quote, swapped, short, bought, received; and counted on a phone."""

from __future__ import annotations

import re
from datetime import date, timedelta

from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.phones import phone, ready
from tests.browser.product import Product
from tests.browser.test_thin_job import agree, offer, origin, sketch, take_enquiry, what_it_takes
from tests.browser.visitors import DESK, INES, PHONE, TEO, sign_in, visit

TITLE = "Netmenders' supper"
DAY = date.today() + timedelta(days=52)  # noqa: DTZ011 - a day far enough for any zone
PLACE = "crate G3"


def test_from_a_hold_of_a_quote_to_the_bags_that_were_short(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as owner:
        sign_in(owner, INES)
        event_address = take_enquiry(owner, TITLE, DAY)
        total = sketch(owner)
        takes = what_it_takes(owner)
        link, _ = offer(owner, total)
        with visit(browser, origin(link), PHONE) as client:
            agree(client, link, total)
        latex = [code for code in takes if re.fullmatch(r"latex-(5|11)-\w+(-\w+)*", code)]
        assert len(latex) >= 2
        swapped, bought = latex[0], latex[1]

        expect(item_page(owner, swapped)).to_contain_text(TITLE)
        lose_all(owner)
        taken_instead = swap_on_hold(owner, swapped)
        expect(item_page(owner, taken_instead)).to_contain_text(TITLE)
        owner.goto(event_address)
        owner.get_by_role("link", name="Load", exact=True).click()
        expect(owner.locator("[data-line]").first).to_be_visible()
        listed = {line.get_attribute("data-code") for line in owner.locator("[data-line]").all()}
        assert {taken_instead, f"spare:{taken_instead}"} <= listed
        assert not {swapped, f"spare:{swapped}"} & listed

        item_page(owner, bought)
        lose_all(owner)
        orders = buy(owner, bought)
        receive(owner, orders, bought)


def item_page(page: Page, code: str) -> Locator:
    """Find a thing on the shelf by its code and open it; gives back what holds it."""
    page.get_by_role("navigation", name="Pages").get_by_role("link", name="Stock").click()
    page.get_by_label("Find").fill(code)
    rounds = page.locator("#things .rounds td a")
    expect(rounds).to_have_count(1)
    rounds.click()
    expect(page.get_by_text(code, exact=True)).to_be_visible()
    return page.get_by_role("region", name="Reserved for")


def lose_all(page: Page) -> None:
    """Everything of it on the shelf is lost."""
    there = re.search(r"([\d,]+) on the shelf", page.get_by_role("region", name="Stock now").inner_text())
    assert there is not None
    page.locator("summary").filter(has_text="Broken or lost").click()
    form = page.locator("details").filter(has=page.get_by_role("button", name="Write off"))
    form.get_by_label("What happened").select_option("lost")
    form.get_by_label("Quantity").fill(there[1].replace(",", ""))
    form.get_by_role("button", name="Write off").click()
    expect(page.get_by_role("region", name="Stock now")).to_contain_text("short")


def swap_on_hold(page: Page, code: str) -> str:
    """From the item to the hold that lacks it, and the first stand-in taken; gives back its code."""
    page.get_by_role("region", name="Reserved for").get_by_role(
        "link", name=re.compile(re.escape(TITLE[:9]))
    ).click()
    form = page.locator(f".line-instead form:has(input[name=out][value='{code}'])").first
    instead = form.locator("input[name=into]").get_attribute("value") or ""
    form.get_by_role("button").click()
    page.get_by_role("button", name="Swap", exact=True).click()
    expect(page.locator(".notice").first).to_contain_text("Swapped.")
    return instead


def buy(page: Page, code: str) -> list[str]:
    """The missing item is listed with the day to order by; the orders are placed. Gives back their pages."""
    page.goto("/s/wickerlark/shelf/buy/")
    expect(page.get_by_role("region", name="What’s missing")).to_contain_text(TITLE)
    with page.expect_navigation():
        page.get_by_role("button", name=re.compile("^Create th")).click()
    if page.url.endswith("/orders/"):
        links = page.get_by_role("region", name="Not ordered yet").get_by_role("link").all()
        orders = [link.get_attribute("href") or "" for link in links]
    else:
        orders = [page.url]
    for order in orders:
        page.goto(order)
        page.get_by_role("button", name="Mark as ordered", exact=True).click()
        expect(page.get_by_role("region", name="Receive a delivery")).to_be_visible()
    page.goto("/s/wickerlark/shelf/buy/")
    expect(page.locator("main")).not_to_contain_text(name_of(code))
    return orders


def name_of(code: str) -> str:
    """``latex-11-oat`` is called Oat 11 in on the shelf."""
    _, size, colour = code.split("-", 2)
    return f"{colour.replace('-', ' ').capitalize()} {size} in"


def receive(page: Page, orders: list[str], code: str) -> None:
    """A first part comes, then the rest; the thing isn't short any more."""
    for order in orders:
        page.goto(order)
        row = page.locator(".delivery-row").filter(has_text=name_of(code))
        if row.count():
            break
    else:
        raise AssertionError(f"{name_of(code)} is on none of {orders}")
    for box in page.locator("input[name^=came]").all():
        box.fill("1")
    page.get_by_label("Delivery note").fill("DN 4711")
    page.get_by_role("button", name="Receive", exact=True).click()
    expect(page.locator(".notice").first).to_contain_text("still due")
    for row in page.locator(".delivery-row").all():
        due = re.search(r"([\d,]+) pieces? still due", row.inner_text())
        assert due is not None
        row.locator("input[name^=came]").fill(due[1].replace(",", ""))
    page.get_by_role("button", name="Receive", exact=True).click()
    expect(page.locator(".notice").first).to_contain_text("The order is complete.")
    item_page(page, code)
    expect(page.get_by_role("region", name="Stock now")).not_to_contain_text("short")
    expect(page.get_by_role("region", name="Movements", exact=True)).to_contain_text("DN 4711")


def test_a_shelf_is_counted_on_a_phone_while_the_signal_goes_and_comes(
    product: Product, browser: Browser
) -> None:
    with phone(browser, product.site, TEO) as page:
        page.goto("/s/wickerlark/shelf/stock-take/")
        page.get_by_role("link", name=PLACE).tap()
        ready(page)
        boxes = page.locator(".count-box")
        expect(boxes).to_have_count(2)
        boxes.nth(0).fill("27")
        expect(page.locator("[data-draft-words]")).to_have_text("Kept on this device until it is saved.")

        page.context.set_offline(True)
        boxes.nth(1).fill("14")
        page.get_by_role("button", name="Save count").tap()
        expect(page.locator("[data-draft-words]")).to_contain_text("No signal.")
        page.reload()  # a phone that slept loads the page again, still without signal
        expect(boxes.nth(0)).to_have_value("27")
        expect(boxes.nth(1)).to_have_value("14")
        page.get_by_role("button", name="Save count").tap()
        expect(page.locator("[data-draft-words]")).to_contain_text("it goes when the signal is back")

        page.context.set_offline(False)
        expect(page.locator("main")).to_contain_text(
            "than 30"
        )  # three picks fewer: looked at before they are written
        expect(boxes.nth(0)).to_have_value("27")
        page.get_by_label("Reason for the differences").select_option("broken but not recorded")
        page.get_by_role("button", name="Save with differences").tap()
        expect(page.locator(".notice").first).to_contain_text("2 counted, 2 corrected.")
        page.get_by_role("link", name=PLACE).tap()
        expect(boxes.nth(0)).to_have_value("")
