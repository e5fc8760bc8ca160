"""The main job end to end, by the people who do it: enquiry, sketch, offer, agreement, held stock, loaded van."""

from __future__ import annotations

import io
import re
from collections import Counter
from datetime import date, timedelta

import pdfplumber
from playwright.sync_api import Browser, Page, expect

from tests.browser.product import Product
from tests.browser.visitors import DESK, INES, MARIT, PHONE, sign_in, visit

TITLE = "Ropemakers' anniversary"
DESIGN = "Organic garland over two nested arches"
DAY = date.today() + timedelta(days=45)  # noqa: DTZ011 - a day far enough for any zone
KIT = {"first-aid-box", "hand-pump", "along-scissors", "along-tape", "ladder-6ft"}
"""What goes along to balloons; the ladder since the piece is higher than 2.2 m."""
FOREIGN_SPACES = str.maketrans({"\u00a0": " ", "\u202f": " "})


def test_the_whole_job_from_the_call_to_the_loaded_van(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as owner:
        sign_in(owner, INES)
        let_clients_see_counts(owner)
        event_address = take_enquiry(owner)
        total = sketch(owner)
        takes = what_it_takes(owner)
        link, offered_counts = offer(owner, total)
        assert offered_counts
        paper = pdf_text(owner)
        assert total in paper
        assert TITLE.replace("'", "’") in paper or TITLE in paper
        for count, label in offered_counts:
            assert re.search(rf"\b{count}\b[^\n]*{re.escape(label)}", paper), (count, label)

        with visit(browser, product.site, PHONE) as client:
            agree(client, link, total)
            assert shown_counts(client) == offered_counts
            says_so_when_opened_again(client, link)

        owner.goto(event_address)
        expect(owner.get_by_role("region", name="Reserved stock")).to_contain_text("Arch frame")
        expect(owner.locator("[aria-current=step]")).to_contain_text("agreed")

    with visit(browser, product.site, PHONE) as crew:
        sign_in(crew, MARIT)
        load_van(crew, event_address, takes)


def let_clients_see_counts(page: Page) -> None:
    """As a studio may choose; usually a client reads no counts. The page stays where it is."""
    back = page.url
    page.goto("/s/wickerlark/settings/what-clients-see/")
    page.get_by_label("Show how many balloons there are").check()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("Saved. New offers show it")).to_be_visible()
    page.goto(back)


def take_enquiry(page: Page, title: str = TITLE, day: date = DAY) -> str:
    """On the call: who, what, when, how big. Gives back the event's address."""
    page.get_by_role("link", name="Add enquiry").click()
    page.get_by_label("Title").fill(title)
    page.get_by_label("Day", exact=True).fill(day.isoformat())
    page.get_by_label("Ready by").fill("16:00")
    page.get_by_label("New client’s name").fill("Guild of Ropemakers")
    page.get_by_label("E-mail address").fill("guild@ropemakers.example")
    page.get_by_label("Width wanted").fill("wide")
    page.get_by_label("Height wanted").fill("7'6\"")
    page.get_by_role("button", name="Save enquiry").click()
    expect(page.get_by_text("is no length")).to_be_visible()
    expect(page.get_by_label("Title")).to_have_value(title)
    expect(page.get_by_label("Day", exact=True)).to_have_value(day.isoformat())
    page.get_by_label("Width wanted").fill("9 ft 2 in")
    page.get_by_role("button", name="Save enquiry").click()
    expect(page.get_by_role("heading", name=title, level=1)).to_be_visible()
    return page.url


def sketch(page: Page) -> str:
    """Start from a design, make it fuller and smaller; everything follows in place. Gives back the total."""
    page.get_by_role("link", name="Start a quote").first.click()
    design = page.get_by_role("listitem").filter(has=page.get_by_role("heading", name=DESIGN, exact=True))
    design.get_by_role("button", name="Use this design").click()
    expect(page.locator("svg [data-part=garland]").first).to_be_visible()
    first = total_of(page)
    type_width(page, "8 ft 6 in")
    expect(page.locator("main")).to_contain_text("version 2")
    smaller = total_of(page)
    assert smaller != first
    type_width(page, "40 ft")
    expect(page.locator("main [aria-invalid=true]").first).to_be_visible()
    assert total_of(page) == smaller, "what no frame can make changes nothing"
    type_width(page, "8 ft 6 in")
    expect(page.locator("main [aria-invalid=true]")).to_have_count(0)
    line = page.get_by_role("button", name=re.compile("^Garland"))
    line.focus()
    expect(page.locator("svg .part-garland").first).to_be_visible()
    return total_of(page)


def type_width(page: Page, text: str) -> None:
    """As a person does: into the ruler's number, and Enter. The answer has been swapped in when this returns."""
    field = page.get_by_label("Width", exact=True)
    field.select_text()
    field.press_sequentially(text)
    with page.expect_response(re.compile("/alter/$")):
        field.press("Enter")


def total_of(page: Page) -> str:
    """The total on the tape, as written."""
    row = page.get_by_role("row", name=re.compile("^Total"))
    return row.get_by_role("cell").inner_text().strip()


def offer(page: Page, total: str) -> tuple[str, list[tuple[str, str]]]:
    """Offer it; gives back the client's link and the balloons it names, if clients see counts."""
    page.get_by_role("button", name="Make an offer", exact=True).click()
    link = page.get_by_label("Link to copy").input_value()
    assert total_of(page) == total
    with visit(page.context.browser, origin(link), DESK) as reader:  # type: ignore[arg-type] # it has one
        reader.goto(link)
        assert "/o/" not in reader.url, "the token is gone from the address"
        counts = shown_counts(reader)
    return link, counts


def origin(link: str) -> str:
    """Scheme and host of a link."""
    return "/".join(link.split("/")[:3])


def shown_counts(page: Page) -> list[tuple[str, str]]:
    """Number and name of every balloon that the client's page names."""
    return [
        (row.locator("b, strong").first.inner_text().strip(), label_of(row.inner_text()))
        for row in page.locator("ul.counts li").all()
    ]


def label_of(text: str) -> str:
    """What follows the number."""
    return " ".join(text.translate(FOREIGN_SPACES).split()).split(" ", 1)[1]


def pdf_text(page: Page) -> str:
    """The words of the PDF, once the worker has made it."""
    link = page.get_by_role("link", name=re.compile("PDF"))
    expect(link).to_be_visible(timeout=60_000)
    address = link.get_attribute("href")
    assert address
    answer = page.request.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    with pdfplumber.open(io.BytesIO(answer.body())) as pdf:
        return "\n".join(sheet.extract_text() for sheet in pdf.pages).translate(FOREIGN_SPACES)


def agree(page: Page, link: str, total: str) -> None:
    """The client reads it on a phone and agrees: with a name and a tick, and not without."""
    page.goto(link)
    assert total_of(page) == total
    page.get_by_role("button", name="Agree", exact=True).click()
    expect(page.locator("[aria-invalid=true]").first).to_be_visible()
    page.locator("#agree").get_by_label("Your name", exact=True).fill("Ada Hemp")
    page.get_by_role("checkbox", name=re.compile("I agree to the price")).check()
    page.get_by_role("button", name="Agree", exact=True).click()
    expect(page.get_by_role("heading", name="Your agreement")).to_be_visible()


def says_so_when_opened_again(page: Page, link: str) -> None:
    """The link stays readable, and there is nothing left to press."""
    page.goto(link)
    expect(page.get_by_role("button", name="Agree", exact=True)).to_have_count(0)


def what_it_takes(page: Page) -> dict[str, str]:
    """Everything that the quote page counts, spares included: name and number."""
    rows = page.locator("[data-code]").all()
    assert len(rows) > 10
    return {row.get_attribute("data-code") or "": row.locator("summary b").inner_text() for row in rows}


def load_van(page: Page, event_address: str, takes: dict[str, str]) -> None:
    """Crew find the list, see no price anywhere, tick everything; another look finds it ticked."""
    page.goto(event_address)
    assert "$" not in page.locator("main").inner_text()
    page.get_by_role("link", name=re.compile("Load")).first.click()
    expect(page.locator("[data-line]").first).to_be_visible()
    assert "$" not in page.locator("main").inner_text()
    lines = page.locator("[data-line]")
    total = lines.count()
    listed = {
        line.get_attribute("data-code") or "": line.get_attribute("data-quantity") for line in lines.all()
    }
    spare = {code: number for code, number in listed.items() if code.startswith("spare:")}
    assert spare, "spares stand beside what the piece needs"
    brought: Counter[str] = Counter()
    for code, quantity in listed.items():
        brought[code.removeprefix("spare:")] += int(quantity or 0)
    whole = {code: str(count) for code, count in brought.items() if code not in KIT}
    assert whole == takes, "the list in the van shows the numbers of the quote"
    assert set(brought) - set(takes) == KIT
    for number in range(total):
        lines.nth(number).locator("button").first.tap()
    expect(page.get_by_text(f"{total} of {total} in")).to_be_visible()
    expect(page.get_by_role("status").first).to_contain_text("All sent")
    page.reload()
    expect(page.get_by_text(f"{total} of {total} in")).to_be_visible()
