"""What the stock list lacks, answered as an owner would before an offer goes out."""

from __future__ import annotations

from playwright.sync_api import Page


def make_offer(page: Page) -> None:
    """Make an offer of the quote on the page; what the stock list doesn't have is said to be hired first."""
    quote = page.url
    page.get_by_role("button", name="Make an offer", exact=True).click()
    choices = page.locator("#supplies-form select")
    if choices.count():
        for choice in choices.all():
            choice.select_option("Hire")
        page.locator("#supplies-form").get_by_role("button", name="Save").click()
        page.goto(quote)
        page.get_by_role("button", name="Make an offer", exact=True).click()
