"""A lifelike picture arrives on a client's open page, and is on the offer's paper.

Where the renderer is installed, the product's own worker makes it, which takes minutes. Elsewhere a stored picture is
put in its place: then the journey shows that a picture arrives, not that one is made.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import date, timedelta

import pdfplumber
import pytest
from playwright.sync_api import Browser, Page, expect

from studio.local.demo import has_renderer
from studio.local.place import CHECKOUT
from tests import database
from tests.browser import product as product_module
from tests.browser.product import Product
from tests.browser.supplies import make_offer
from tests.browser.test_thin_job import take_enquiry
from tests.browser.visitors import DESK, INES, PHONE, sign_in, visit

DESIGN = "Table garland"
DAY = date.today() + timedelta(days=68)  # noqa: DTZ011 - a day far enough for any zone
MOST_MS = 600_000 if has_renderer() else 60_000


@pytest.fixture(scope="module")
def awaiting(django_db_setup: None) -> Iterator[Product]:
    """A product of its own whose pages wait for lifelike pictures."""
    if product_module.RUNNING_AT in os.environ:
        pytest.skip("a product that somebody else has started may make no pictures")
    name = f"billowbook_stills_{os.environ.get('PYTEST_XDIST_WORKER', 'main')}"
    with (
        database.with_demo(name),
        product_module.running(database_name=name, awaits_stills=True) as running,
    ):
        yield running


def offered(owner: Page) -> str:
    """An offer of one piece; the link for its client."""
    owner.goto("/s/wickerlark/")
    take_enquiry(owner, "Guild supper", DAY)
    owner.get_by_role("link", name="Start a quote").first.click()
    starter = owner.get_by_role("heading", name=DESIGN, exact=True)
    owner.get_by_role("listitem").filter(has=starter).get_by_role("button", name="Use this design").click()
    expect(owner.locator("svg [data-part=garland]").first).to_be_visible()
    make_offer(owner)
    return owner.get_by_label("Link to copy").input_value()


def made(product: Product) -> None:
    """Wait for no worker where none has a renderer: put the stored picture in its place."""
    if not has_renderer():
        subprocess.run(
            [sys.executable, "-m", "tests.browser.stored_still"],
            check=True, cwd=CHECKOUT, env={**os.environ, **product.environment},
        )  # fmt: skip


def pictures_on_paper(page: Page) -> int:
    """How many pictures of points the offer's paper has."""
    link = page.get_by_role("link", name="Download as PDF")
    expect(link).to_be_visible(timeout=90_000)
    answer = page.request.get(str(link.get_attribute("href")))
    with pdfplumber.open(io.BytesIO(answer.body())) as pdf:
        return sum(len(sheet.images) for sheet in pdf.pages)


def test_a_picture_arrives_on_the_open_page_and_is_on_the_paper(awaiting: Product, browser: Browser) -> None:
    with visit(browser, awaiting.site, DESK) as owner, visit(browser, awaiting.site, PHONE) as client:
        sign_in(owner, INES)
        client.goto(offered(owner))
        still = client.locator("#shows img.client-still")
        expect(client.locator("#shows svg").first).to_be_attached()
        drawn = pictures_on_paper(client)
        assert still.count() == 0, "until it is there, the drawing is shown alone"
        made(awaiting)
        expect(still).to_be_visible(timeout=MOST_MS)
        assert still.evaluate("picture => picture.decode().then(() => picture.naturalWidth)") > 0
        for _ in range(60):
            if pictures_on_paper(client) != drawn:
                break
            client.wait_for_timeout(1000)
        assert pictures_on_paper(client) == drawn + 1
