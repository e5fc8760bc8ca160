"""What the load-out page weighs on the wire when a phone opens it for the first time."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Browser

from tests.browser.phones import ready
from tests.browser.product import Product
from tests.browser.visitors import MARIT, PHONE, sign_in
from tests.faults.phone_soak import list_not_loaded

MOST_BYTES = 128_000


def test_the_load_out_page_with_its_picture_is_under_128_kilobytes_on_a_first_visit(
    product: Product, browser: Browser
) -> None:
    signing_in = browser.new_context(base_url=product.site, **PHONE)
    page = signing_in.new_page()
    sign_in(page, MARIT)
    address = list_not_loaded(page)
    # A fresh phone that is signed in but has nothing in its caches.
    context = browser.new_context(base_url=product.site, **PHONE, storage_state=signing_in.storage_state())
    signing_in.close()
    page = context.new_page()
    wire = context.new_cdp_session(page)
    wire.send("Network.enable")
    weights: list[float] = []
    answers: list[str] = []
    wire.on("Network.loadingFinished", lambda done: weights.append(done["encodedDataLength"]))
    wire.on("Network.responseReceived", lambda got: answers.append(got["response"]["url"]))
    page.goto(address, wait_until="load")
    loaded: dict[str, Any] = {"bytes": sum(weights), "answers": list(answers)}
    ready(page)
    context.close()
    assert any(each.endswith("/load-out/") for each in loaded["answers"])
    assert any("fraunces-latin" in each for each in loaded["answers"]), "the fonts are counted"
    assert 40_000 < loaded["bytes"] < MOST_BYTES, loaded
