"""A free line that takes off the whole total: a gift is offered and agreed, and nothing is ever asked for it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoting.invoices import issuing
from quoting.invoices.invoiced import CannotInvoice
from quoting.models import FreeLine, Invoice, Offer, OfferState, Quote
from quoting.offers import offering
from quoting.quotes import sheet, sketch
from quoting.set_pieces.faults import CannotSketch
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.invoice_scenes import say_yes
from tests.quoting.offer_scenes import as_shown, open_link

pytestmark = pytest.mark.django_db
CENT = Decimal("0.01")


def with_taken_off(house: House, more: Decimal) -> Quote:
    """A quote whose last line takes off its whole net and so much more; call it inside the studio."""
    quote = offer_scenes.quote(house)
    net = sheet.read_sheet(quote, house.studio).whole_tape.net
    return sketch.add_free_line(
        quote.pk,
        label="Ours",
        quantity=Decimal(1),
        unit_price=-net - more,
        tax_id=None,
        version=quote.version,
    )


def test_a_cent_more_than_the_total_is_refused_and_nothing_kept(wickerlark: House) -> None:
    with wickerlark.enter():
        with pytest.raises(CannotSketch) as refused:
            with_taken_off(wickerlark, CENT)
        assert refused.value.faults == {
            "unit_price": ["That takes off more than there is: the total would fall below zero."]
        }
        quote = Quote.objects.get()
        assert not FreeLine.objects.exists()
        assert quote.priced_total is not None
        assert quote.priced_total > 0
        assert quote.version == 1


def test_exactly_the_total_is_a_gift_that_is_offered_and_agreed(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = with_taken_off(wickerlark, Decimal(0))
        assert (quote.priced_net, quote.priced_total) == (Decimal(0), Decimal(0))
        made = offering.offer(sheet.find_quote(quote.pk), word=offer_scenes.word_for(quote))
    browser, address = open_link(made.address)
    page = browser.get(address)
    assert page.status_code == 200
    assert "$0.00" in page.content.decode()
    answer = browser.post(address + "agree", as_shown(made.offer))
    assert answer.status_code == 302
    assert browser.get(address).status_code == 200
    with wickerlark.enter():
        offer = Offer.objects.get(pk=made.offer.pk)
        assert offer.state == OfferState.AGREED
        assert offer.quote.event.is_agreed
        assert not Invoice.objects.exists()
        with pytest.raises(CannotInvoice, match="nothing left to invoice"):
            issuing.issue_balance(offer)


def test_the_owner_s_pages_of_a_gift_open(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = with_taken_off(wickerlark, Decimal(0))
        offer = offering.offer(sheet.find_quote(quote.pk), word=offer_scenes.word_for(quote)).offer
    say_yes(wickerlark, offer)
    client = wickerlark.client()
    addresses = [wickerlark.url("quoting:quote", quote.pk), wickerlark.url("quoting:invoices")]
    assert [client.get(address).status_code for address in addresses] == [200, 200]
