"""After an event is called off: its offers close, its client is told, and nothing counts it as open."""

from __future__ import annotations

from decimal import Decimal

import pytest

from events.jobs import calling_off
from quoting import tasks
from quoting.models import Offer, OfferState, Quote
from quoting.quotes.likelihood import outlook
from studio.models import OutboxEntry
from tests.people import House
from tests.quoting.client_page.test_views import text_of
from tests.quoting.invoice_scenes import deposit_of, pay, say_yes
from tests.quoting.offer_scenes import as_shown, offered, open_link

pytestmark = pytest.mark.django_db


def call_off(house: House, offer: Offer) -> None:
    """As the owner, and then the worker follows."""
    with house.enter():
        calling_off.call_off(Quote.objects.get(pk=offer.quote_id).event_id)
        entry = OutboxEntry.objects.filter(task="quoting.close_called_off").latest("pk")
    tasks.close_called_off(studio_id=house.studio.pk, entry_id=entry.pk)


def letters(house: House) -> list[str]:
    with house.enter():
        sent = OutboxEntry.objects.filter(
            task="studio.send_mail", arguments__context__subject__icontains="was called off"
        )
        return [entry.arguments["to"] for entry in sent]


def test_an_open_offer_is_withdrawn_and_its_page_says_why(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    call_off(wickerlark, made.offer)
    with wickerlark.enter():
        assert Offer.objects.get().state == OfferState.WITHDRAWN
    page = browser.get(address)
    assert page.status_code == 410
    assert "This event was called off" in text_of(page.content)
    assert browser.post(address + "agree", as_shown(made.offer)).status_code == 409
    assert letters(wickerlark) == [made.offer.client_email]


def test_the_page_closes_before_the_worker_has_followed(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    with wickerlark.enter():
        calling_off.call_off(Quote.objects.get(pk=made.offer.quote_id).event_id)
    assert "This event was called off" in text_of(browser.get(address).content)
    assert browser.post(address + "agree", as_shown(made.offer)).status_code == 409


def test_a_client_who_paid_reads_that_it_was_called_off_and_gets_a_letter(wickerlark: House) -> None:
    made = offered(wickerlark)
    offer = say_yes(wickerlark, made.offer)
    with wickerlark.enter():
        pay(deposit_of(offer))
    call_off(wickerlark, offer)
    browser, address = open_link(made.address)
    seen = text_of(browser.get(address).content)
    assert "This event was called off. Nothing is reserved for it any more." in seen
    assert "will contact you about anything you paid" in seen
    for claim in ("reserved for you", "kept for you", "What happens next", "Agreed for"):
        assert claim not in seen
    assert letters(wickerlark) == [offer.client_email]


def test_an_event_that_was_restored_before_the_worker_came_keeps_its_offer(wickerlark: House) -> None:
    made = offered(wickerlark)
    with wickerlark.enter():
        event_id = Quote.objects.get(pk=made.offer.quote_id).event_id
        calling_off.call_off(event_id)
        calling_off.take_up_again(event_id)
        entry = OutboxEntry.objects.get(task="quoting.close_called_off")
    tasks.close_called_off(studio_id=wickerlark.studio.pk, entry_id=entry.pk)
    with wickerlark.enter():
        assert Offer.objects.get().state == OfferState.OPEN
    assert letters(wickerlark) == []


def test_a_called_off_quote_is_neither_open_nor_likely(wickerlark: House) -> None:
    made = offered(wickerlark)
    with wickerlark.enter():
        assert outlook().worth == made.offer.total
        calling_off.call_off(Quote.objects.get(pk=made.offer.quote_id).event_id)
        assert (outlook().worth, outlook().likely) == (Decimal(0), Decimal(0))
    owner = wickerlark.client()
    link = wickerlark.url("quoting:quote", made.offer.quote_id)
    assert link not in owner.get(wickerlark.url("quoting:quotes")).content.decode()
    everything = owner.get(wickerlark.url("quoting:quotes"), {"show": "all"}).content.decode()
    assert link in everything
    assert "event called off" in everything
