"""The offer's page, its PDF, its e-mail and the invoice say the same lines, and what was offered stays so."""

from __future__ import annotations

import io
import re
from email import message_from_bytes, policy
from html.parser import HTMLParser

import pytest
from django.core import mail
from pypdf import PdfReader

from quoting import tasks
from quoting.invoices import issuing
from quoting.invoices.document_presenter import present_invoice
from quoting.models import ClientView, Offer, Quote, Rates
from quoting.offers import offering, sending
from quoting.offers.document_presenter import present_offer
from quoting.pricing.rates import rates_of
from quoting.quotes import sheet, sketch
from stock.models import Item, Kind
from studio.models import OutboxEntry
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.invoice_scenes import say_yes
from tests.quoting.offer_scenes import open_link

pytestmark = pytest.mark.django_db
Lines = list[tuple[str, str]]


class Rows(HTMLParser):
    """Rows of tables: the text of each cell."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "tr":
            self.rows.append([])
        elif tag in ("td", "th") and self.rows:
            self.rows[-1].append("")
        elif tag in ("small", "br") and self.rows and self.rows[-1]:
            self.rows[-1][-1] += " "

    def handle_data(self, data: str) -> None:
        if self.rows and self.rows[-1]:
            self.rows[-1][-1] += data


def rows_of(page: str) -> Lines:
    reader = Rows()
    reader.feed(page)
    return [(" ".join(row[0].split()), " ".join(row[1].split())) for row in reader.rows if len(row) == 2]


def offered_with(house: House, view: ClientView, *, counts: bool = False, step: int = 5) -> offering.Offered:
    """Two pieces, a discount line, and this much to see."""
    with house.enter():
        rates = rates_of(house.studio)
        rates.client_view, rates.clients_see_counts, rates.rounding_step = view, counts, step
        rates.save()
        quote = offer_scenes.with_gaps(house)
        quote = sketch.add_piece(quote.pk, scenes.starter(house.studio).pk, version=quote.version)
        quote = sketch.set_way(quote.pk, distance_m=9000, drive_minutes=15, trips=2, version=quote.version)
        offer_scenes.plan_all(quote)
        for item in Item.objects.filter(kind=Kind.COVER):
            scenes.put(item, 1)
        return offering.offer(sheet.find_quote(quote.pk))


def letter_of(house: House, offer: Offer) -> tuple[str, str]:
    """Plain text and HTML of the e-mail, as the standard library's parser reads what is sent."""
    mail.outbox.clear()
    with house.enter():
        sending.mail_again(offer.pk, press="once", without_hold=True)
        entry = OutboxEntry.objects.filter(task="quoting.mail_offer").latest("pk")
    tasks.mail_offer(studio_id=house.studio.pk, entry_id=entry.pk)
    parsed = message_from_bytes(mail.outbox[-1].message().as_bytes(), policy=policy.default)
    plain, rich = parsed.get_body(("plain",)), parsed.get_body(("html",))
    assert plain is not None
    assert rich is not None
    return str(plain.get_content()), str(rich.get_content())


def paper_of(house: House, offer: Offer) -> str:
    with house.enter():
        entry = OutboxEntry.objects.get(key=f"offer-pdf-{offer.pk}")
    tasks.render_offer_pdf(studio_id=house.studio.pk, entry_id=entry.pk)
    with house.enter():
        file = Offer.objects.get(pk=offer.pk).pdf
        assert file is not None
        reader = PdfReader(io.BytesIO(bytes(file.content)))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize("view", ClientView)
def test_page_paper_letter_and_invoice_say_the_same_lines(wickerlark: House, view: ClientView) -> None:
    made = offered_with(wickerlark, view)
    shown = present_offer(made.offer.frozen)
    wanted: Lines = [(f"{line.label} {line.detail}".strip(), line.amount) for line in shown.lines]
    assert len(wanted) >= 3

    browser, address = open_link(made.address)
    page = rows_of(browser.get(address).content.decode())
    assert page[: len(wanted)] == wanted

    plain, rich = letter_of(wickerlark, made.offer)
    assert rows_of(rich)[: len(wanted)] == wanted
    listed = re.findall(r"^(.+): (\$[\d,.]+)$", plain, re.MULTILINE)
    assert [(label.replace(" (", " ").removesuffix(")"), amount) for label, amount in listed][
        : len(wanted)
    ] == wanted

    paper = paper_of(wickerlark, made.offer)
    place = 0
    for label, amount in wanted:
        place = paper.index(f"{label} {amount}", place) + 1

    offer = say_yes(wickerlark, made.offer)
    with wickerlark.enter():
        invoice = present_invoice(issuing.issue_balance(offer).frozen)
    assert [(f"{line.label} {line.detail}".strip(), line.amount) for line in invoice.lines] == wanted
    assert (invoice.net, invoice.total) == (shown.net, shown.total)


@pytest.mark.parametrize("view", ClientView)
def test_counts_of_balloons_stand_nowhere_unless_chosen(wickerlark: House, view: ClientView) -> None:
    made = offered_with(wickerlark, view)
    browser, address = open_link(made.address)
    page = browser.get(address).content.decode()
    said = " ".join([page, *letter_of(wickerlark, made.offer), paper_of(wickerlark, made.offer)])
    assert not re.search(r"\d+ balloons", said)
    assert not re.search(r"\d+(\.\d)? h\b", said)


def test_counts_are_told_where_the_studio_chose_so(wickerlark: House) -> None:
    made = offered_with(wickerlark, ClientView.FULL, counts=True)
    browser, address = open_link(made.address)
    assert re.search(r"Garland|garland, \d+ balloons", browser.get(address).content.decode())
    assert re.search(r"\d+ balloons", paper_of(wickerlark, made.offer))


def test_one_quote_may_show_more_than_the_studio_usually_does(wickerlark: House) -> None:
    first = offered_with(wickerlark, ClientView.PIECE)
    with wickerlark.enter():
        Quote.objects.filter(pk=first.offer.quote_id).update(client_view=ClientView.GROUP)
        second = offering.offer(sheet.find_quote(first.offer.quote_id))
    assert second.made, "it reads otherwise, so it is another version"
    labels = [line.label for line in present_offer(second.offer.frozen).lines]
    assert labels[:2] == ["Materials", "Frames and covers"]


def test_what_was_offered_stays_as_it_was_whatever_the_studio_chooses_later(wickerlark: House) -> None:
    made = offered_with(wickerlark, ClientView.PIECE)
    before = present_offer(made.offer.frozen)
    with wickerlark.enter():
        Rates.objects.update(client_view=ClientView.FULL, clients_see_counts=True, rounding_step=10)
    browser, address = open_link(made.address)
    page = rows_of(browser.get(address).content.decode())
    assert page[: len(before.lines)] == [(line.label, line.amount) for line in before.lines]
