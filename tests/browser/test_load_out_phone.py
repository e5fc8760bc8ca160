"""The load-out list where the signal comes and goes: no tick that was shown is lost or counted twice."""

from __future__ import annotations

import re

from playwright.sync_api import Browser, Route, expect

from tests.browser.phones import all_sent, empty_van, keeps, kept, open_list, phone, ticks
from tests.browser.product import Product
from tests.browser.visitors import MARIT, TEO, sign_in
from tests.faults.phone_soak import list_not_loaded


def test_ticks_without_signal_are_kept_shown_and_sent_once(product: Product, browser: Browser) -> None:
    with phone(browser, product.site, MARIT) as one, phone(browser, product.site, TEO) as other:
        address = open_list(one)
        empty_van(one)
        one.context.set_offline(True)
        expect(one.locator("#load-words")).to_contain_text("No signal.")
        for number in range(3):
            ticks(one).nth(number).tap()
        expect(one.locator("#load-words")).to_have_text(
            "No signal. 3 ticks kept on this phone; they go when it is back."
        )
        expect(one.locator("#in-count")).to_have_text("3")
        expect(one.locator(".is-kept")).to_have_count(3)
        assert len(kept(one)) == 3

        # Meanwhile another phone, with signal, ticks one of the same lines.
        other.goto(address)
        expect(other.locator("#in-count")).to_have_text("0")
        ticks(other).nth(0).tap()
        all_sent(other)

        one.context.set_offline(False)
        all_sent(one)
        assert kept(one) == []
        expect(one.locator(".is-kept")).to_have_count(0)
        other.reload()
        expect(other.locator("#in-count")).to_have_text("3")
        expect(other.locator("#hands")).to_have_text(re.compile(r"Marit [23]"))
        empty_van(other)


def test_an_answer_lost_on_the_way_back_doubles_nothing(product: Product, browser: Browser) -> None:
    with phone(browser, product.site, MARIT) as page:
        open_list(page)
        empty_van(page)
        sent: list[str] = []

        def lose_first_answer(route: Route) -> None:
            request = route.request
            if request.method != "POST":
                route.continue_()
                return
            sent.append(str(request.post_data))
            answer = route.fetch()
            if len(sent) == 1:
                assert answer.status == 200
                route.abort()
            else:
                route.fulfill(response=answer)

        page.route("**/ticks", lose_first_answer)
        ticks(page).nth(0).tap()
        expect(page.locator("#load-words")).to_contain_text("1 tick kept on this phone")
        all_sent(page)
        assert len(sent) == 2
        assert sent[0] == sent[1], "the same tick under the same name"
        page.unroute("**/ticks")
        page.reload()
        expect(page.locator("#in-count")).to_have_text("1")
        empty_van(page)


def test_a_page_loaded_again_still_has_what_was_not_sent(product: Product, browser: Browser) -> None:
    with phone(browser, product.site, MARIT) as page:
        open_list(page)
        empty_van(page)
        page.route("**/ticks", lambda route: route.abort())
        ticks(page).nth(1).tap()
        expect(page.locator(".is-kept")).to_have_count(1)
        page.reload()
        expect(page.locator(".is-kept")).to_have_count(1)
        expect(page.locator("#in-count")).to_have_text("1")
        page.unroute("**/ticks")
        all_sent(page)
        empty_van(page)


def test_whoever_is_signed_out_is_told_and_keeps_the_ticks(product: Product, browser: Browser) -> None:
    with phone(browser, product.site, MARIT) as page:
        address = open_list(page)
        empty_van(page)
        page.context.clear_cookies()
        ticks(page).nth(0).tap()
        expect(page.locator("#load-words")).to_contain_text("You are signed out")
        expect(page.locator("#load-words")).to_contain_text("1 tick kept on this phone")
        sign_in(page, MARIT)
        page.goto(address)
        all_sent(page)
        expect(page.locator("#in-count")).to_have_text("1")
        empty_van(page)


def test_some_of_a_line_can_be_counted(product: Product, browser: Browser) -> None:
    with phone(browser, product.site, MARIT) as page:
        open_list(page)
        empty_van(page)
        row = page.locator("[data-line]").filter(has=page.locator(".tick-some")).first
        row.locator("summary").tap()
        row.get_by_label("How many are in").fill("1")
        row.get_by_role("button", name="Count", exact=True).tap()
        expect(row.locator(".tick")).to_have_attribute("aria-pressed", "mixed")
        expect(row.locator("[data-shown]")).to_contain_text("1 /")
        all_sent(page)
        page.reload()
        expect(row.locator("[data-shown]")).to_contain_text("1 /")
        row.locator("summary").tap()
        row.get_by_label("How many are in").fill("0")
        row.get_by_role("button", name="Count", exact=True).tap()
        all_sent(page)


def test_the_run_sheet_opens_without_signal_and_whom_to_ring_comes_with_it(
    product: Product, browser: Browser
) -> None:
    with phone(browser, product.site, TEO) as page:
        address = list_not_loaded(page)
        page.goto(address)
        page.get_by_role("link", name="Run sheet").tap()
        contact = page.locator("section", has=page.get_by_role("heading", name="Contact"))
        client = contact.locator(".stack-tight a[href^='tel:']").first
        expect(client).to_be_visible()
        rung = client.inner_text()
        keeps(page)
        page.context.set_offline(True)
        page.reload()
        expect(page.get_by_role("region", name="By the clock")).to_contain_text("Load the van")
        expect(contact.get_by_role("link", name="Who to call")).to_be_visible()
        expect(page.get_by_text(rung)).to_have_count(0)
        expect(page.get_by_role("alert")).to_have_count(0)
        page.context.set_offline(False)
        page.reload()
        expect(page.get_by_text(rung)).to_be_visible()
