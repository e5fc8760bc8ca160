"""Phones with somebody signed in, and what lies in their stores, read without the product's own code."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.visitors import PHONE, sign_in

ALL_SENT = "Connected. All sent."

KEPT = """() => new Promise((resolve, reject) => {
  const asked = indexedDB.open("billowbook");
  asked.onerror = () => reject(asked.error);
  asked.onsuccess = () => {
    const database = asked.result;
    if (!database.objectStoreNames.contains("post")) { database.close(); return resolve([]); }
    const all = database.transaction("post").objectStore("post").getAll();
    all.onsuccess = () => { database.close(); resolve(all.result.map((entry) => ({
      uuid: entry.uuid, address: entry.address, person: entry.person, op: entry.op || null,
      refused: entry.refused || "", photoBytes: entry.photo ? entry.photo.size : 0 }))); };
  };
})"""

KEEPS_THIS_PAGE = """async () => Boolean(navigator.serviceWorker.controller
  && await (await caches.open("billowbook-pages")).match(location.pathname))"""


@contextmanager
def phone(browser: Browser, site: str, person: str, **options: Any) -> Iterator[Page]:
    """A phone with that person signed in. Going offline makes the console complain, so it isn't watched."""
    context = browser.new_context(base_url=site, **{**PHONE, **options})
    context.set_default_timeout(20_000)
    try:
        page = context.new_page()
        sign_in(page, person)
        yield page
    finally:
        context.close()


STEPS = {
    "Van is loaded": "Yes, the van is loaded",
    "Installed": "Yes, it is installed",
    "Struck": "Yes, it is struck",
}


def mark(page: Page, step: str) -> None:
    """Mark a step of the day and answer its question; taps wait until the next step's button can be pressed."""
    page.get_by_role("button", name=step, exact=True).tap()
    page.get_by_role("button", name=STEPS[step]).tap()


def kept(page: Page) -> list[dict[str, Any]]:
    """What waits on this phone."""
    found: list[dict[str, Any]] = page.evaluate(KEPT)
    return found


def open_list(page: Page) -> str:
    """Open the load-out list of the first event to come that has one; gives back its address."""
    with page.expect_navigation():
        page.get_by_role("link", name="Calendar", exact=True).click()
    with page.expect_navigation():
        page.get_by_role("link", name="List of events").click()
    addresses = [link.get_attribute("href") or "" for link in page.locator(".line-main a").all()]
    for address in addresses:
        page.goto(address)
        load = page.get_by_role("link", name="Load", exact=True)
        if load.count():
            with page.expect_navigation():
                load.click()
            if page.locator("[data-line]").count() > 3:
                ready(page)
                return page.url
    raise AssertionError("The demo has no event to come with a load-out list of more than three lines.")


def ready(page: Page) -> None:
    """Wait until the page's script has taken over, and this phone keeps the page."""
    expect(page.locator("html[data-ready]")).to_have_count(1)
    keeps(page)


def keeps(page: Page) -> None:
    """Wait until this phone keeps the page."""
    for _ in range(300):
        if page.evaluate(KEEPS_THIS_PAGE):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"the phone doesn't keep {page.url}")


def ticks(page: Page) -> Locator:
    """The big buttons."""
    return page.locator("[data-line] > .tick")


def all_sent(page: Page, *, patience_ms: int = 40_000) -> None:
    """Wait until nothing waits on this phone any more, and the page says so."""
    deadline = time.monotonic() + patience_ms / 1000
    while kept(page) or page.locator("#load-words").inner_text() != ALL_SENT:
        assert time.monotonic() < deadline, (page.locator("#load-words").inner_text(), kept(page))
        page.wait_for_timeout(100)


def empty_van(page: Page) -> None:
    """Untick whatever is in, and settle what phones said otherwise.

    What another phone of a journey before had under way may come in meanwhile: then once more.
    """
    for _ in range(3):
        _untick_all(page)
        all_sent(page)
        if page.locator("#in-count").inner_text() == "0":
            return
    expect(page.locator("#in-count")).to_have_text("0")


def _untick_all(page: Page) -> None:
    for number in range(ticks(page).count()):
        if ticks(page).nth(number).get_attribute("aria-pressed") != "false":
            while ticks(page).nth(number).get_attribute("aria-pressed") != "false":
                before = ticks(page).nth(number).get_attribute("aria-pressed")
                ticks(page).nth(number).tap()
                expect(ticks(page).nth(number)).not_to_have_attribute("aria-pressed", before or "")
