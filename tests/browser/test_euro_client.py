"""A client whose name is in other scripts than ours, and who pays by the code of the euro's banks."""

from __future__ import annotations

import io
import re
from datetime import date, timedelta

import pdfplumber
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from tests.browser.papers import invoice_paper
from tests.browser.product import Product
from tests.browser.supplies import make_offer
from tests.browser.visitors import DESK, JULE, PHONE, sign_in, visit

TITLE = "Feier für 林美玲 und 김지우"
CLIENT = "Ελένη Παπαδοπούλου, Ольга, 林美玲"
AGREES = "김지우 ไทย Ольга"
DAY = date.today() + timedelta(days=52)  # noqa: DTZ011 - a day far enough for any zone


def test_a_name_in_any_script_and_the_banks_code_reach_page_and_paper(
    product: Product, browser: Browser
) -> None:
    with visit(browser, product.site, DESK) as owner, visit(browser, product.site, PHONE) as client:
        sign_in(owner, JULE)
        event_address = take_enquiry(owner)
        owner.get_by_role("link", name="Start a quote").first.click()
        owner.get_by_role("button", name="Use this design").first.click()
        make_offer(owner)
        client.goto(owner.get_by_label("Link to copy").input_value())
        expect(client.get_by_role("heading", name=TITLE, level=1)).to_be_visible()
        client.locator("#agree").get_by_label("Ihr Name", exact=True).fill(AGREES)
        client.get_by_role("checkbox", name=re.compile("stimme dem Preis")).check()
        client.locator("#agree").get_by_role("button", name="Zustimmen", exact=True).click()
        expect(client.locator("#deposit .client-code svg")).to_be_visible()
        expect(client.locator("#deposit")).to_contain_text(re.compile(r"DE\d\d( \d{4}){4} \d\d"))
        assert fits_its_screen(client), "nothing of the account reaches over the edge of a phone"
        written = paper_of_deposit(owner, event_address)
    assert all(part in written for part in ("Ελένη Παπαδοπούλου", "Ольга", "林美玲", "김지우"))
    assert re.search(r"RF\d\d", written)


def take_enquiry(page: Page) -> str:
    """In metres, as this studio measures. Gives back the event's address."""
    page.get_by_role("link", name="Add enquiry").first.click()
    page.get_by_label("Title").fill(TITLE)
    page.get_by_label("Day", exact=True).fill(DAY.isoformat())
    page.get_by_label("Ready by").fill("16:00")
    page.get_by_label("New client’s name").fill(CLIENT)
    page.get_by_label("E-mail address").fill("eleni@example.org")
    page.get_by_label("Width wanted").fill("2.6 m")
    page.get_by_label("Height wanted").fill("220 cm")
    page.get_by_role("button", name="Save enquiry").click()
    expect(page.get_by_role("heading", name=TITLE, level=1)).to_be_visible()
    return page.url


def fits_its_screen(page: Page) -> bool:
    """Whether nothing must be moved sideways to be read."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"))


def paper_of_deposit(owner: Page, event_address: str) -> str:
    """The words of the deposit's invoice; each of its letters has a font in the file."""
    owner.goto(event_address)
    owner.get_by_role("link", name=re.compile("^Deposit")).click()
    raw = invoice_paper(owner)
    for page in PdfReader(io.BytesIO(raw)).pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index] # pypdf's objects
            inner = font.get_object()["/DescendantFonts"][0].get_object()
            assert "/FontFile2" in inner["/FontDescriptor"] or "/FontFile3" in inner["/FontDescriptor"]
    with pdfplumber.open(io.BytesIO(raw)) as pdf:
        letters = [letter for sheet in pdf.pages for letter in sheet.chars]
        assert not [letter["text"] for letter in letters if "(cid:" in letter["text"]]
        return "\n".join(sheet.extract_text() for sheet in pdf.pages)
