"""A whole call, and what follows from it, on the real stack.

Enquiry, scale, look-along in a second browser, budget fit, an option, offer, PDF read back, agreement on a phone,
deposit recorded, invoice issued.
"""

from __future__ import annotations

import io
import re
from datetime import date, timedelta
from decimal import Decimal

import pdfplumber
from playwright.sync_api import Browser, Page, expect

from tests.browser.papers import invoice_paper
from tests.browser.product import Product
from tests.browser.test_thin_job import (
    FOREIGN_SPACES,
    let_clients_see_counts,
    pdf_text,
    shown_counts,
    sketch,
    take_enquiry,
    total_of,
    type_width,
)
from tests.browser.visitors import DESK, INES, PHONE, sign_in, visit

TITLE = "Lighthouse keepers' supper"
DAY = date.today() + timedelta(days=66)  # noqa: DTZ011 - a day far enough for any zone
PLINTH = Decimal("64.99")
SEES_WITHIN_MS = 15_000
"""Generous, since a busy test machine is no fault of the page."""


def test_a_whole_call_from_the_enquiry_to_the_invoice(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as owner, visit(browser, product.site, PHONE) as client:
        sign_in(owner, INES)
        let_clients_see_counts(owner)
        event_address = take_enquiry(owner, TITLE, DAY)
        sketch(owner)
        quote_address = owner.url
        look_along(owner, client)
        total = fit_budget(owner, client)
        add_option(owner)
        assert total_of(owner) == total, "what is out at first costs nothing"
        client.goto("about:blank")
        owner.get_by_role("button", name="Stop sharing").click()
        link = offer(owner, total)
        read_paper(owner, total)
        agreed = agree(client, link, total)
        assert number(agreed) > number(total)
        deposit = deposit_on(client)
        record_deposit(owner, event_address, deposit)
        client.reload()
        expect(client.locator("#deposit")).to_contain_text("Thank you.")
        issue_balance(owner, event_address, agreed, deposit)
        owner.goto(quote_address)
        expect(owner.get_by_text("This quote can’t be changed any more")).to_be_visible()


def number(written: str) -> Decimal:
    """An amount in dollars as written on a page."""
    return Decimal(re.sub(r"[^\d.]", "", written))


def look_along(owner: Page, client: Page) -> None:
    """The client's phone follows the owner's sketch while it is changed."""
    owner.get_by_role("button", name="Share live view with client").click()
    client.goto(owner.get_by_label("Link for the client").input_value())
    expect(client.get_by_text("A draft, not an offer.")).to_be_visible()
    before = client.locator("#looked-at").get_attribute("data-mark") or ""
    type_width(owner, "8 ft 10 in")
    expect(client.locator("#looked-at")).not_to_have_attribute("data-mark", before, timeout=SEES_WITHIN_MS)


def fit_budget(owner: Page, client: Page) -> str:
    """A little more is to be spent: the first proposal is taken, and the client sees its total. Gives it back."""
    budget = int(number(total_of(owner)) * Decimal("1.08"))
    owner.locator("#fit-budget").fill(str(budget))
    owner.get_by_role("button", name="Fit a budget").click()
    first = owner.locator(".version").first
    expect(first).to_be_visible(timeout=30_000)
    promised = first.locator(".money").inner_text().strip()
    assert number(promised) <= budget
    first.get_by_role("button", name="Use this version").click()
    expect(owner.locator("#tape .tape-total td")).to_have_text(promised)
    expect(client.locator("#looked-at .tape-total td")).to_have_text(promised, timeout=SEES_WITHIN_MS)
    return promised


def add_option(owner: Page) -> None:
    """A hired plinth that the client may add."""
    owner.locator("#more-line > summary").click()
    owner.locator("#line-label").fill("Hired plinth")
    owner.locator("#line-unit_price").fill(str(PLINTH))
    owner.get_by_role("button", name="Add the line").click()
    expect(owner.locator("#tape")).to_contain_text("Hired plinth")
    owner.locator("#more-options > summary").click()
    owner.get_by_label("Hired plinth", exact=True).select_option("optional, not included by default")
    owner.get_by_role("button", name="Save options").click()
    expect(owner.locator("#more-options > summary")).to_have_text(re.compile("Options: 1"))


def offer(owner: Page, total: str) -> str:
    """Offer it; gives back the client's link."""
    owner.get_by_role("button", name="Make an offer", exact=True).click()
    link = owner.get_by_label("Link to copy").input_value()
    assert total_of(owner) == total
    return link


def read_paper(owner: Page, total: str) -> None:
    """The PDF from the worker has the page's words, and its sums add up."""
    rows = owner.locator(".tape-lines tr").all()
    shown = [(row.locator("th").inner_text().split("\n")[0], row.locator("td").inner_text()) for row in rows]
    paper = " ".join(pdf_text(owner).split())
    for label, amount in shown:
        if "deposit" not in label:  # said in other words there
            assert label in paper, label
        assert amount.strip("+−").translate(FOREIGN_SPACES) in paper, (label, amount)
    assert total in paper
    assert "Hired plinth no adds" in paper
    names = [label for label, _ in shown]
    lines = sum(number(amount) for _, amount in shown[: names.index("Net")])
    net = number(dict(shown)["Net"])
    taxes = sum(number(amount) for _, amount in shown[names.index("Net") + 1 : names.index("Total")])
    assert lines == net
    assert net + taxes == number(total)


def agree(client: Page, link: str, total: str) -> str:
    """On a phone: the plinth is added, the total follows, and that is agreed to. Gives back the agreed total."""
    client.goto(link)
    expect(client.locator("#price .tape-total td")).to_have_text(total)
    assert shown_counts(client)
    option = client.get_by_role("checkbox", name=re.compile("^Hired plinth"))
    option.check()
    expect(client.locator("#price .tape-total td")).not_to_have_text(total)
    agreed = client.locator("#price .tape-total td").inner_text().strip()
    client.locator("#agree").get_by_label("Your name", exact=True).fill("Ada Hemp")
    client.get_by_role("checkbox", name=re.compile("I agree to the price of " + re.escape(agreed))).check()
    client.locator("#agree").get_by_role("button", name="Agree", exact=True).click()
    expect(client.get_by_role("heading", name="Your agreement")).to_be_visible()
    expect(client.locator("#price .tape-total td")).to_have_text(agreed)
    return agreed


def deposit_on(client: Page) -> str:
    """What the client's page asks for, with its reference."""
    expect(client.locator("#deposit")).to_contain_text(re.compile(r"RF\d\d"))
    return client.locator("#deposit .client-sum").inner_text().strip()


def record_deposit(owner: Page, event_address: str, deposit: str) -> None:
    """The money is in: put down, with a receipt."""
    owner.goto(event_address)
    owner.get_by_role("link", name=re.compile("^Deposit")).click()
    expect(owner.locator(".invoice-left")).to_contain_text(deposit)
    owner.get_by_role("button", name="Record", exact=True).click()
    expect(owner.get_by_text("Paid", exact=True).first).to_be_visible()
    expect(owner.get_by_role("link", name=re.compile("receipt"))).to_be_visible()


def issue_balance(owner: Page, event_address: str, agreed: str, deposit: str) -> None:
    """The rest is invoiced: whole less deposit, on the page and on paper."""
    owner.goto(event_address)
    owner.get_by_role("link", name="Invoice", exact=True).click()
    owner.get_by_role("button", name="Issue the invoice").click()
    expect(owner.get_by_text("Left to pay")).to_be_visible()
    left = owner.get_by_role("row", name=re.compile("^Left to pay")).locator("td").inner_text()
    assert number(left) + number(deposit) == number(agreed)
    expect(owner.get_by_text("Hired plinth")).to_be_visible()
    with pdfplumber.open(io.BytesIO(invoice_paper(owner))) as pdf:
        words = "\n".join(sheet.extract_text() for sheet in pdf.pages).translate(FOREIGN_SPACES)
    for amount in (agreed, deposit, left):
        assert amount in words
