"""A piece is turned: by crew on the build sheet, step by step; by a client on a phone, who stands it in their room."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from PIL import Image
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.product import Product
from tests.browser.supplies import make_offer
from tests.browser.test_thin_job import take_enquiry
from tests.browser.visitors import DESK, INES, PHONE, sign_in, visit, with_graphics

TITLE = "Rope-makers' dance"
DESIGN = "Organic garland over two nested arches"
DAY = date.today() + timedelta(days=61)  # noqa: DTZ011 - a day far enough for any zone
SLOW_MS = 60_000
"""Software draws a frame in a tenth of a second or less, but not on a machine that is busy with other tests."""

READS_USDZ = "DOMTokenList.prototype.supports = (token) => token === 'ar'"
"""A browser says so that hands USDZ files to the phone's own viewer (Safari on iOS: relList.supports('ar'))."""


@pytest.fixture(scope="module")
def drawing(browser: Browser) -> Iterator[Browser]:
    """A browser with WebGL."""
    opened = with_graphics(browser)
    yield opened
    opened.close()


def quoted(owner: Page) -> str:
    """An enquiry with a quote; gives the quote's address."""
    owner.goto("/s/wickerlark/")
    take_enquiry(owner, TITLE, DAY)
    owner.get_by_role("link", name="Start a quote").first.click()
    starter = owner.get_by_role("heading", name=DESIGN, exact=True)
    owner.get_by_role("listitem").filter(has=starter).get_by_role("button", name="Use this design").click()
    expect(owner.locator("svg [data-part=garland]").first).to_be_visible()
    return owner.url


def turn(page: Page) -> Locator:
    """Ask for the model; gives the canvas that it is drawn on."""
    page.get_by_role("button", name="Turn it").first.click()
    canvas = page.locator("[data-shown] canvas").first
    expect(canvas).to_be_visible(timeout=SLOW_MS)
    return canvas


def seen(canvas: Locator) -> Image.Image:
    return Image.open(io.BytesIO(canvas.screenshot(timeout=SLOW_MS))).convert("RGB")


def colours(picture: Image.Image) -> int:
    """How many different tones are in the picture: a blank one has a handful."""
    return len(picture.getcolors(1_000_000) or [])


def test_crew_turn_the_piece_and_go_through_its_steps(product: Product, drawing: Browser) -> None:
    with visit(drawing, product.site, DESK) as page:
        sign_in(page, INES)
        quoted(page)
        page.get_by_role("link", name="Build sheet").click()
        canvas, says = turn(page), page.locator("[data-says]").first
        whole = seen(canvas)
        assert colours(whole) > 500
        canvas.press("ArrowRight")
        canvas.press("ArrowRight")
        page.wait_for_timeout(1500)
        assert seen(canvas).tobytes() != whole.tobytes(), "the arrow keys turn it"
        steps = page.locator("#steps-1 > li")
        words = page.locator("[data-step-words]").first
        expect(words).to_have_text("The whole piece")
        on = page.get_by_role("button", name="Next step").first
        told = []
        for number in range(1, steps.count() + 1):
            on.click()
            expect(words).to_have_text(re.compile(rf"^Step {number} of {steps.count()}: "))
            expect(page.locator("#steps-1 > [aria-current=step]")).to_have_count(1)
            told.append(seen(canvas))
        assert colours(told[0]) < colours(told[-1]), "what comes later is absent at first"
        expect(on).to_be_disabled()
        canvas.press("PageUp")
        expect(words).to_have_text(re.compile(rf"^Step {steps.count() - 1} of "))
        assert recipe_told(canvas, says)


def recipe_told(canvas: Locator, says: Locator) -> str:
    """Tap across the model until a balloon says its size, colour, recipe and place."""
    box = canvas.bounding_box()
    assert box
    for row in (0.3, 0.4, 0.5, 0.6, 0.7):
        for column in (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8):
            canvas.click(position={"x": column * box["width"], "y": row * box["height"]})
            text = says.inner_text()
            if re.search(r"\d+ in: (quad|filler|pair|triplet) [A-Z]+, .*from the start", text):
                return text
    return ""


def test_crew_on_a_phone_turn_the_piece_and_read_a_recipe(product: Product, drawing: Browser) -> None:
    with visit(drawing, product.site, DESK) as owner:
        sign_in(owner, INES)
        quoted(owner)
        owner.get_by_role("link", name="Build sheet").click()
        owner.wait_for_load_state()
        sheet = owner.url
    with visit(drawing, product.site, PHONE) as page:
        sign_in(page, INES)
        page.goto(sheet)
        canvas = turn(page)
        box = canvas.bounding_box()
        assert box
        assert box["width"] <= 390
        assert colours(seen(canvas)) > 500
        assert recipe_told(canvas, page.locator("[data-says]").first)


def test_a_client_turns_the_piece_on_a_phone_and_stands_it_in_the_room(
    product: Product, drawing: Browser
) -> None:
    with visit(drawing, product.site, DESK) as owner, visit(drawing, product.site, PHONE) as client:
        sign_in(owner, INES)
        quoted(owner)
        make_offer(owner)
        client.add_init_script(READS_USDZ)
        client.goto(owner.get_by_label("Link to copy").input_value())
        canvas = turn(client)
        assert colours(seen(canvas)) > 500
        box = canvas.bounding_box()
        assert box
        assert box["width"] <= 390
        with client.expect_download() as coming:
            client.get_by_role("button", name="In your room").first.tap()
        assert coming.value.suggested_filename.endswith(".usdz")
        with zipfile.ZipFile(coming.value.path()) as package:
            assert package.namelist()[0] == "model.usda"


def test_a_browser_without_webgl_says_so_and_keeps_the_picture(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
        sign_in(page, INES)
        quoted(page)
        page.get_by_role("link", name="Build sheet").click()
        page.get_by_role("button", name="Turn it").first.click()
        expect(page.locator("[data-says]").first).to_contain_text("This browser can’t show the model.")
        expect(page.locator("[data-turned] svg").first).to_be_visible()
        expect(page.get_by_role("button", name="Next step")).to_have_count(0)
