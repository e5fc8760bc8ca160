"""What the stock list lacks, answered as an owner would before an offer goes out."""

from __future__ import annotations

from playwright.sync_api import Page, expect


def make_offer(page: Page) -> None:
    """Make an offer of the quote on the page; what the stock list doesn't have is said to be hired first, for 4."""
    asked, offered = page.locator("#supplies-form"), page.get_by_label("Link to copy")
    page.get_by_role("button", name="Make an offer", exact=True).click()
    expect(asked.or_(offered)).to_be_visible()
    if asked.count():
        for choice in asked.locator("select").all():
            choice.select_option("Hire")
        for cost in asked.get_by_label("Cost of one").all():
            cost.fill("4")
        with page.expect_navigation():
            asked.get_by_role("button", name="Save").click()
        expect(page.get_by_role("heading", name="Nothing is open")).to_be_visible()
        page.get_by_role("button", name="Make an offer", exact=True).click()
