"""After an event moves: what is held follows it or is released, and its client reads the new date."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from events.booking import event_times
from events.jobs import calling_off, changes
from events.models import Event
from quoting import tasks
from quoting.models import Offer, OfferState
from quoting.offers import keeping, offering, postponed
from quoting.offers.keeping import Keeping
from stock.catalogue.items import Material
from stock.holds import holds
from stock.models import HoldState, Item
from studio.models import OutboxEntry
from tests.people import House
from tests.quoting.client_page.test_views import text_of
from tests.quoting.invoice_scenes import say_yes
from tests.quoting.offer_scenes import offered, open_link, tentative_hold_of

pytestmark = pytest.mark.django_db
DAYS = timedelta(days=9)


def move(house: House, offer: Offer) -> None:
    with house.enter():
        event = Event.objects.get(quotes=offer.quote_id)
        later = event_times.usual(ready_by=event.ready_by + DAYS)
        changes.move(event.pk, later, seen_version=event.version)


def follow(house: House) -> None:
    """The worker follows."""
    with house.enter():
        entry = OutboxEntry.objects.get(task="quoting.follow_move")
    tasks.follow_move(studio_id=house.studio.pk, entry_id=entry.pk)


def state_of(house: House, offer: Offer) -> Keeping:
    with house.enter():
        return keeping.find_kept(offering.find(offer.pk)).state


def test_what_an_open_offer_holds_moves_with_its_event(wickerlark: House) -> None:
    made = offered(wickerlark)
    move(wickerlark, made.offer)
    assert state_of(wickerlark, made.offer) == Keeping.NOT_KEPT, "it is held for the old date only"
    follow(wickerlark)
    assert state_of(wickerlark, made.offer) == Keeping.ON_HOLD
    with wickerlark.enter():
        event = Event.objects.get(quotes=made.offer.quote_id)
        hold = tentative_hold_of(made.offer)
        assert (hold.starts_at, hold.ends_at) == (event.load_out_at, event.back_at)


def test_what_is_not_free_on_the_new_date_is_released_and_not_claimed(wickerlark: House) -> None:
    made = offered(wickerlark)
    with wickerlark.enter():
        event = Event.objects.get(quotes=made.offer.quote_id)
        cover = Item.objects.get(code="cover-arch-7ft-sage")
        window = event.hold_window()
        later = type(window)(window.start + DAYS, window.end + DAYS)
        holds.hold(label="Rowing club", window=later, needs=[Material(cover.code, 1)], key="rowing")
    move(wickerlark, made.offer)
    follow(wickerlark)
    assert state_of(wickerlark, made.offer) == Keeping.NOT_KEPT
    with wickerlark.enter():
        assert tentative_hold_of(made.offer).state == HoldState.RELEASED
        assert Offer.objects.get().state == OfferState.OPEN


@pytest.mark.parametrize("agreed", [False, True])
def test_the_client_reads_the_new_date_and_gets_one_letter(wickerlark: House, agreed: bool) -> None:
    made = offered(wickerlark)
    if agreed:
        say_yes(wickerlark, made.offer)
    browser, address = open_link(made.address)
    assert "New date:" not in text_of(browser.get(address).content)
    move(wickerlark, made.offer)
    seen = text_of(browser.get(address).content)
    assert "New date: ready by" in seen
    if agreed:
        new_date = seen.split("New date: ready by ")[1].split(". The offer below")[0]
        assert f"Ready by {new_date}" in seen.split("What happens next")[1]
    for _ in range(2):
        follow(wickerlark)
    with wickerlark.enter():
        (letter,) = OutboxEntry.objects.filter(
            task="studio.send_mail", arguments__context__subject__icontains="new date"
        )
        context = letter.arguments["context"]
        assert letter.arguments["to"] == made.offer.client_email
        said = " ".join(line for block in context["blocks"] for line in block["lines"])
        now, before = re.findall(r"ready by (.+?), no longer by (.+?)\. If", said)[0]
        assert now != before
    if agreed:
        assert state_of(wickerlark, made.offer) == Keeping.RESERVED


def test_an_event_that_was_called_off_meanwhile_moves_nothing_and_writes_to_nobody(wickerlark: House) -> None:
    made = offered(wickerlark)
    move(wickerlark, made.offer)
    with wickerlark.enter():
        hold = tentative_hold_of(made.offer)
        calling_off.call_off(Event.objects.get(quotes=made.offer.quote_id).pk)
    follow(wickerlark)
    with wickerlark.enter():
        moved = tentative_hold_of(made.offer)
        assert (moved.starts_at, moved.ends_at) == (hold.starts_at, hold.ends_at)
        assert not OutboxEntry.objects.filter(key__contains="-moved-", task="studio.send_mail").exists()


def test_other_hours_of_the_same_date_move_no_hold_by_the_worker(wickerlark: House) -> None:
    made = offered(wickerlark)
    with wickerlark.enter():
        event = Event.objects.get(quotes=made.offer.quote_id)
        postponed.follow_move(event, event.ready_by)
        assert not OutboxEntry.objects.filter(task="quoting.follow_move").exists()


def test_an_offer_whose_hold_was_released_before_stays_without_one(wickerlark: House) -> None:
    made = offered(wickerlark)
    with wickerlark.enter():
        holds.release(tentative_hold_of(made.offer).pk, key="released")
    move(wickerlark, made.offer)
    follow(wickerlark)
    with wickerlark.enter():
        assert tentative_hold_of(made.offer).state == HoldState.RELEASED
