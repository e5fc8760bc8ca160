"""What is open before an offer goes out is found, kept from leaving, and sent only on the owner's word."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, transaction
from django.utils import timezone

from quoting.before_sending.open_points import (
    Matter,
    NotSettled,
    OpenPoint,
    Word,
    WordWithoutReason,
    find_open_points,
)
from quoting.models import DeliveryBy, Offer, Quote, Rates
from quoting.offers import offering
from quoting.pricing import rates as rating
from quoting.pricing.inputs import Band
from quoting.pricing.instalments import Instalment
from quoting.quotes import adjusting, sheet, sketch
from stock.models import Item
from studio.models import TaxRate, entered_studio
from tests.people import House
from tests.quoting import offer_scenes

pytestmark = pytest.mark.django_db


def points(quote: Quote) -> tuple[OpenPoint, ...]:
    read = sheet.read_sheet(sheet.find_quote(quote.pk), entered_studio(), pictures=False)
    return find_open_points(read)


def matters(quote: Quote) -> set[Matter]:
    return {each.matter for each in points(quote)}


def set_rates(**facts: Decimal) -> None:
    rates = rating.rates_of(entered_studio())
    for name, value in facts.items():
        setattr(rates, name, value)
    rating.keep_rates(rates)


def test_a_quote_with_every_cost_a_tax_and_a_fair_margin_has_nothing_open(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        assert points(quote) == ()
        assert offering.offer(quote).made


def test_an_item_without_a_cost_keeps_the_offer_from_leaving(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        Item.objects.filter(code="frame-arch-7ft").update(unit_cost=None)
        found = points(quote)
        assert [(each.matter, each.code) for each in found] == [(Matter.COST, "frame-arch-7ft")]
        with pytest.raises(NotSettled) as refused:
            offering.offer(quote)
        assert refused.value.points == found
        assert not Offer.objects.exists()


def test_a_line_whose_price_was_set_by_hand_needs_no_cost(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        Item.objects.filter(code="frame-arch-7ft").update(unit_cost=None)
        adjusting.set_by_hand(
            quote.pk, "frames@0", amount=Decimal(90), reason="As last year", version=quote.version
        )
        assert points(quote) == ()


def test_what_is_hired_for_a_quote_is_priced_by_what_it_costs(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        supply = quote.supplies.first()
        assert supply
        before = sheet.read_sheet(quote, entered_studio()).whole_tape
        supply.cost = Decimal(30)
        supply.save()
        after = sheet.read_sheet(quote, entered_studio()).whole_tape
        assert before.inside
        assert after.inside
        needed = sheet.read_sheet(quote, entered_studio()).needs[supply.code]
        assert after.inside.cost - before.inside.cost == 30 * needed
        supply.cost = None
        supply.save()
        assert [each.code for each in points(quote)] == [supply.code]


def test_hours_that_are_worked_and_cost_nothing_are_open(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        set_rates(prep_hour=Decimal(0), strike_hour=Decimal(0))
        hours = [each.code for each in points(quote) if each.matter == Matter.HOURS]
        assert hours == ["prep", "strike"]


def test_a_studio_without_a_tax_is_asked_and_one_of_nothing_is_an_answer(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        TaxRate.objects.update(retired_at=timezone.now(), is_default=False)
        assert matters(quote) == {Matter.TAX}
        TaxRate.objects.create(name="No VAT, small business", percent=Decimal(0), is_default=True)
        assert points(quote) == ()


def test_the_margin_is_held_against_the_floor_and_equal_is_enough(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        inside = sheet.read_sheet(quote, entered_studio()).whole_tape.inside
        assert inside
        # Twice the exact share: net less cost and overhead, over net.
        exact = (inside.margin / (inside.margin + inside.cost + inside.overhead)) * 100
        assert exact == inside.margin_percent
        set_rates(margin_floor_percent=Decimal(int(exact)))
        assert points(quote) == ()
        set_rates(margin_floor_percent=Decimal(int(exact) + 1))
        (thin,) = points(quote)
        assert thin.matter == Matter.MARGIN
        assert thin.floor == int(exact) + 1


def test_the_thinnest_of_all_that_the_client_can_choose_counts(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        tape = sheet.read_sheet(quote, entered_studio()).whole_tape
        assert tape.inside
        # What is left is cost and overhead over 0.9: a margin of 10 %.
        gift = (tape.net - (tape.inside.cost + tape.inside.overhead) / Decimal("0.9")).quantize(Decimal(1))
        sketch.add_free_line(
            quote.pk, label="Gift", quantity=Decimal(1), unit_price=-gift, tax_id=None, version=quote.version
        )
        line = quote.free_lines.get()
        line.choice = "off"
        line.save()
        (thin,) = points(quote)
        assert thin.matter == Matter.MARGIN
        assert thin.percent is not None
        assert abs(thin.percent - 10) < Decimal("0.2")
        line.delete()
        assert points(quote) == ()


def test_an_instalment_of_today_is_open_and_one_of_tomorrow_is_not(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        today = timezone.now().astimezone(entered_studio().tz).date()
        for days, expected in ((1, set()), (0, {Matter.INSTALMENT}), (-3, {Matter.INSTALMENT})):
            quote.refresh_from_db()
            adjusting.set_payment(
                quote.pk, deposit_percent=None, version=quote.version,
                instalments=[Instalment(Decimal(20), today + timedelta(days=days))],
            )  # fmt: skip
            assert matters(quote) == expected


def test_the_owners_word_sends_it_and_stays_with_the_offer(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        Item.objects.filter(code="frame-arch-7ft").update(unit_cost=None)
        offer = offering.offer(quote, word=offer_scenes.word_for(quote, "The frame is borrowed")).offer
        assert offer.vouched.splitlines() == [
            "No cost is known for Arch frame 7 ft. The price counts it as nothing.",
            "Reason: The frame is borrowed",
        ]
        with pytest.raises(DatabaseError), transaction.atomic():
            Offer.objects.filter(pk=offer.pk).update(vouched="")


def test_a_word_for_one_point_covers_no_other(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        Item.objects.filter(code="frame-arch-7ft").update(unit_cost=None)
        word = offer_scenes.word_for(quote)
        TaxRate.objects.update(retired_at=timezone.now(), is_default=False)
        with pytest.raises(NotSettled) as refused:
            offering.offer(quote, word=word)
        assert [each.matter for each in refused.value.points] == [Matter.TAX]


def test_a_word_for_one_margin_covers_no_thinner_one(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        set_rates(margin_floor_percent=Decimal(90))
        word = offer_scenes.word_for(quote)
        set_rates(markup_percent=Decimal(10))
        with pytest.raises(NotSettled):
            offering.offer(quote, word=word)


def test_a_word_needs_its_reason(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        TaxRate.objects.update(retired_at=timezone.now(), is_default=False)
        with pytest.raises(WordWithoutReason):
            offering.offer(quote, word=offer_scenes.word_for(quote, "  "))
        assert not Offer.objects.exists()


def test_staff_can_give_no_word(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        TaxRate.objects.update(retired_at=timezone.now(), is_default=False)
        word = offer_scenes.word_for(quote)
    with wickerlark.enter("staff"), pytest.raises(PermissionDenied):
        offering.offer(quote, word=word)


def test_a_second_press_leads_to_the_offer_although_something_opened_since(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        first = offering.offer(quote)
        Rates.objects.update(margin_floor_percent=95)
        again = offering.offer(quote)
        assert (again.made, again.offer.pk) == (False, first.offer.pk)
        assert Word().keys == frozenset()


def test_a_venue_that_no_delivery_price_reaches_is_asked_for(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        rates = rating.rates_of(entered_studio())
        rates.delivery_by = DeliveryBy.BANDS
        rating.keep_client_terms(rates, [(1, Band(Decimal(10), Decimal(40)))])
        quote = sketch.set_way(quote.pk, distance_m=0, drive_minutes=20, trips=2, version=quote.version)
        assert points(quote) == (OpenPoint(Matter.DELIVERY, "unknown"),)
        with pytest.raises(NotSettled):
            offering.offer(quote)
        quote = sketch.set_way(quote.pk, distance_m=16_093, drive_minutes=20, trips=2, version=quote.version)
        beyond = Matter.DELIVERY in matters(quote)
        assert beyond == (rates.distance_unit == "km"), (
            "16,093 m are 10 miles (16,093.44 m), and more than 10 km"
        )
        quote = sketch.set_way(quote.pk, distance_m=90_000, drive_minutes=20, trips=2, version=quote.version)
        assert points(quote) == (OpenPoint(Matter.DELIVERY, "beyond"),)
        quote = sketch.set_way(quote.pk, distance_m=0, drive_minutes=0, trips=0, version=quote.version)
        assert points(quote) == ()


def test_where_delivery_goes_by_distance_the_distance_is_asked_at_its_field(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        rates = rating.rates_of(entered_studio())
        rates.delivery_by = DeliveryBy.BANDS
        rating.keep_client_terms(rates, [(1, Band(Decimal(10), Decimal(40)))])
    said = {"version": quote.version, "distance": "0", "drive_minutes": "37", "trips": "2"}
    browser = wickerlark.client()
    answer = browser.post(wickerlark.url("quoting:quote-way", quote.pk), said)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "your delivery price depends on it" in page
    assert 'value="37"' in page
    seen = browser.get(wickerlark.url("quoting:quote-before-sending", quote.pk)).content.decode()
    assert "farther than your delivery prices" in " ".join(seen.split()) or "how far the venue is" in seen
