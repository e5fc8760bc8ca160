"""Agreed, swapped, lost, called off, refunded: every screen of an event and its client tells the same story."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest

from events.booking import stages
from events.jobs import calling_off
from events.models import Event, Stage
from quoting.invoices import called_off
from quoting.models import Offer
from stock.catalogue.items import Material
from stock.holds import holds
from stock.holds.availability import shortages
from stock.ledger import movements
from stock.models import HoldLine, Item
from studio.measures.times import Window
from tests import shelf
from tests.people import House
from tests.quoting.client_page.test_views import text_of
from tests.quoting.invoice_scenes import deposit_of, pay, say_yes
from tests.quoting.offer_scenes import offered, open_link

pytestmark = pytest.mark.django_db
SWAPPED = "navy 11 in"
OFF = "called off"
DECIDE = "waits for you: decide about the payments"


class Screens:
    """Every screen on which the event can be read, as the owner and the client read it."""

    def __init__(self, house: House, offer: Offer, link: str) -> None:
        self.house, self.owner = house, house.client()
        self.client, self.client_address = open_link(link)
        with house.enter():
            self.event = Event.objects.get(quotes=offer.quote_id)
        quote, event = offer.quote_id, self.event.pk
        day = self.event.ready_by.astimezone(house.studio.tz).date().isoformat()
        self.addresses = {
            "quote": house.url("quoting:quote", quote),
            "event": house.url("events:event", event),
            "list": house.url("events:load-out", event),
            "run sheet": house.url("events:run-sheet", event),
            "build sheet": house.url("quoting:build-sheet", quote),
            "hold": house.url("stock:hold", self.event.hold_id),
            "buy": house.url("stock:purchase-list"),
            "week": house.url("events:week") + f"?day={day}",
        }

    def read(self, *names: str) -> Iterator[tuple[str, str]]:
        """What stands on these screens, or on all, in small letters."""
        for name, address in self.addresses.items():
            if not names or name in names:
                yield name, text_of(self.owner.get(address).content).lower()
        if not names or "client" in names:
            yield "client", text_of(self.client.get(self.client_address).content).lower()

    def that_say(self, words: str, *names: str) -> set[str]:
        """The screens that say it."""
        return {name for name, text in self.read(*names) if words in text}


def test_every_screen_tells_the_same_story_from_the_agreement_to_the_refund(wickerlark: House) -> None:
    made = offered(wickerlark)
    offer = say_yes(wickerlark, made.offer)
    screens = Screens(wickerlark, offer, made.address)
    with wickerlark.enter():
        pay(deposit_of(offer))
        navy = shelf.latex(shelf.colours({"Navy": "#2A3D4E"})["navy"], 11, bag_size=100)
        shelf.put([(navy, 5_000)])
        holds.swap(screens.event.hold_id or 0, out="latex-11-oat", into=navy.code, key="swap")
    assert screens.that_say(SWAPPED, "quote", "event", "list", "build sheet", "client") == {
        "quote", "event", "list", "build sheet", "client",
    }  # fmt: skip
    assert screens.that_say("oat 11 in", "list", "buy") == set()
    (on_hold,) = (text for _, text in screens.read("hold"))
    assert "oat 11 in" not in on_hold.replace("use oat 11 in", ""), "only to be taken back, as a substitute"

    with wickerlark.enter():
        frame = Item.objects.get(code="frame-arch-7ft")
        movements.count(frame.pk, 0, key="lost")
    story = dict(screens.read())
    assert "arch frame 7 ft: 0 of 0 free" in story["quote"]
    assert "arch frame 7 ft: 1 short now" in story["event"]
    assert "1 missing" in story["list"]
    assert "1 short" in story["hold"]
    assert "short: 1 arch frame 7ft" in story["week"]
    assert "we are still getting: arch frame 7ft" in story["client"]

    with wickerlark.enter():
        calling_off.call_off(screens.event.pk)
    assert screens.that_say(OFF) == {
        "quote", "event", "list", "run sheet", "build sheet", "client",
    }  # fmt: skip
    story = dict(screens.read())
    assert "released" in story["hold"]
    assert DECIDE in story["week"]
    assert "library centenary" not in story["buy"]
    for promise in ("reserved for you", "still getting", "what happens next"):
        assert promise not in story["client"]
    for stale in ("short now", "undo swap", "transfer items"):
        assert stale not in story["event"]

    with wickerlark.enter():
        called_off.settle(screens.event.pk, refund=deposit_of(offer).total, words="Flooded", key="k")
    assert screens.that_say(DECIDE, "week") == set(), "nothing waits any more"
    assert screens.that_say("you get back $", "client") == {"client"}
    assert screens.that_say("to pay back", "event") == {"event"}


def test_what_the_van_was_loaded_with_is_not_asked_of_the_stock_any_more(wickerlark: House) -> None:
    made = offered(wickerlark)
    screens = Screens(wickerlark, say_yes(wickerlark, made.offer), made.address)
    assert screens.that_say("all available", "quote") == {"quote"}
    with wickerlark.enter():
        stages.reach(screens.event.pk, Stage.PREPARED)
    assert screens.that_say("all available", "quote") == set()
    assert screens.that_say("the van was loaded for this event", "quote") == {"quote"}


def test_what_a_later_event_lacks_is_no_shortage_of_the_earlier_one(wickerlark: House) -> None:
    made = offered(wickerlark)
    screens = Screens(wickerlark, say_yes(wickerlark, made.offer), made.address)
    with wickerlark.enter():
        line = HoldLine.objects.get(hold=screens.event.hold_id, item__code="latex-11-oat")
        there = movements.balances([line.item_id])[line.item_id]
        window = Window(screens.event.out_by + timedelta(days=20), screens.event.out_by + timedelta(days=21))
        holds.hold(label="Gala", window=window, needs=[Material("latex-11-oat", there)], key="gala")
        assert {each.label for each in shortages() if each.item.pk == line.item_id} == {"Gala"}
    lacking = re.compile(r"oat 11 in: \d+ (short|free of)|short: \d+ oat 11 in")
    for name, text in screens.read("quote", "event", "list", "hold", "client"):
        assert not lacking.search(text), name
