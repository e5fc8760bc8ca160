"""An event from agreed to counted back: planned, called, run by the sheet, and its day on two phones in a cellar."""

from __future__ import annotations

import io
import re
from datetime import date, timedelta
from email import message_from_string, policy

from PIL import Image
from playwright.sync_api import Browser, Page, expect

from tests.browser.phones import all_sent, kept, mark, phone, ready, ticks
from tests.browser.product import Product
from tests.browser.test_thin_job import agree, offer, sketch, take_enquiry
from tests.browser.visitors import DESK, INES, MARIT, PHONE, TEO, sign_in, visit

TITLE = "Cellar masters' tasting"
DAY = date.today() + timedelta(days=52)  # noqa: DTZ011 - a day far enough for any zone
SAY_YES = "Answer yes or no:"
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


def movements(product: Product, title: str) -> list[tuple[str, int]]:
    """What the ledger says of broken and lost things under that label."""
    with product.connect_backup() as connection:
        return connection.execute(
            "SELECT kind, quantity FROM stock_movement WHERE label = %s AND kind IN ('broken', 'lost')",
            [title],
        ).fetchall()


def test_an_event_is_planned_called_loaded_installed_struck_and_counted_back(
    product: Product, browser: Browser
) -> None:
    with visit(browser, product.site, DESK) as owner:
        sign_in(owner, INES)
        event = agreed_event(owner)
        crew = accept_plan(owner, event)
        assert len(crew) > 1
        call_crew(product, owner, event, crew)
        read_run_sheet(owner, event, crew)

    with phone(browser, product.site, MARIT) as one, phone(browser, product.site, TEO) as other:
        load_without_signal(one, other, f"{event}load-out/")
        install_and_strike_without_signal(one)
        assert movements(product, TITLE) == []
        count_back_without_signal(other, f"{event}count-back/")
        assert movements(product, TITLE) == [("broken", -1)]

    with visit(browser, product.site, DESK) as owner:
        sign_in(owner, INES)
        owner.goto(event)
        expect(owner.locator("[aria-current=step]")).to_contain_text("counted back")
        expect(owner.get_by_role("region", name="Notes and history")).to_contain_text("Broken: 1 × ")
        day = owner.get_by_role("region", name="On the day")
        expect(day.get_by_role("img", name="Photo of")).to_have_count(1)
        day.get_by_role("img", name="Photo of").scroll_into_view_if_needed()
        expect(day.get_by_role("img", name="Photo of")).to_have_js_property("naturalWidth", 1600)
        day.get_by_role("link", name="Returned items and hours worked").click()
        expect(owner.locator("[data-line]").filter(has_text="1 broken")).to_have_count(1)


def agreed_event(owner: Page) -> str:
    """Asked for, sketched, offered, and agreed to by the client. Gives back its address."""
    event = take_enquiry(owner, TITLE, DAY)
    total = sketch(owner)
    link, _ = offer(owner, total)
    with visit(owner.context.browser, owner.url.partition("/s/")[0], PHONE) as client:  # type: ignore[arg-type]
        agree(client, link, total)
    return event


def accept_plan(owner: Page, event: str) -> list[str]:
    """The days around it are planned, and the proposal is taken. Gives back the names of who works on it."""
    owner.goto("/s/wickerlark/plan/")
    owner.get_by_label("From", exact=True).fill(DAY.isoformat())
    owner.get_by_label("Until, that day included").fill(DAY.isoformat())
    owner.get_by_role("button", name="Plan", exact=True).click()
    accept = owner.get_by_role("button", name="Accept selected")
    expect(accept).to_be_visible(timeout=60_000)
    expect(owner.get_by_role("row", name=re.compile(TITLE.replace("'", ".")))).to_have_count(3)
    accept.click()
    expect(owner.get_by_text("3 assigned.")).to_be_visible()
    owner.goto(f"{event}crew/")
    on_it = {line.inner_text() for line in owner.locator(".crew-shifts .line-main").all()}
    drivers = owner.locator(".crew-shifts .line-sub").filter(has_text="drives")
    expect(drivers).to_have_count(2)
    return sorted(on_it)


def call_crew(product: Product, owner: Page, event: str, crew: list[str]) -> None:
    """One letter to each; the link in it leads to a page that takes a yes, without signing in."""
    before = len(product.letters())
    owner.get_by_role("button", name="Call by e-mail").click()
    told = owner.get_by_text(re.compile("^Called: "))
    expect(told).to_be_visible()
    assert all(name in told.inner_text() for name in crew)
    letters: list[str] = []
    for _ in range(150):
        letters = [letter for letter in product.letters()[before:] if SAY_YES in letter]
        if len(letters) == len(crew):
            break
        owner.wait_for_timeout(200)
    assert len(letters) == len(crew)
    for letter in letters:
        say_yes(owner, link_in(letter))
    owner.goto(f"{event}crew/")
    answers = owner.locator(".crew-shifts .line-sub")
    assert answers.count() >= len(crew)
    expect(answers.filter(has_text="said yes")).to_have_count(answers.count())


def link_in(letter: str) -> str:
    """The link of a call's letter."""
    body = message_from_string(letter, policy=policy.default).get_body(("plain",))
    assert body is not None
    found = re.search(r"https?://\S+", body.get_content().partition(SAY_YES)[2])
    assert found is not None
    return found[0]


def say_yes(owner: Page, link: str) -> None:
    """On a phone that nobody is signed in on: yes to every stretch."""
    with visit(owner.context.browser, owner.url.partition("/s/")[0], PHONE) as called:  # type: ignore[arg-type]
        called.goto(link)
        yes = called.get_by_role("button", name="Yes, I’ll come")
        left = yes.count()
        assert left
        while left:
            yes.first.tap()
            left -= 1
            expect(yes).to_have_count(left)
        expect(called.get_by_text("You said yes.").first).to_be_visible()


def read_run_sheet(owner: Page, event: str, crew: list[str]) -> None:
    """By the clock, with everybody's name; the paper is a PDF."""
    owner.goto(f"{event}run-sheet/")
    clock = owner.get_by_role("region", name="By the clock")
    for words in ("Load the van", "Ready by", "Strike from", "Unload, count back, put away"):
        expect(clock).to_contain_text(words)
    for name in crew:
        expect(owner.get_by_role("region", name="Who")).to_contain_text(name)
    owner.get_by_role("button", name="Make a PDF").click()
    there = owner.get_by_role("link", name="Open the PDF")
    expect(there).to_be_visible(timeout=30_000)
    expect(there).to_be_focused()
    paper = owner.request.get(f"{there.get_attribute('href')}")
    assert paper.body().startswith(b"%PDF-")


def load_without_signal(one: Page, other: Page, address: str) -> None:
    """Each phone ticks half; both halves arrive, and each phone sees them."""
    for page in (one, other):
        page.goto(address)
        ready(page)
        page.context.set_offline(True)
        expect(page.locator("#load-words")).to_have_text(NO_SIGNAL)
    half = rows(one) // 2
    press_those_left(one, range(half))
    press_those_left(other, range(half, rows(other)))
    mark(other, "Van is loaded")
    expect(other.get_by_role("button", name="Installed")).to_be_visible()
    other.reload()
    expect(other.get_by_role("button", name="Installed")).to_be_visible()
    assert len(kept(other)) >= 1
    for page in (one, other):
        page.context.set_offline(False)
        all_sent(page)
    for page in (one, other):
        expect(page.locator("#in-count")).to_have_text(str(rows(page)), timeout=40_000)


def install_and_strike_without_signal(page: Page) -> None:
    """A photo, a name, two steps; all of it waits on the phone and then arrives."""
    expect(page.get_by_role("button", name="Installed")).to_be_visible(timeout=40_000)
    page.context.set_offline(True)
    page.locator("#id_photo").set_input_files(
        {"name": "x.jpg", "mimeType": "image/jpeg", "buffer": b"no photo at all"}
    )
    expect(page.locator("#photo-fault")).to_have_text("This file is no photo that the phone can read.")
    page.locator("#id_photo").set_input_files(photo())  # type: ignore[arg-type] # a mapping of the right keys
    expect(page.get_by_role("img", name="Photo kept on this phone")).to_be_visible()
    assert 10_000 < next(entry["photoBytes"] for entry in kept(page) if entry["photoBytes"]) < 3_000_000
    page.get_by_label("Handed over to").fill("Mrs Quay")
    mark(page, "Installed")
    mark(page, "Struck")
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
    # The taller one: the studio owns more of it than the other events need.
    frame = page.locator("[data-line]").filter(has_text="Arch frame").last
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
