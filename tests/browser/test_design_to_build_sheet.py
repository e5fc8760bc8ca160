"""A design on its way: a file that is wrong, mended and kept, sketched, fitted to a low room, explained, built from."""

from __future__ import annotations

import io
import json
import os
import re
from collections import Counter
from datetime import date, timedelta
from typing import Any

import pdfplumber
from playwright.sync_api import Browser, FilePayload, Page, expect

from tests.browser.product import Product
from tests.browser.test_thin_job import take_enquiry
from tests.browser.visitors import DESK, INES, sign_in, visit

TITLE = "Net-menders' breakfast"
NAME = f"Two arches for the net loft, {os.getpid()}"
"""Another at each run, as a product that runs already keeps the last one."""
DAY = date.today() + timedelta(days=80)  # noqa: DTZ011 - a day far enough for any zone
STARTER = "Organic garland over two nested arches"


def test_a_design_goes_from_a_file_to_a_build_sheet_that_adds_up(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as owner:
        sign_in(owner, INES)
        keep_from_file(owner, downloaded(owner))
        owner.goto("/s/wickerlark/")
        take_enquiry(owner, TITLE, DAY)
        owner.get_by_role("link", name="Start a quote").first.click()
        design = owner.get_by_role("listitem").filter(has=owner.get_by_role("heading", name=NAME, exact=True))
        design.get_by_role("button", name="Use this design").click()
        expect(owner.locator("svg [data-part=garland]").first).to_be_visible()
        fit_into_a_low_room(owner)
        needed = explained(owner)
        owner.get_by_role("link", name="Build sheet").click()
        expect(owner.locator("ol.stringing").first).to_be_visible()
        assert sized(owner) == needed, "every balloon of the quote is sized by the build sheet"
        assert_the_string_takes_every_quad(owner)
        assert_the_paper_says_the_same(owner)


def downloaded(page: Page) -> dict[str, Any]:
    """The file of a starter, as the page gives it."""
    page.goto("/s/wickerlark/designs/")
    page.get_by_role("link", name=STARTER, exact=True).click()
    with page.expect_download() as coming:
        page.get_by_role("link", name="Download the file").click()
    design: dict[str, Any] = json.loads(coming.value.path().read_text("utf-8"))
    return design


def as_file(design: dict[str, Any]) -> FilePayload:
    """A design as a file that somebody picks."""
    return {"name": "loft.json", "mimeType": "application/json", "buffer": json.dumps(design).encode()}


def keep_from_file(page: Page, design: dict[str, Any]) -> None:
    """Bring it in with shares that don't add up, read where that is, mend it, see it, keep it."""
    spoilt = json.loads(json.dumps(design))
    spoilt["palette"][0]["share"] += 0.2
    page.goto("/s/wickerlark/designs/file/")
    page.locator("input[type=file]").set_input_files(as_file(spoilt))
    page.get_by_role("button", name="Check").click()
    told = page.get_by_role("alert")
    expect(told).to_contain_text("palette")
    expect(told).to_contain_text("Nothing was saved.")
    page.locator("input[type=file]").set_input_files(as_file(design))
    page.get_by_role("button", name="Check").click()
    expect(page.locator("svg [data-part=garland]").first).to_be_visible()
    page.get_by_label("Name", exact=True).fill(NAME)
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("heading", name=NAME, level=1)).to_be_visible()


def fit_into_a_low_room(page: Page) -> None:
    """Seven feet four high: what is too tall says why, what fits is taken and comes out lower than that."""
    page.get_by_text("Prep and site").click()
    page.get_by_role("link", name="Fit to the site").click()
    page.get_by_label("Clear height", exact=True).fill("7 ft 4 in")
    page.get_by_label("Ceiling", exact=True).fill("7 ft 6 in")
    page.get_by_role("button", name="Find best fit", exact=True).click()
    refused = page.get_by_role("region", name="Tried")
    expect(refused.locator(".words-short").first).to_contain_text(re.compile("high|ceiling"))
    page.get_by_role("button", name="Use this").click(timeout=60_000)  # every design is tried on the frames
    height = page.get_by_label("Height", exact=True).input_value()
    feet, inches = re.fullmatch(r"(\d+) ft(?: (\d+).*)?", height).groups(default="0")  # type: ignore[union-attr]
    assert int(feet) * 12 + int(inches) <= 7 * 12 + 4


def explained(page: Page) -> Counter[str]:
    """Open every balloon's line: its number is the sum of what its words name. Gives the balloons by size."""
    needed: Counter[str] = Counter()
    expect(page.get_by_role("link", name="Build sheet")).to_be_visible()
    for line in page.get_by_role("region", name="Garland", exact=True).locator(".count-line").all():
        label, number = line.locator("summary span").last.inner_text(), int(line.locator("b").inner_text())
        if label.endswith(" 260"):
            continue
        line.locator("summary").click()
        why = line.locator("p")
        expect(why).to_be_visible()
        words = why.inner_text()
        assert words.endswith(f"= {number}."), words
        needed[label.split()[-2]] += number
    return needed


def sized(page: Page) -> Counter[str]:
    """What the sizing rings are for, by nominal size."""
    rings: Counter[str] = Counter()
    table = page.get_by_role("table").first
    for row in table.locator("tbody tr").all():
        cells = row.locator("td.number")
        if cells.count():
            rings[row.locator("th").inner_text().split(" in")[0]] += int(cells.last.inner_text())
    return rings


def assert_the_string_takes_every_quad(page: Page) -> None:
    """The order on the string has no gap, quads at the ends are listed apart, and every recipe is taken as often as it
    is made."""
    made = {
        row.locator(".recipe-name").inner_text(): int(row.locator(".recipe-count").inner_text().split()[0])
        for row in page.locator(".recipes li").filter(has_not=page.locator(".recipe-kind")).all()
    }
    taken, first = end_quads(page), 0
    assert taken, "a garland that ends somewhere has quads there"
    at = 0
    for run in page.locator("ol.stringing").first.locator("li").all():
        numbers = [int(number) for number in re.findall(r"\d+", run.locator("small").inner_text())]
        first = first or numbers[0]
        assert numbers[0] == (at + 1 if at else first)
        at = numbers[-1]
        taken[run.locator("b").inner_text()] += at - numbers[0] + 1
    assert made
    assert taken == made
    assert at == sum(made.values()) - (first - 1), "as many quads at the one end as at the other"


def end_quads(page: Page) -> Counter[str]:
    """How often each recipe is tied in at an end."""
    ends = page.locator("section").filter(has=page.get_by_role("heading", name="End quads, tied in on site"))
    rows = [row.inner_text() for row in ends.last.locator(".places li").all()]
    found: Counter[str] = Counter()
    for row in rows:
        name, count = re.match(r"(\S+)(?: × (\d+))? at ", row).groups()  # type: ignore[union-attr]
        found[name] += int(count or 1)
    return found


def assert_the_paper_says_the_same(page: Page) -> None:
    """The worker makes the PDF; its words hold every recipe with its count."""
    recipes = [re.sub(r"\s+", " ", row.inner_text()) for row in page.locator(".recipes li").all()]
    page.get_by_role("button", name="Make a PDF").click()
    made = page.get_by_role("link", name="Open the PDF")
    expect(made).to_be_visible(timeout=60_000)
    answer = page.request.get(made.get_attribute("href") or "")
    assert answer.ok
    with pdfplumber.open(io.BytesIO(answer.body())) as pdf:
        words = " ".join(re.sub(r"\s+", " ", sheet.extract_text()) for sheet in pdf.pages)
    for recipe in recipes:
        name, count = re.match(r"(\S+) (\d+) ×", recipe).groups()  # type: ignore[union-attr]
        assert re.search(rf"\b{name} {count} ×", words), recipe
