"""Nothing is said to be kept for a client that isn't kept: on the page, in the letter, on paper."""

from __future__ import annotations

import pytest
from django.core import mail
from django.utils import timezone

from events.jobs import calling_off
from events.loadout import swaps
from quoting import tasks
from quoting.models import Offer, Supply, SupplyKind
from quoting.offers import keeping, offering
from quoting.offers.keeping import Keeping
from quoting.pricing.frozen import day
from quoting.quotes import sheet
from stock.holds import holds
from stock.ledger import movements
from stock.models import Item, Kind
from studio.models import OutboxEntry
from tests import shelf
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.client_page.test_views import text_of
from tests.quoting.invoice_scenes import say_yes
from tests.quoting.offer_scenes import offered, open_link, tentative_hold_of
from tests.quoting.offers.test_pdf import paper_of, words_of
from tests.quoting.offers.test_tentative_holds import two_offers

pytestmark = pytest.mark.django_db
HOLDING = "Until then we're holding these pieces for you."
HELD_ON_PAPER = "we're holding these pieces for you. The offer's page says if that changes."
RESERVED = "Everything below is reserved for you."


def letter_of(house: House, offer: Offer) -> str:
    """The letter as the worker sends it now."""
    with house.enter():
        entry = OutboxEntry.objects.get(task="quoting.mail_offer", arguments__offer_id=offer.pk)
    mail.outbox.clear()
    tasks.mail_offer(studio_id=house.studio.pk, entry_id=entry.pk)
    (letter,) = mail.outbox
    return " ".join(letter.body.split())


def page_of(address: str) -> str:
    browser, clean = open_link(address)
    return text_of(browser.get(clean).content)


def test_an_offer_whose_pieces_are_held_says_so_everywhere(wickerlark: House) -> None:
    made = offered(wickerlark)
    with wickerlark.enter():
        assert keeping.find_kept(offering.find(made.offer.pk)).state == Keeping.ON_HOLD
    assert HOLDING in page_of(made.address)
    assert HOLDING in letter_of(wickerlark, made.offer)
    assert HELD_ON_PAPER in " ".join(words_of(paper_of(wickerlark, made.offer)).split())


def test_an_offer_whose_hold_was_refused_a_moment_before_claims_nothing(wickerlark: House) -> None:
    _, second = two_offers(wickerlark)
    assert second.short
    assert HOLDING not in page_of(second.address)
    paper = " ".join(words_of(paper_of(wickerlark, second.offer)).split())
    assert HOLDING not in paper
    assert HELD_ON_PAPER not in paper


def test_a_hold_that_was_released_is_not_claimed_any_more(wickerlark: House) -> None:
    made = offered(wickerlark)
    with wickerlark.enter():
        offering.let_go(made.offer.pk)
    assert HOLDING not in page_of(made.address)


@pytest.mark.parametrize("released", ["by the studio", "by a move"])
def test_paper_says_what_was_held_on_its_day_and_where_to_see_the_rest(
    wickerlark: House, released: str
) -> None:
    made = offered(wickerlark)
    paper_of(wickerlark, made.offer)
    with wickerlark.enter():
        if released == "by the studio":
            offering.let_go(made.offer.pk)
        else:
            holds.release(tentative_hold_of(made.offer).pk, key="moved")
        today = day(timezone.localdate(timezone=wickerlark.studio.tz), "en_US")
    assert HOLDING not in page_of(made.address)
    browser, clean = open_link(made.address)
    paper = " ".join(words_of(browser.get(clean + "offer.pdf").content).split())
    assert HOLDING not in paper
    assert f"As of {today}, {HELD_ON_PAPER}" in paper


def test_what_was_agreed_is_reserved_once_everything_is_there(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        Supply.objects.filter(quote=quote).update(kind=SupplyKind.HIRE)
        made = offering.offer(sheet.find_quote(quote.pk))
    offer = say_yes(wickerlark, made.offer)
    seen = page_of(made.address)
    assert RESERVED not in seen
    with wickerlark.enter():
        to_come = keeping.find_kept(offering.find(offer.pk)).to_come
        assert to_come
        assert "We are still getting: " + ", ".join(to_come) in seen
        Supply.objects.filter(quote=quote).update(done_at=offer.offered_at)
        for item in Item.objects.filter(nature="consumable"):
            movements.count(item.pk, 10_000, key=f"count-{item.pk}")
    assert RESERVED in page_of(made.address)


def lose_every_frame(house: House) -> list[str]:
    """All frames are lost; gives back their names."""
    with house.enter():
        frames = list(Item.objects.filter(kind="frame"))
        for frame in frames:
            movements.count(frame.pk, 0, key=f"lost-{frame.pk}")
        return [frame.name for frame in frames]


def test_a_frame_that_was_lost_since_is_not_said_to_be_reserved(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        Supply.objects.filter(quote=quote).update(kind=SupplyKind.HIRE)
        made = offering.offer(sheet.find_quote(quote.pk))
    offer = say_yes(wickerlark, made.offer)
    with wickerlark.enter():
        Supply.objects.filter(quote=quote).update(done_at=offer.offered_at)
        for item in Item.objects.filter(nature="consumable"):
            movements.count(item.pk, 10_000, key=f"count-{item.pk}")
    assert RESERVED in page_of(made.address)
    lost = lose_every_frame(wickerlark)
    seen = page_of(made.address)
    assert RESERVED not in seen
    assert any(f"We are still getting: {name}" in seen for name in lost)


def swap(offer: Offer, out: str, into: Item) -> None:
    """On the hold of the offer's event; call it inside the studio."""
    shelf.put([(into, 5_000)])
    holds.swap(offer.quote.event.hold_id or 0, out=out, into=into.code, key=f"{out}-{into.code}")


def test_a_client_reads_what_was_swapped_with_what_was_agreed(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        Supply.objects.filter(quote=quote).update(kind=SupplyKind.HIRE)
        made = offering.offer(sheet.find_quote(quote.pk))
    offer = say_yes(wickerlark, made.offer)
    with wickerlark.enter():
        Supply.objects.filter(quote=quote).update(done_at=offer.offered_at)
        for item in Item.objects.filter(nature="consumable"):
            movements.count(item.pk, 10_000, key=f"count-{item.pk}")
        navy = shelf.colours({"Navy": "#2A3D4E"})["navy"]
        cover, latex = Item.objects.get(code="cover-arch-7ft-sage"), Item.objects.get(code="latex-11-oat")
        navy_cover = shelf.thing(Kind.COVER, "Cover for arch 7ft, navy", code="cover-arch-7ft-navy")
        swap(offer, cover.code, navy_cover)
        swap(offer, latex.code, shelf.latex(navy, 11, bag_size=100))
    seen = page_of(made.address)
    assert RESERVED in seen, "what stands for what was agreed is reserved as well"
    assert "Changed since you agreed:" in seen
    assert "Cover for arch 7ft, navy instead of " in seen
    assert "Navy 11 in instead of Oat 11 in" in seen
    quote_page = wickerlark.client().get(wickerlark.url("quoting:quote", offer.quote_id))
    leads = [word.lead.lower() for word in quote_page.context["shelf"]]
    assert any(lead.startswith("cover for arch 7ft, navy instead of cover") for lead in leads)
    with wickerlark.enter():
        swaps.undo_swap(offer.quote.event_id, latex.code)
        swaps.undo_swap(offer.quote.event_id, cover.code)
    assert "Changed since you agreed:" not in page_of(made.address)


def test_an_offer_whose_frame_was_lost_since_claims_nothing(wickerlark: House) -> None:
    made = offered(wickerlark)
    assert HOLDING in page_of(made.address)
    lose_every_frame(wickerlark)
    assert HOLDING not in page_of(made.address)


def test_a_called_off_event_is_kept_for_nobody(wickerlark: House) -> None:
    made = offered(wickerlark)
    offer = say_yes(wickerlark, made.offer)
    with wickerlark.enter():
        calling_off.call_off(offer.quote.event_id)
        assert keeping.find_kept(offering.find(offer.pk)).state == Keeping.CALLED_OFF
    seen = page_of(made.address)
    assert "reserved for you" not in seen
    assert "holding" not in seen
