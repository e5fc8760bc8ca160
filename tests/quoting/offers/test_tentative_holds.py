"""Pieces on hold for one client stand in another's way until their date, or until the studio releases them."""

from __future__ import annotations

from datetime import timedelta

import pytest
import time_machine

from quoting.models import Answer, Offer, OfferState
from quoting.offers import offering
from quoting.offers.document import FrozenBillLine, StudioPart
from quoting.offers.offering import Offered
from quoting.offers.refusals import CannotOffer
from quoting.quotes import stock_view
from quoting.suggestions import into_room
from stock.catalogue.items import Material
from stock.kits import kits
from stock.models import HoldState, Item, Kind
from studio.models import OutboxEntry
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.client_page.test_views import text_of
from tests.quoting.offer_scenes import as_shown, offered, open_link, tentative_hold_of

pytestmark = pytest.mark.django_db


def two_offers(house: House) -> tuple[Offered, Offered]:
    """The same single cover for two clients on one day: on hold for the first of them."""
    with house.enter():
        quotes = [offer_scenes.quote(house, title=title) for title in ("Library centenary", "Bakery opening")]
    return offered(house, quotes[0]), offered(house, quotes[1])


def test_offering_says_whose_hold_is_in_the_way(wickerlark: House) -> None:
    _, second = two_offers(wickerlark)
    assert "Cover for arch 7ft, sage: 0 free of 1 needed." in second.short
    (words,) = (line for line in second.short if line.startswith("1 × Cover for arch 7ft, sage is on hold"))
    assert "for Library centenary, offer 1 until " in words


def test_a_client_learns_until_when_and_not_for_whom(wickerlark: House) -> None:
    _, second = two_offers(wickerlark)
    browser, address = open_link(second.address)
    page = browser.post(address + "agree", as_shown(second.offer))
    seen = text_of(page.content)
    assert page.status_code == 409
    assert "1 × Cover for arch 7ft, sage is on hold for another client until" in seen
    assert "After that it may be free again." in seen
    assert "Library centenary" not in seen
    with wickerlark.enter():
        assert not Answer.objects.exists()
        told = OutboxEntry.objects.get(task="studio.send_mail").arguments["context"]["reasons"]
    assert any("on hold for Library centenary, offer 1" in reason for reason in told)


def test_what_comes_back_of_a_kit_is_held(wickerlark: House, monkeypatch: pytest.MonkeyPatch) -> None:
    first, _ = two_offers(wickerlark)
    with wickerlark.enter():
        frame, latex = (Item.objects.filter(kind=kind).order_by("pk")[0] for kind in (Kind.FRAME, Kind.LATEX))
        kits.save_kit(None, name="Frame set", note="", parts={frame.pk: 1, latex.pk: 30})
        kit = FrozenBillLine(code="kit-frame-set", label="Frame set", quantity=2)
        part = StudioPart(bill=(kit,), work=(), hours=None, height_m=2.4)
        monkeypatch.setattr("quoting.offers.document.studio_part", lambda *_: part)
        assert offering.coming_back(first.offer) == [Material(frame.code, 2)]


def test_a_tentative_hold_gives_way_at_its_date(wickerlark: House) -> None:
    first, second = two_offers(wickerlark)
    with wickerlark.enter():
        hold = tentative_hold_of(first.offer)
        hold.tentative_until = second.offer.offered_at + timedelta(hours=1)
        hold.save(update_fields=["tentative_until"])
    browser, address = open_link(second.address)
    assert browser.post(address + "agree", as_shown(second.offer)).status_code == 409
    with time_machine.travel(second.offer.offered_at + timedelta(hours=2), tick=True):
        assert browser.post(address + "agree", as_shown(second.offer)).status_code == 302


def test_the_studio_releases_a_hold_and_the_other_client_can_agree(wickerlark: House) -> None:
    first, second = two_offers(wickerlark)
    address = wickerlark.url("quoting:offer-release-hold", first.offer.pk)
    assert wickerlark.client("crew").post(address).status_code == 403
    assert wickerlark.client("owner").post(address).status_code == 302
    with wickerlark.enter():
        kept = Offer.objects.get(pk=first.offer.pk)
        assert (kept.state, tentative_hold_of(kept).state) == (OfferState.OPEN, HoldState.RELEASED)
        offering.let_go(first.offer.pk)  # twice changes nothing
    page = text_of(wickerlark.client("owner").get(wickerlark.url("quoting:offer", first.offer.pk)).content)
    assert "released: the first client to agree gets the pieces" in page
    browser, clean = open_link(second.address)
    assert browser.post(clean + "agree", as_shown(second.offer)).status_code == 302
    late, own = open_link(first.address)
    refused = late.post(own + "agree", as_shown(first.offer))
    assert refused.status_code == 409
    assert "has been told and will contact you" in text_of(refused.content)


def test_what_is_over_has_no_hold_to_release(wickerlark: House) -> None:
    first, _ = two_offers(wickerlark)
    with wickerlark.enter():
        offering.withdraw(first.offer.pk)
        with pytest.raises(CannotOffer, match="nothing is on hold"):
            offering.let_go(first.offer.pk)


def shelf_of(house: House, made: Offered) -> dict[str, bool]:
    """What the page of the offer's quote says of the stock: each sentence, and whether it names a shortage."""
    page = house.client().get(house.url("quoting:quote", made.offer.quote_id))
    return {word.lead: word.is_short for word in page.context["shelf"]}


def test_a_quotes_own_tentative_hold_is_no_shortage_on_its_own_page(wickerlark: House) -> None:
    first, second = two_offers(wickerlark)
    own, other = shelf_of(wickerlark, first), shelf_of(wickerlark, second)
    assert own["cover for arch 7ft, sage: 1 of 1 free"] is False
    assert other["cover for arch 7ft, sage: 0 of 1 free"] is True


def test_a_room_is_filled_with_the_frames_that_the_quote_holds_itself(wickerlark: House) -> None:
    first, _ = two_offers(wickerlark)
    with wickerlark.enter():
        quote = first.offer.quote
        free = into_room.free_frames(quote, quote.pieces.get(), stock_view.owned())
        held = dict(
            tentative_hold_of(first.offer)
            .lines.filter(item__kind=Kind.FRAME)
            .values_list("item__code", "quantity")
        )
    assert held
    assert all(free[code] >= quantity for code, quantity in held.items()), (free, held)
