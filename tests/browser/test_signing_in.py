"""Signing in and out in a real browser."""

from __future__ import annotations

from playwright.sync_api import Browser, expect

from tests.browser.product import Product
from tests.browser.visitors import DESK, INES, sign_in, visit


def test_an_owner_signs_in_and_out(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        expect(page).to_have_url(f"{product.site}/s/wickerlark/")
        page.locator(".menu > summary").click()
        page.get_by_role("button", name="Sign out").click()
        page.wait_for_url("**/account/**")
        page.goto("/s/wickerlark/")
        expect(page).to_have_url(f"{product.site}/account/login/?next=/s/wickerlark/")


def test_a_wrong_password_says_so_and_keeps_the_address(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        page.goto("/account/login/")
        page.get_by_label("E-mail address").fill(INES)
        page.get_by_label("Password", exact=True).fill("not-the-password")
        page.get_by_role("button", name="Sign in", exact=True).click()
        expect(page.get_by_text("not correct", exact=False)).to_be_visible()
        expect(page.get_by_label("E-mail address")).to_have_value(INES)
