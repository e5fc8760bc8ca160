"""From an invitation to the first priced offer that was sent, by somebody who has nothing yet."""

from __future__ import annotations

import re
import subprocess
import sys
import time
from urllib.parse import urlsplit

from playwright.sync_api import Browser, Locator, Page, expect

from studio.local.place import CHECKOUT
from tests.browser.product import Product
from tests.browser.visitors import DESK, visit

NORA, PASSWORD = "nora@kelp.example", "paper-lanterns-for-nine"
MOST_ACTS = 60


class Newcomer:
    """Presses and types, and counts both."""

    def __init__(self, page: Page) -> None:
        self.page, self.acts, self.fields = page, 0, 0

    def press(self, target: Locator) -> None:
        self.acts += 1
        target.click()

    def button(self, name: str) -> None:
        self.press(self.page.get_by_role("button", name=name, exact=True).first)

    def link(self, name: str) -> None:
        self.press(self.page.get_by_role("link", name=re.compile(name)).first)

    def write(self, label: str, text: str) -> None:
        self.acts, self.fields = self.acts + 1, self.fields + 1
        self.page.get_by_label(label, exact=True).first.fill(text)


def invitation(product: Product, email: str) -> str:
    command = [sys.executable, "manage.py", "invite_owner", email]
    done = subprocess.run(
        command, cwd=CHECKOUT, env=product.environment, check=True, capture_output=True, text=True
    )
    return urlsplit(done.stdout.split()[0]).path


def address_in_letter(product: Product, to: str) -> str:
    for _ in range(100):
        letter = next((each for each in product.letters() if f"To: {to}" in each), "")
        if found := re.search(r"/account/confirm-email/\S+", letter.replace("=\n", "")):
            return found[0]
        time.sleep(0.2)
    raise AssertionError("no letter came")


def make_account(product: Product, nora: Newcomer, email: str = NORA, name: str = "Nora Kelp") -> None:
    nora.page.goto(invitation(product, email))
    nora.link("Create an account")
    expect(nora.page.get_by_label("E-mail address")).to_have_value(email)
    nora.write("Your name", name)
    nora.write("Password", PASSWORD)
    nora.write("Confirm password", PASSWORD)
    nora.button("Create account")
    expect(nora.page.get_by_role("heading", name="Check your e-mail")).to_be_visible()
    nora.page.goto(address_in_letter(product, email))
    nora.press(nora.page.locator("main button").first)
    nora.write("E-mail address", email)
    nora.write("Password", PASSWORD)
    nora.button("Sign in")


def open_studio(nora: Newcomer, name: str = "Kelp & Paper") -> None:
    nora.write("Name of your studio", name)
    nora.page.get_by_label("Country").select_option("US")
    nora.acts, nora.fields = nora.acts + 1, nora.fields + 1
    nora.button("Open studio")
    expect(nora.page.get_by_text("First steps, 2 of 7: open")).to_be_visible()


def take_the_steps(nora: Newcomer) -> None:
    nora.write("Address optional", "4 Harbor Lane, Duluth")
    nora.button("Save brand")
    nora.link("Next: Set your tax")
    section = nora.page.locator("#taxes")
    section.get_by_label("Name").fill("Sales tax")
    section.get_by_label("Percent").fill("8.875")
    nora.acts, nora.fields = nora.acts + 2, nora.fields + 2
    nora.button("Add tax")
    nora.link("Next: Say what you have")
    nora.link("small studio")
    nora.button("Add these")
    nora.button("All of these are right")
    expect(nora.page.get_by_text("No usual costs left")).to_be_visible()
    nora.link("Next: Set your rates")
    nora.button("Save rates")
    nora.link("Next: Take your first enquiry")


def take_an_enquiry(nora: Newcomer) -> None:
    nora.write("Title", "Harvest supper")
    nora.write("Day", "2027-06-19")
    nora.write("Ready by", "16:00")
    nora.write("New client’s name", "Hanna Weiss")
    nora.page.locator("[name=client_email]").fill("hanna@weiss.example")
    nora.page.locator("[name=venue_name]").fill("Old Granary")
    nora.acts, nora.fields = nora.acts + 2, nora.fields + 2
    nora.button("Save enquiry")


def offer(nora: Newcomer) -> None:
    nora.link("Start a quote")
    design = nora.page.locator(".design", has_text=re.compile("nested arches", re.IGNORECASE))
    for _ in range(30):  # the worker brings the starters into a new studio
        if design.count():
            break
        nora.page.wait_for_timeout(2_000)
        nora.page.reload()
    nora.press(design.get_by_role("button", name="Use this design"))
    nora.button("Make an offer")
    expect(nora.page.get_by_role("heading", name="Offer 1: Harvest supper")).to_be_visible()


def test_a_blank_studio_sends_its_first_priced_offer(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        page.set_default_timeout(60_000)
        nora = Newcomer(page)
        make_account(product, nora)
        open_studio(nora)
        take_the_steps(nora)
        take_an_enquiry(nora)
        offer(nora)
        said = page.locator("main").inner_text()
        assert "Sales tax 8.875%" in said
        assert "$0.00" not in said
        for _ in range(300):
            if any("To: hanna@weiss.example" in each for each in product.letters()):
                break
            time.sleep(0.2)
        letter = next(each for each in product.letters() if "To: hanna@weiss.example" in each)
        assert "Kelp & Paper" in letter
        assert nora.acts <= MOST_ACTS, "acts, typing into a field being one"


def bring(page: Page, address: str, name: str, lines: list[str]) -> None:
    """Choose a file of those lines on that page of imports, and have it looked at."""
    page.goto(address)
    content = "\n".join(lines).encode()
    page.set_input_files("input[type=file]", {"name": name, "mimeType": "text/csv", "buffer": content})
    page.locator("main form button").first.click()


def test_a_studio_brings_its_clients_items_and_bookings(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        page.set_default_timeout(60_000)
        lio = Newcomer(page)
        make_account(product, lio, "lio@marsh.example", "Lio Marsh")
        open_studio(lio, "Marsh Decor")
        studio = re.match(r".*?/s/[^/]+/", page.url)
        assert studio
        people = [f"Ada {n},Reed,ada{n}@reed.example,(617) 555-{n + 100:04}" for n in range(300)]
        bring(
            page, f"{studio[0]}clients/import/", "people.csv", ["First name,Last name,E-mail,Phone", *people]
        )
        expect(page.get_by_text("300 new, 0 known already")).to_be_visible()
        lio.button("Add 300 clients")
        expect(page.get_by_text("300 clients added.")).to_be_visible()
        things = [f"Thing {n};tool;{n % 9 + 1};1.25;bay {n}" for n in range(500)]
        bring(page, f"{studio[0]}shelf/import/", "things.csv", ["Artikel;Art;Menge;Preis;Lagerort", *things])
        expect(page.get_by_role("heading", name="Which column says what")).to_be_visible()
        lio.button("Check the file")
        expect(page.get_by_text("500 to add, 0 to change")).to_be_visible(timeout=60_000)
        lio.button("Import")
        expect(page.get_by_text("500 added, 0 changed")).to_be_visible(timeout=60_000)
        jobs = [f"2031-06-{n + 1:02},4:00 pm,Ada {n} Reed,ada{n}@reed.example,Hall {n}" for n in range(20)]
        bring(page, f"{studio[0]}events/import/", "jobs.csv", ["Date,Time,Customer,E-mail,Location", *jobs])
        expect(page.get_by_text("20 new, 0 known already")).to_be_visible()
        lio.button("Add 20 events")
        expect(page.get_by_text("20 enquiries added.")).to_be_visible()
        page.goto(f"{studio[0]}clients/?find=ada7%40reed.example")
        expect(page.get_by_text("1 event")).to_be_visible()
