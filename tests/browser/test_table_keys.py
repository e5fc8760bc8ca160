"""Keys at the drawing table: they go on where they were, and lists send what was chosen, not what was passed over."""

from __future__ import annotations

from playwright.sync_api import Browser, expect

from tests.browser.hands import Keys
from tests.browser.product import Product
from tests.browser.test_drawing_table import ACT, acted, open_empty, tile
from tests.browser.visitors import DESK, INES, sign_in, visit


def test_keys_pass_over_choices_without_an_act_for_each(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        open_empty(page)
        keys = Keys(page)
        keys.act(tile(page, "Arch"))
        sent: list[str] = []
        page.on(
            "request",
            lambda request: sent.append(str(request.post_data)) if ACT.search(request.url) else None,
        )
        keys.reach(page.get_by_label("Size"))
        page.keyboard.press("ArrowUp")
        page.keyboard.press("ArrowUp")
        assert not sent
        acted(page, lambda: page.keyboard.press("Tab"))
        keys.reach(page.get_by_label("Size"))
        page.keyboard.press("ArrowDown")
        acted(page, lambda: page.keyboard.press("Enter"))
        page.keyboard.press("Tab")
        keys.reach(page.get_by_label("Size"))
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowUp")
        page.keyboard.press("Tab")
        keys.act(tile(page, "Big round"))
        asked = [field for post in sent for field in post.split("&") if field.startswith("item=")]
        assert asked == ["item=frame-arch-5ft", "item=frame-arch-6ft"]


def test_keys_go_on_where_they_were_or_in_the_panel_that_was_asked_for(
    product: Product, browser: Browser
) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        open_empty(page)
        keys = Keys(page)
        keys.act(tile(page, "Ring"))
        expect(tile(page, "Ring")).to_be_focused()
        keys.press(tile(page, "Sign"))
        head = page.locator("#table-panel-head")
        expect(head).to_have_text("Hang a sign")
        expect(head).to_be_focused()
        keys.act(page.locator("#table-panel").get_by_role("button", name="Add"))
        expect(head).to_be_focused()
        keys.take("frame:frame-1")
        expect(head).to_be_focused()
