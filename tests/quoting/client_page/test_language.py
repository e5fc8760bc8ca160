"""The language of what a client reads: every sentence of ours can be translated, and is in German."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from django.template.loader import render_to_string
from pytest_django import Settings

from events.models import Client as StudioClient
from quoting.invoices import issuing
from quoting.invoices import pdf as invoice_pdf
from quoting.models import Choice, ClientView, Invoice, Offer, OfferState, Rates
from quoting.offers import document, offering
from quoting.offers import pdf as offer_pdf
from quoting.offers.offering import Offered
from quoting.quotes import sketch
from studio.paper import pdf
from tests import pseudo
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.offer_scenes import as_shown, open_link
from tests.quoting.quotes.test_options import line

pytestmark = pytest.mark.django_db

BANK = ("IBAN", "BIC", "RF")


def german(house: House) -> Offered:
    """An offer to a client who reads German: options, every line of the price, counts and hours."""
    with house.enter():
        quote = line(offer_scenes.quote(house), "Birch plinths", "64.99", Choice.OFF)
        StudioClient.objects.update(language="de")
        Rates.objects.update(client_view=ClientView.FULL, clients_see_counts=True, clients_see_hours=True)
        (piece,) = quote.pieces.all()
        quote = sketch.set_options(quote.pk, {f"florals-{piece.pk}": Choice.ON}, version=quote.version)
        quote = sketch.set_way(quote.pk, distance_m=90_000, drive_minutes=80, trips=2, version=quote.version)
        return offering.offer(quote)


def typed(house: House, offer: Offer) -> list[str]:
    """What people typed, and the names of things: nobody translates those."""
    quoted, studio = document.read_offer(offer.frozen).quote, house.studio
    colours = [
        colour["name"]
        for piece in quoted.pieces
        for colour in piece.design["palette"]  # type: ignore[attr-defined]
    ]  # A design is JSON.
    return [
        studio.name, studio.phone, studio.email, quoted.title, quoted.client, quoted.event.title,
        quoted.event.place, *colours, *(piece.name for piece in quoted.pieces), *(bill.label for bill in quoted.bill),
        *(bill.label[:1].lower() + bill.label[1:] for bill in quoted.bill),
        *(tax.name for tax in quoted.taxes), "Ada Adeyo", "Birch plinths", "arch frame", "Arch frame",
        *pseudo.CALENDAR, *BANK,
    ]  # fmt: skip


def of_paper(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Papers as HTML, as they are made from now on."""
    made: list[str] = []

    def rendered(template: str, context: Mapping[str, object], **_: object) -> bytes:
        made.append(render_to_string(template, dict(context)))
        return b"%PDF-"

    monkeypatch.setattr(pdf, "rendered", rendered)
    return made


def test_every_sentence_of_the_open_page_can_be_translated(wickerlark: House, marked: None) -> None:
    made = german(wickerlark)
    browser, address = open_link(made.address)
    page = browser.get(address).content.decode()
    assert "⟦Options⟧" in page
    assert pseudo.unmarked(page, typed(wickerlark, made.offer)) == []
    refused = browser.post(address + "agree", {"option": "z"}).content.decode()
    assert pseudo.unmarked(refused, typed(wickerlark, made.offer)) == []


def test_every_sentence_of_the_agreed_page_can_be_translated(wickerlark: House, marked: None) -> None:
    made = german(wickerlark)
    browser, address = open_link(made.address)
    browser.post(address + "agree", as_shown(made.offer))
    page = browser.get(address).content.decode()
    assert "⟦Your agreement⟧" in page
    assert pseudo.unmarked(page, typed(wickerlark, made.offer)) == []


@pytest.mark.parametrize(
    "state", [OfferState.REPLACED, OfferState.WITHDRAWN, OfferState.DECLINED, OfferState.LAPSED]
)
def test_every_sentence_of_a_closed_offer_can_be_translated(
    wickerlark: House, marked: None, state: OfferState
) -> None:
    made = german(wickerlark)
    browser, address = open_link(made.address)
    with wickerlark.enter():
        offering.close(offering.locked(made.offer.pk), state)
    page = browser.get(address)
    assert page.status_code == 410
    assert pseudo.unmarked(page.content.decode(), typed(wickerlark, made.offer)) == []


def test_every_sentence_on_paper_can_be_translated(
    wickerlark: House, marked: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    papers, made = of_paper(monkeypatch), german(wickerlark)
    browser, address = open_link(made.address)
    with wickerlark.enter():
        offer_pdf.make(made.offer.pk)
    browser.post(address + "agree", as_shown(made.offer))
    with wickerlark.enter():
        offer_pdf.make_agreed(made.offer.pk)
        issuing.issue_balance(Offer.objects.select_related("quote__event__client").get(pk=made.offer.pk))
        for invoice in Invoice.objects.all():
            invoice_pdf.make(invoice.pk)
    assert len(papers) >= 4
    for paper in papers:
        assert pseudo.unmarked(paper, typed(wickerlark, made.offer)) == []


def test_a_german_client_reads_german_days_hours_and_amounts(wickerlark: House) -> None:
    made = german(wickerlark)
    browser, address = open_link(made.address)
    page = browser.get(address).content.decode()
    assert '<html lang="de"' in page
    assert "$" in page
    for words in ("Angebot für", "Gültig bis", "Anzahlung", "Lieferung, Aufbau und Abbau sind enthalten"):
        assert words in page
    # CLDR writes amounts of a German reader with a comma, and the clock to 24.
    with wickerlark.enter():
        total = f"{made.offer.total:.2f}".replace(".", ",")
    assert f"{total}\xa0$" in page
    assert " pm" not in page
    assert "\xa0pm" not in page


def test_the_office_and_other_clients_go_on_reading_english(wickerlark: House) -> None:
    made = german(wickerlark)
    page = wickerlark.client().get(
        wickerlark.url("quoting:offer", made.offer.pk), headers={"Accept-Language": "de"}
    )
    assert '<html lang="en"' in page.content.decode()
    with wickerlark.enter():
        StudioClient.objects.update(language="en")
    browser, address = open_link(made.address)
    assert "Valid until" in browser.get(address, headers={"Accept-Language": "de"}).content.decode()


def test_a_language_written_from_the_right_is_told_to_the_browser(
    wickerlark: House, settings: Settings
) -> None:
    settings.LANGUAGES_BIDI = ["de"]
    browser, address = open_link(german(wickerlark).address)
    assert '<html lang="de" dir="rtl"' in browser.get(address).content.decode()
