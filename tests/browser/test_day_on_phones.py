"""The day of an event on two phones in a cellar: loaded, installed, struck, counted back, and what the ledger says."""

from __future__ import annotations

import io
import os
import re

import psycopg
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from tests.browser.phones import all_sent, kept, phone, ready, ticks
from tests.browser.product import Product
from tests.browser.visitors import DESK, INES, MARIT, TEO, sign_in, visit
from tests.faults.phone_soak import list_not_loaded

NO_SIGNAL = re.compile("No signal")


def photo() -> dict[str, object]:
    """A picture as a camera gives it: larger than what is kept."""
    out = io.BytesIO()
    Image.effect_noise((2400, 1800), 60).convert("RGB").save(out, "JPEG", quality=90)
    return {"name": "IMG_0001.JPG", "mimeType": "image/jpeg", "buffer": out.getvalue()}


def rows(page: Page) -> int:
    return ticks(page).count()


def press_those_left(page: Page, places: range) -> None:
    """Press every line of these places that isn't in yet."""
    for place in places:
        if ticks(page).nth(place).get_attribute("aria-pressed") != "true":
            ticks(page).nth(place).tap()
            expect(ticks(page).nth(place)).to_have_attribute("aria-pressed", "true")


def movements(title: str) -> list[tuple[str, int]]:
    """What the ledger says of broken and lost things under that label."""
    with psycopg.connect(os.environ["BACKUP_DATABASE_URL"]) as connection:
        return connection.execute(
            "SELECT kind, quantity FROM stock_movement WHERE label = %s AND kind IN ('broken', 'lost')",
            [title],
        ).fetchall()


def test_from_the_cellar_to_the_count(product: Product, browser: Browser) -> None:
    with phone(browser, product.site, MARIT) as one, phone(browser, product.site, TEO) as other:
        address = list_not_loaded(one)
        title = load_without_signal(one, other, address)
        install_and_strike_without_signal(one)
        count_back_without_signal(other, address.replace("load-out", "count-back"))
        assert movements(title) == [("broken", -1)]

    with visit(browser, product.site, DESK) as owner:
        sign_in(owner, INES)
        owner.goto(address.replace("load-out/", ""))
        expect(owner.locator("[aria-current=step]")).to_contain_text("counted back")
        expect(owner.get_by_role("region", name="Said and done")).to_contain_text("Broken: 1 × ")
        day = owner.get_by_role("region", name="On the day")
        expect(day.get_by_role("img", name="Photo of")).to_have_count(1)
        day.get_by_role("img", name="Photo of").scroll_into_view_if_needed()
        owner.wait_for_function("document.querySelector('#the-day img').naturalWidth === 1600")
        day.get_by_role("link", name="What came back").click()
        expect(owner.locator("[data-line]").filter(has_text="1 broken")).to_have_count(1)


def load_without_signal(one: Page, other: Page, address: str) -> str:
    """Each phone ticks half; both halves arrive, and each phone sees them. Gives back the event's title."""
    for page in (one, other):
        page.goto(address)
        ready(page)
        page.context.set_offline(True)
        expect(page.locator("#load-words")).to_have_text(NO_SIGNAL)
    title = one.locator(".page-line a").first.inner_text()
    half = rows(one) // 2
    press_those_left(one, range(half))
    press_those_left(other, range(half, rows(other)))
    other.get_by_role("button", name="Van is loaded").tap()
    expect(other.get_by_role("button", name="Installed")).to_be_visible()
    other.reload()
    expect(other.get_by_role("button", name="Installed")).to_be_visible()
    assert len(kept(other)) >= 1
    for page in (one, other):
        page.context.set_offline(False)
        all_sent(page)
    for page in (one, other):
        expect(page.locator("#in-count")).to_have_text(str(rows(page)), timeout=40_000)
    return title


def install_and_strike_without_signal(page: Page) -> None:
    """A photo, a name, two steps; all of it waits on the phone and then arrives."""
    expect(page.get_by_role("button", name="Installed")).to_be_visible(timeout=40_000)
    page.context.set_offline(True)
    page.locator("#id_photo").set_input_files(
        {"name": "x.jpg", "mimeType": "image/jpeg", "buffer": b"no photo at all"}
    )
    expect(page.locator("#photo-fault")).to_have_text("This file is no photo that the phone can read.")
    page.locator("#id_photo").set_input_files(photo())  # type: ignore[arg-type]
    expect(page.get_by_role("img", name="Photo kept on this phone")).to_be_visible()
    assert 10_000 < next(entry["photoBytes"] for entry in kept(page) if entry["photoBytes"]) < 3_000_000
    page.get_by_label("Handed over to").fill("Mrs Quay")
    page.get_by_role("button", name="Installed").tap()
    page.get_by_role("button", name="Struck").tap()
    expect(page.get_by_role("link", name="Count back", exact=True)).to_be_visible()
    page.reload()
    expect(page.get_by_role("img", name="Photo kept on this phone")).to_be_visible()
    expect(page.locator("[data-done=installed]")).to_contain_text("Handed over to Mrs Quay")
    page.context.set_offline(False)
    all_sent(page)


def count_back_without_signal(page: Page, address: str) -> None:
    """Everything back or used, but one frame broken; the ledger gets it once there is signal."""
    page.goto(address)
    ready(page)
    page.context.set_offline(True)
    expect(page.locator("#load-words")).to_have_text(NO_SIGNAL)
    frame = page.locator("[data-line]").filter(has_text="Arch frame").first
    page.get_by_role("button", name="Count back").tap()
    expect(page.locator("#closing")).to_have_text(f"{rows(page)} lines are still to be counted")
    press_those_left(page, range(rows(page)))
    went_out = int(frame.get_attribute("data-out") or "0")
    frame.locator("summary").tap()
    frame.get_by_label("back").fill(str(went_out - 1))
    frame.get_by_label("broken").fill("1")
    frame.get_by_role("button", name="Count", exact=True).tap()
    expect(frame).to_contain_text("1 broken")
    page.get_by_role("button", name="Count back").tap()
    expect(page.get_by_text("Counted back", exact=True)).to_be_visible()
    assert len(kept(page)) >= rows(page)
    page.context.set_offline(False)
    all_sent(page)
    page.reload()
    expect(page.get_by_text("Counted back", exact=True)).to_be_visible()
