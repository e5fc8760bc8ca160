"""One phone, two people: nobody signs out unawares, and nothing is sent in another's name."""

from __future__ import annotations

from playwright.sync_api import Browser, Dialog, Page, expect

from tests.browser.phones import all_sent, kept, phone, ready, ticks
from tests.browser.product import Product
from tests.browser.visitors import MARIT, TEO, sign_in
from tests.faults.phone_soak import list_not_loaded

KEPT_PAGES = """async () => (await (await caches.open("billowbook-pages")).keys())
  .map((request) => new URL(request.url).pathname)"""

LINE_OF_MANY = """() => [...document.querySelectorAll("[data-line]")]
  .find((row) => Number(row.dataset.quantity) > 4).dataset.line"""


def test_signing_out_warns_and_what_waits_goes_only_as_its_own_person(
    product: Product, browser: Browser
) -> None:
    asked: list[str] = []
    answers = [False, True]

    def answer(dialog: Dialog) -> None:
        asked.append(dialog.message)
        if answers.pop(0):
            dialog.accept()
        else:
            dialog.dismiss()

    with phone(browser, product.site, MARIT) as page:
        address = list_not_loaded(page)
        page.goto(address)
        ready(page)
        page.route("**/phone/signed-in", lambda route: route.abort())
        before = ticks(page).nth(0).get_attribute("aria-pressed")
        ticks(page).nth(0).tap()
        expect(ticks(page).nth(0)).not_to_have_attribute("aria-pressed", before or "")
        (waits,) = kept(page)
        page.on("dialog", answer)

        page.locator("details.menu > summary").tap()
        page.get_by_role("button", name="Sign out").tap()
        page.wait_for_timeout(500)
        assert page.url.endswith(address), "not signed out"
        page.get_by_role("button", name="Sign out").tap()
        page.wait_for_url(lambda url: "/load-out/" not in url)
        assert len(asked) == 2
        assert asked[0].startswith("1 thing on this phone is not sent yet.")
        left = set(page.evaluate(KEPT_PAGES))
        assert left == {"/phone/without-signal/", "/phone/reads/"}, "no page of the studio is left behind"
        page.unroute("**/phone/signed-in")

        sign_in(page, TEO)
        page.goto(address)
        ready(page)
        expect(page.locator("#load-words")).to_contain_text(
            "1 tick of somebody else waits on this phone and goes when they sign in here."
        )
        assert [entry["uuid"] for entry in kept(page)] == [waits["uuid"]]
        assert ticks(page).nth(0).get_attribute("aria-pressed") == before, "not shown as Teo's"

        page.context.clear_cookies()
        sign_in(page, MARIT)
        page.goto(address)
        ready(page)
        assert "of somebody else" not in page.locator("#load-words").inner_text(), "her own page at once"
        all_sent(page)
        expect(ticks(page).nth(0)).not_to_have_attribute("aria-pressed", before or "")


def test_nobody_reads_without_signal_what_was_kept_for_another(product: Product, browser: Browser) -> None:
    with phone(browser, product.site, MARIT) as page:
        marits = list_not_loaded(page)
        page.goto(marits)
        ready(page)
        assert is_shown_without_signal(page, marits)

        # Her session ends elsewhere: nobody signs out on this phone.
        page.context.clear_cookies()
        sign_in(page, TEO)
        assert not is_shown_without_signal(page, marits)

        page.goto(marits)
        ready(page)
        assert is_shown_without_signal(page, marits), "Teo opened it himself"
        page.goto(marits)
        sign_out(page)
        assert not is_shown_without_signal(page, marits)


def is_shown_without_signal(page: Page, address: str) -> bool:
    """Whether that list opens while the network is off."""
    page.context.set_offline(True)
    page.goto(address)
    shown = page.locator("[data-line]").count() > 0
    assert shown or page.get_by_role("heading", name="No connection").count(), page.content()
    page.context.set_offline(False)
    return shown


def sign_out(page: Page) -> None:
    page.locator("details.menu > summary").tap()
    page.get_by_role("button", name="Sign out").tap()
    page.wait_for_url(lambda url: "/load-out/" not in url)


def test_two_counts_that_did_not_know_of_each_other_are_both_shown_until_one_settles_it(
    product: Product, browser: Browser
) -> None:
    with phone(browser, product.site, MARIT) as one, phone(browser, product.site, TEO) as other:
        address = list_not_loaded(one)
        for page in (one, other):
            page.goto(address)
            ready(page)
            page.context.set_offline(True)
        line = one.evaluate(LINE_OF_MANY)
        for page, count in ((one, 1), (other, 2)):
            row = page.locator(f"[data-line='{line}']")
            row.locator("summary").tap()
            row.get_by_label("How many are in").fill(str(count))
            row.get_by_role("button", name="Count", exact=True).tap()
            expect(row.locator("[data-shown]")).to_contain_text(f"{count} /")
        for page in (one, other):
            page.context.set_offline(False)
            all_sent(page)
        row = one.locator(f"[data-line='{line}']")
        expect(row.locator("[data-rivals]")).to_contain_text("Marit counted 1 at", timeout=40_000)
        expect(row.locator("[data-shown]")).to_contain_text("2 /")
        row.locator(".tick").tap()
        all_sent(one)
        expect(row.locator("[data-rivals]")).to_have_text("")
