"""A client's request for a change waits for the studio where the day's decisions are, until it is dealt with."""

from __future__ import annotations

import pytest
from django.core import mail

from events.crew import calls
from events.jobs import calling_off
from events.models import Event
from quoting.models import Offer, Quote, QuoteState
from quoting.offers import offering
from studio.models import OutboxEntry
from studio.tasks import send_mail
from tests.events.crew.test_refusals import assign
from tests.people import House
from tests.quoting.client_page.test_views import text_of
from tests.quoting.invoice_scenes import say_yes
from tests.quoting.offer_scenes import as_shown, offered, open_link
from tests.quoting.offers.test_sending import EVERYWHERE, NOWHERE

pytestmark = pytest.mark.django_db
WISH = {"wish-words": "More ink, please", "wish-name": "Ada Adeyo"}


def pages(house: House, offer: Offer, role: str = "owner") -> dict[str, bool]:
    """Where the studio reads that the client asked for a change."""
    with house.enter():
        event_id = Quote.objects.get(pk=offer.quote_id).event_id
    addresses = {
        "week": house.url("events:week"),
        "event": house.url("events:event", event_id),
        "quotes": house.url("quoting:quotes"),
    }
    browser = house.client(role)
    seen = {name: text_of(browser.get(address).content).lower() for name, address in addresses.items()}
    return {
        name: "waits for you" in text and "ada adeyo asked for a change" in text
        for name, text in seen.items()
    }


def test_a_request_waits_on_week_event_and_list_and_is_mailed(wickerlark: House) -> None:
    made = offered(wickerlark)
    assert pages(wickerlark, made.offer) == NOWHERE
    browser, address = open_link(made.address)
    browser.post(address + "change", WISH)
    assert pages(wickerlark, made.offer) == EVERYWHERE
    assert pages(wickerlark, made.offer, "staff") == EVERYWHERE
    assert pages(wickerlark, made.offer, "crew") == NOWHERE
    with wickerlark.enter():
        entry = OutboxEntry.objects.get(arguments__template="offer_change")
    send_mail(studio_id=wickerlark.studio.pk, entry_id=entry.pk)
    (letter,) = mail.outbox
    assert letter.to == [wickerlark.owner.email]
    assert "More ink, please" in str(letter.body)


@pytest.mark.parametrize("then", ["a newer version", "agreed", "withdrawn and set aside", "called off"])
def test_a_request_that_was_dealt_with_waits_for_nobody(wickerlark: House, then: str) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    browser.post(address + "change", WISH)
    with wickerlark.enter():
        quote = Quote.objects.get(pk=made.offer.quote_id)
        if then == "a newer version":
            offering.offer(quote, after_version=made.offer.version)
        elif then == "withdrawn and set aside":
            offering.withdraw(made.offer.pk)
            Quote.objects.filter(pk=quote.pk).update(state=QuoteState.SET_ASIDE)
        elif then == "called off":
            calling_off.call_off(quote.event_id)
    if then == "agreed":
        browser.post(address + "agree", as_shown(made.offer))
    assert pages(wickerlark, made.offer) == NOWHERE


def test_a_no_of_the_crew_waits_on_the_list_of_quotes_too(wickerlark: House) -> None:
    made = offered(wickerlark)
    offer = say_yes(wickerlark, made.offer)
    words = f"waits for you: {wickerlark.crew.name} said no to load out and install"
    quotes = wickerlark.url("quoting:quotes")
    assert words not in text_of(wickerlark.client().get(quotes).content)
    with wickerlark.enter():
        event = Event.objects.get(quotes=offer.quote_id)
        call = assign(wickerlark, event, "crew")
        calls.ask(event.pk)
    with wickerlark.enter("crew"):
        calls.answer(call.pk, yes=False)
    assert words in text_of(wickerlark.client().get(quotes).content)
    with wickerlark.enter():
        for role in ("owner", "staff"):
            assign(wickerlark, event, role)
    assert words not in text_of(wickerlark.client().get(quotes).content)
