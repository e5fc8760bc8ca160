"""Papers that the worker makes while a page waits."""

from __future__ import annotations

from playwright.sync_api import Page


def invoice_paper(page: Page) -> bytes:
    """The PDF of the invoice that the page shows, loaded again until the worker has made it, for a minute at most."""
    paper = page.get_by_role("link", name="PDF", exact=True)
    for _ in range(60):
        if paper.count():
            break
        page.wait_for_timeout(1000)
        page.reload()
    return page.request.get(str(paper.get_attribute("href"))).body()
