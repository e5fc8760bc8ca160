"""One running product and one browser for all journeys."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from tests.browser import product as product_module
from tests.browser import visitors
from tests.browser.product import Product

EXPECT_MS = 15_000
"""Generous, since a busy test machine is no fault of the page."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Every test in this folder drives the browser."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def product() -> Iterator[Product]:
    """The running product."""
    with product_module.running() as running:
        yield running


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium."""
    expect.set_options(timeout=EXPECT_MS)
    with sync_playwright() as playwright:
        launched = visitors.chromium(playwright)
        yield launched
        launched.close()
