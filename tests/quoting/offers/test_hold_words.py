"""What the office reads of the stock behind an offer, from the day it is sent until the event is called off."""

from __future__ import annotations

import pytest

from events.jobs import calling_off
from quoting.models import Offer
from quoting.offers import offering
from quoting.offers.hold_words import hold_words
from quoting.offers.keeping import find_kept
from stock.holds import holds
from stock.ledger import movements
from stock.models import Item, Kind, MovementKind
from tests.people import House
from tests.quoting.client_page.test_views import text_of
from tests.quoting.invoice_scenes import say_yes
from tests.quoting.offer_scenes import offered
from tests.quoting.offers.test_tentative_holds import two_offers

pytestmark = pytest.mark.django_db


def said_of(house: House, offer: Offer) -> str:
    with house.enter():
        found = offering.find(offer.pk)
        return hold_words(found, find_kept(found))


def test_an_open_offer_holds_until_its_date_or_has_lost_its_hold(wickerlark: House) -> None:
    made = offered(wickerlark)
    assert said_of(wickerlark, made.offer) == "frames and covers, until then"
    with wickerlark.enter():
        offering.let_go(made.offer.pk)
    assert said_of(wickerlark, made.offer) == "released: the first client to agree gets the pieces"
    with wickerlark.enter():
        offering.withdraw(made.offer.pk)
    assert said_of(wickerlark, made.offer) == "no longer"


def test_of_two_offers_for_one_cover_the_second_holds_only_some(wickerlark: House) -> None:
    _, second = two_offers(wickerlark)
    assert said_of(wickerlark, second.offer) == "only some of the frames and covers, until then"


def test_what_was_agreed_is_reserved_until_the_event_is_called_off(wickerlark: House) -> None:
    offer = say_yes(wickerlark, offered(wickerlark).offer)
    assert said_of(wickerlark, offer).startswith("reserved for the event")
    page = text_of(wickerlark.client().get(wickerlark.url("quoting:offer", offer.pk)).content)
    assert "On hold reserved for the event" in page
    with wickerlark.enter():
        calling_off.call_off(offer.quote.event_id)
    assert said_of(wickerlark, offer) == "no longer"


def test_what_was_lost_since_is_still_to_get(wickerlark: House) -> None:
    offer = say_yes(wickerlark, offered(wickerlark).offer)
    with wickerlark.enter():
        frame = Item.objects.filter(kind=Kind.FRAME, hold_lines__hold=offer.quote.event.hold_id).first()
        assert frame is not None
        there = movements.balances([frame.pk])[frame.pk]
        movements.write_off(frame.pk, there, kind=MovementKind.LOST, key="stolen")
    assert frame.name in said_of(wickerlark, offer).partition("; still to get: ")[2]


def test_a_hold_that_ended_is_not_claimed(wickerlark: House) -> None:
    offer = say_yes(wickerlark, offered(wickerlark).offer)
    with wickerlark.enter():
        holds.release(offer.quote.event.hold_id or 0, key="gone")
    assert said_of(wickerlark, offer) == "not everything that was agreed is reserved"
