"""An offer that says its pieces are on hold goes out only while they are; else the studio decides."""

from __future__ import annotations

import pytest
from django.core import mail

from quoting import tasks
from quoting.models import Offer, Quote
from quoting.offers import offering, sending
from stock.models import Item
from studio.models import OutboxEntry
from studio.tasks import send_mail
from tests.people import House
from tests.quoting.client_page.test_views import text_of
from tests.quoting.offer_scenes import offered
from tests.quoting.offers.test_keeping import HOLDING, lose_every_frame
from tests.quoting.offers.test_tentative_holds import two_offers

pytestmark = pytest.mark.django_db
STOPPED = "Not sent: the pieces aren't on hold"


def orders(house: House, offer: Offer) -> list[OutboxEntry]:
    """What the worker was told to mail of an offer."""
    with house.enter():
        rows = OutboxEntry.objects.filter(task="quoting.mail_offer", arguments__offer_id=offer.pk)
        return list(rows.order_by("pk"))


def work(house: House, offer: Offer) -> list[str]:
    """The worker does the latest order; the letters that it sent to the client."""
    mail.outbox.clear()
    tasks.mail_offer(studio_id=house.studio.pk, entry_id=orders(house, offer)[-1].pk)
    return [" ".join(str(letter.body).split()) for letter in mail.outbox]


def page_of(house: House, offer: Offer) -> str:
    return text_of(house.client().get(house.url("quoting:offer", offer.pk)).content)


def waits(house: House, offer: Offer) -> dict[str, bool]:
    """Where the studio reads that the offer waits for it."""
    with house.enter():
        event = Quote.objects.get(pk=offer.quote_id).event
    pages = {
        "week": house.url("events:week"),
        "event": house.url("events:event", event.pk),
        "quotes": house.url("quoting:quotes"),
    }
    browser = house.client()
    return {
        name: f"offer {offer.reference} was not sent" in text_of(browser.get(page).content).lower()
        for name, page in pages.items()
    }


EVERYWHERE = {"week": True, "event": True, "quotes": True}
NOWHERE = {"week": False, "event": False, "quotes": False}


def test_an_offer_whose_hold_was_refused_is_not_sent_and_the_owner_reads_why(wickerlark: House) -> None:
    first, second = two_offers(wickerlark)
    assert orders(wickerlark, second.offer) == []
    seen = page_of(wickerlark, second.offer)
    assert STOPPED in seen
    assert "Cover for arch 7ft, sage: 0 free of 1 needed." in seen
    assert "on hold for Library centenary, offer 1 until" in seen
    assert waits(wickerlark, second.offer) == EVERYWHERE
    assert STOPPED not in page_of(wickerlark, first.offer)
    assert waits(wickerlark, first.offer) == NOWHERE


def test_making_it_says_that_it_is_not_sent(wickerlark: House) -> None:
    two_offers(wickerlark)
    with wickerlark.enter():
        Offer.objects.filter(number=1).update(mail_stopped_at=None)
        quote = Quote.objects.latest("pk")
    page = wickerlark.client().post(
        wickerlark.url("quoting:offer-make", quote.pk), {"after_version": "1"}, follow=True
    )
    assert "is made, but not sent." in text_of(page.content)


def test_the_owner_sends_it_without_the_claim_on_purpose(wickerlark: House) -> None:
    _, second = two_offers(wickerlark)
    address = wickerlark.url("quoting:offer-mail", second.offer.pk)
    refused = wickerlark.client().post(address, follow=True)
    assert "You can send it without a hold." in text_of(refused.content)
    assert orders(wickerlark, second.offer) == []
    wickerlark.client().post(address, {"without_hold": "1"})
    (letter,) = work(wickerlark, second.offer)
    assert HOLDING not in letter
    assert "Nothing is reserved before you agree." in letter
    assert STOPPED not in page_of(wickerlark, second.offer)
    assert waits(wickerlark, second.offer) == NOWHERE


@pytest.mark.parametrize("cause", ["released", "lost"])
def test_a_hold_that_went_before_the_worker_came_stops_the_letter(wickerlark: House, cause: str) -> None:
    made = offered(wickerlark)
    if cause == "released":
        with wickerlark.enter():
            offering.let_go(made.offer.pk)
    else:
        lose_every_frame(wickerlark)
    assert work(wickerlark, made.offer) == []
    assert STOPPED in page_of(wickerlark, made.offer)
    assert waits(wickerlark, made.offer) == EVERYWHERE
    with wickerlark.enter():
        (told,) = OutboxEntry.objects.filter(arguments__template="offer_not_sent")
    send_mail(studio_id=wickerlark.studio.pk, entry_id=told.pk)
    (letter,) = mail.outbox
    assert letter.subject == "Offer not sent: Library centenary"
    assert letter.to == [wickerlark.owner.email]
    assert ("0 free of" in str(letter.body)) == (cause == "lost")


def test_an_offer_of_which_nothing_comes_back_is_sent(wickerlark: House) -> None:
    made = offered(wickerlark)
    with wickerlark.enter():
        Item.objects.update(nature="consumable")
        offering.let_go(made.offer.pk)
        assert not sending.is_unheld(offering.find(made.offer.pk))
    (letter,) = work(wickerlark, made.offer)
    assert "Nothing is reserved before you agree." in letter
