"""A running product and a browser for all journeys of a process."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from tests import database
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


# Both end with the last journey, not with the run: while a browser is open, Django refuses database calls in that
# process, and other tests follow in it.
@pytest.fixture(scope="package")
def product(django_db_setup: None) -> Iterator[Product]:
    """The running product, on a copy of the demo's studios unless somebody else has started it."""
    if product_module.RUNNING_AT in os.environ:
        with product_module.running() as running:
            yield running
        return
    name = f"billowbook_journeys_{os.environ.get('PYTEST_XDIST_WORKER', 'main')}"
    with database.with_demo(name), product_module.running(database_name=name) as running:
        yield running


@pytest.fixture(scope="package")
def browser(product: Product) -> Iterator[Browser]:
    """Chromium, opened once nothing needs Django's connection any more."""
    expect.set_options(timeout=EXPECT_MS)
    with sync_playwright() as playwright:
        launched = visitors.chromium(playwright)
        yield launched
        launched.close()
