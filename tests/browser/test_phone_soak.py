"""A short soak: the long one is ``python -m tests.faults.phone_soak``."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from tests.browser.product import Product
from tests.faults.phone_soak import soak


@pytest.mark.slow
def test_what_phones_showed_as_kept_arrives_once_though_network_and_server_fail(
    product: Product, browser: Browser
) -> None:
    if product.web is None:
        pytest.fail("This test kills the web server, so it needs one that it started itself.")
    figures = soak(product, browser, phones=2, operations=60, seed=11, falls=2)
    assert figures.faults == []
    assert (figures.operations, figures.kills, figures.restarts) == (60, 1, 1)
    assert figures.rows >= 54
