"""Every line of a bill is in the stock list, or is bought, hired or made by a day, before an offer is sent."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.http import Http404
from django.utils import timezone

from events.calendar import agenda
from quoting.models import Offer, Quote, SetPiece, Supply, SupplyKind
from quoting.offers import offering
from quoting.offers.document import read_offer
from quoting.offers.refusals import NotSupplied
from quoting.quotes import sheet
from quoting.supplies import supplies
from quoting.supplies.supplies import Choice
from stock.buying import purchase_list
from stock.models import Colour, Item
from studio.measures.times import Window
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.invoice_scenes import say_yes

pytestmark = pytest.mark.django_db

FOUR = Decimal(4)


def bare_quote(house: House) -> Quote:
    """A quote over a shelf that lacks most of it; call it inside the studio."""
    offer_scenes.quote(house)
    Item.objects.filter(code__startswith="latex-17").delete()
    Item.objects.filter(code__startswith="latex-24").delete()
    return scenes.quote(house, title="Rowing supper")


def missing(quote: Quote) -> list[supplies.Missing]:
    return supplies.find_missing(sheet.read_sheet(sheet.find_quote(quote.pk), quote.studio))


def test_an_offer_isn_t_sent_before_the_owner_says_how_each_missing_thing_is_supplied(
    wickerlark: House,
) -> None:
    with wickerlark.enter():
        quote = bare_quote(wickerlark)
        lacking = missing(quote)
        assert lacking
        with pytest.raises(NotSupplied, match="Not in the stock list: "):
            offering.offer(quote)
        assert not Offer.objects.filter(quote=quote).exists()
        day = supplies.latest_day(quote)
        first, *rest = lacking
        supplies.plan_supplies(quote.pk, {one.code: Choice(SupplyKind.HIRE, day, cost=FOUR) for one in rest})
        with pytest.raises(NotSupplied, match=first.label):
            offering.offer(quote)
        supplies.plan_supplies(quote.pk, {first.code: Choice(SupplyKind.MAKE, day, cost=FOUR)})
        assert offering.offer(quote).made


def test_every_line_of_an_agreed_bill_is_held_or_on_buy_or_a_task_with_its_day(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = bare_quote(wickerlark)
        day = supplies.latest_day(quote)
        kinds = {
            one.code: SupplyKind.BUY if one.code.startswith("latex-") else SupplyKind.HIRE
            for one in missing(quote)
        }
        supplies.plan_supplies(quote.pk, {code: Choice(kind, day, cost=FOUR) for code, kind in kinds.items()})
        offer = offering.offer(sheet.find_quote(quote.pk)).offer
        bill = {line.code: line.quantity for line in read_offer(offer.frozen).quote.bill}
    offer = say_yes(wickerlark, offer)
    with wickerlark.enter():
        event = offer.quote.event
        assert event.hold is not None
        held = set(event.hold.lines.values_list("item__code", flat=True))
        tasks = set(Supply.objects.filter(quote=quote).values_list("code", flat=True))
        assert set(bill) == held | tasks
        assert not held & tasks
        to_buy = {each.item.code: each for each in purchase_list.find_missing_items()}
        for code in kinds:
            if code.startswith("latex-"):
                assert to_buy[code].pieces >= bill[code] > 0
                assert to_buy[code].order_by is not None
        week = agenda.due(Window(timezone.now(), event.ready_by + timedelta(days=2)))
        assert {str(one) for one in Supply.objects.filter(quote=quote)} <= {item.what for item in week}


def test_what_stands_at_the_venue_is_neither_held_nor_loaded(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = bare_quote(wickerlark)
        Item.objects.filter(code="frame-arch-7ft").update(code="frame-elsewhere")
        day = supplies.latest_day(quote)
        kinds = {one.code: SupplyKind.BUY for one in missing(quote)} | {"frame-arch-7ft": SupplyKind.SITE}
        supplies.plan_supplies(quote.pk, {code: Choice(kind, day, cost=FOUR) for code, kind in kinds.items()})
        offer = offering.offer(sheet.find_quote(quote.pk)).offer
        bill = {line.code: line.on_site for line in read_offer(offer.frozen).quote.bill}
    assert [code for code, on_site in bill.items() if on_site] == ["frame-arch-7ft"], "the offer names it"
    offer = say_yes(wickerlark, offer)
    with wickerlark.enter():
        event = offer.quote.event
        listed = set(event.load_out.filter(dropped=False).values_list("code", flat=True))
        assert set(bill) - listed == {"frame-arch-7ft"}
        assert not event.bill.filter(code="frame-arch-7ft").exists()
        assert not event.bill.filter(short__gt=0, code__startswith="frame").exists()


def test_a_day_that_is_past_or_after_loading_is_refused_at_its_line(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = bare_quote(wickerlark)
        code = missing(quote)[0].code
        last = supplies.latest_day(quote)
        for day, words in ((last + timedelta(days=1), "loaded before"), (last - timedelta(days=999), "past")):
            with pytest.raises(ValidationError, match=words) as refused:
                supplies.plan_supplies(quote.pk, {code: Choice(SupplyKind.HIRE, day)})
            assert set(refused.value.message_dict) == {code}
        assert not Supply.objects.filter(quote=quote).exists()


def test_the_owner_says_it_on_the_page_and_marks_it_done(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = bare_quote(wickerlark)
        lacking = missing(quote)
        day = supplies.latest_day(quote).isoformat()
    owner = wickerlark.client()
    refused = owner.post(wickerlark.url("quoting:offer-make", quote.pk), follow=True)
    address = wickerlark.url("quoting:quote-supplies", quote.pk)
    assert refused.redirect_chain[-1][0] == address
    page = refused.content.decode()
    assert all(one.label in page for one in lacking)
    empty = {f"{one.code}-due_on": "" for one in lacking}
    bad = owner.post(address, empty | {f"{lacking[0].code}-kind": "hire"})
    assert bad.status_code == 422
    assert "Enter the day." in bad.content.decode()
    said = {f"{one.code}-kind": "hire" for one in lacking} | {f"{one.code}-due_on": day for one in lacking}
    assert owner.post(address, said).status_code == 302
    with wickerlark.enter():
        supply = Supply.objects.filter(quote=quote).first()
        assert supply is not None
    for done in ("1", "1"):
        owner.post(wickerlark.url("quoting:supply-done", supply.pk), {"done": done})
    with wickerlark.enter():
        supply.refresh_from_db()
        assert supply.done_at is not None
    assert wickerlark.client("crew").get(address).status_code == 403


def test_latex_in_a_colour_that_no_piece_has_must_be_added_by_hand(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = bare_quote(wickerlark)
        latex = next(one for one in missing(quote) if one.code.startswith("latex-17"))
        colour = latex.code.split("-", 2)[2]
        Colour.objects.filter(code=colour).update(code="another", name="Another")
        piece = quote.pieces.get()
        for each in piece.design["palette"]:
            each["colour"] = "plum" if each["colour"] == colour else each["colour"]
        SetPiece.objects.filter(pk=piece.pk).update(design=piece.design)
        with pytest.raises(ValidationError, match="No set piece has this color"):
            supplies.plan_supplies(quote.pk, {latex.code: Choice(SupplyKind.BUY, supplies.latest_day(quote))})
        assert not Item.objects.filter(code=latex.code).exists()


def test_a_colour_that_is_new_comes_into_the_stock_list_as_the_piece_has_it(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = bare_quote(wickerlark)
        latex = next(one for one in missing(quote) if one.code.startswith("latex-17"))
        code = latex.code.split("-", 2)[2]
        known = Colour.objects.get(code=code)
        Colour.objects.filter(pk=known.pk).update(code="another", name="Another")
        supplies.plan_supplies(quote.pk, {latex.code: Choice(SupplyKind.BUY, supplies.latest_day(quote))})
        added = Item.objects.select_related("colour").get(code=latex.code)
        assert added.colour is not None
        assert (added.colour.name, added.colour.hex) == (known.name, known.hex)


def test_a_supply_is_marked_once_and_back_and_one_that_is_not_there_is_404(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = bare_quote(wickerlark)
        first = missing(quote)[0]
        day = supplies.latest_day(quote)
        supplies.plan_supplies(
            quote.pk, {first.code: Choice(SupplyKind.HIRE, day), "unknown": Choice(SupplyKind.BUY, day)}
        )
        (supply,) = Supply.objects.filter(quote=quote)
        at = supplies.mark_done(supply.pk, done=True).done_at
        assert at is not None
        assert supplies.mark_done(supply.pk, done=True).done_at == at, "pressed twice"
        assert supplies.mark_done(supply.pk, done=False).done_at is None
        with pytest.raises(Http404):
            supplies.mark_done(supply.pk + 1000, done=True)
