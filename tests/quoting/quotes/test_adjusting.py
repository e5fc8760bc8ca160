"""Rush, discount and prices by hand on a quote: kept, undone, refused at the field, and seen by whom."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.http import Http404
from hypothesis import given
from hypothesis import strategies as st

from quoting.invoices import invoiced, issuing
from quoting.invoices.settling import today_at
from quoting.models import Invoice, Quote, Rates
from quoting.offers import freezing, offering
from quoting.offers.document_presenter import present_offer
from quoting.pricing import instalments
from quoting.pricing.tape import Tape
from quoting.quotes import adjusting, sheet, sketch
from quoting.set_pieces.faults import CannotSketch
from studio.money.amounts import rounded
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.invoice_scenes import say_yes

pytestmark = pytest.mark.django_db
D = Decimal


def tape_of(house: House, quote: Quote) -> Tape:
    return sheet.read_sheet(sheet.find_quote(quote.pk), house.studio).whole_tape


def adjusted(quote: Quote, **said: Any) -> Quote:
    nothing = {"rush_percent": D(0), "discount_percent": D(0), "discount_amount": D(0), "reason": "a regular"}
    return adjusting.adjust(quote.pk, version=quote.version, **{**nothing, **said})


def test_rush_and_discount_stand_on_the_quote_and_are_undone_in_one_step(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        before = tape_of(wickerlark, quote)
        changed = adjusted(quote, rush_percent=D(20), discount_percent=D(10))
        after = tape_of(wickerlark, changed)
        assert [line.label for line in after.lines if line.part in ("rush", "discount")] == [
            "Rush",
            "Discount",
        ]
        assert after.net == changed.priced_net != before.net
        back = sketch.undo(quote.pk, version=changed.version)
        assert tape_of(wickerlark, back) == before


def test_a_price_by_hand_moves_with_its_piece_and_is_undone(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        quote = sketch.add_piece(quote.pk, scenes.starter(wickerlark.studio).pk, version=quote.version)
        quote = adjusting.set_by_hand(
            quote.pk, "garland@1", amount=D("99.00"), reason="agreed on the phone", version=quote.version
        )
        quote = adjusting.set_by_hand(
            quote.pk, "hands", amount=D("250"), reason="flat", version=quote.version
        )
        first = quote.pieces.order_by("position").first()
        assert first is not None
        quote = sketch.remove_piece(quote.pk, first.pk, version=quote.version)
        by_hand = {
            line.key: line.amount for line in tape_of(wickerlark, quote).lines if line.built is not None
        }
        assert by_hand == {"garland@0": D("99.00"), "hands": D("250.00")}
        quote = sketch.undo(quote.pk, version=quote.version)
        by_hand = {
            line.key: line.amount for line in tape_of(wickerlark, quote).lines if line.built is not None
        }
        assert by_hand == {"garland@1": D("99.00"), "hands": D("250.00")}
        quote = adjusting.set_by_hand(quote.pk, "hands", amount=None, reason="", version=quote.version)
        assert "hands" not in {
            line.key for line in tape_of(wickerlark, quote).lines if line.built is not None
        }


def test_what_cannot_be_is_refused_at_its_field(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        for said, field in (
            ({"discount_amount": D("99999")}, "discount_amount"),
            ({"discount_amount": D(5), "discount_percent": D(5)}, "discount_amount"),
            ({"discount_percent": D(5), "reason": " "}, "reason"),
        ):
            with pytest.raises(CannotSketch) as refusal:
                adjusted(quote, **said)
            assert set(refusal.value.faults) == {field}
        for amount, reason, field in ((D(-1), "why not", "amount"), (D(5), "", "reason")):
            with pytest.raises(CannotSketch) as refusal:
                adjusting.set_by_hand(quote.pk, "hands", amount=amount, reason=reason, version=quote.version)
            assert set(refusal.value.faults) == {field}
        with pytest.raises(Http404):
            adjusting.set_by_hand(quote.pk, "garland@7", amount=D(5), reason="x", version=quote.version)
        assert sheet.find_quote(quote.pk).version == quote.version


def test_the_studio_s_rates_make_the_price(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        Rates.objects.create(
            price_by="margin",
            margin_percent=D(50),
            overhead_percent=D(0),
            cover_care=D(0),
            rounding_step=D(0),
        )
        plain = tape_of(wickerlark, quote)
        assert plain.inside is not None
        frames = next(line for line in plain.lines if line.part == "frames")
        Rates.objects.update(frame_care=D(4))
        cared = next(line for line in tape_of(wickerlark, quote).lines if line.part == "frames")
        assert frames.cost is not None
        assert cared.cost is not None
        assert round(cared.cost - frames.cost, 6) == 8, "two frames cleaned"
        assert cared.amount == frames.amount + 16, "at half of the price"
        Rates.objects.update(minimum_order=D(9000))
        assert tape_of(wickerlark, quote).net == D(9000)


def test_washing_costs_time_or_what_the_laundry_asks_never_both(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        Rates.objects.create(price_by="margin", margin_percent=D(50), overhead_percent=D(0), prep_hour=D(18))
        covers = quote.pieces.get().takeoff.covers

        def costs() -> tuple[D, D]:
            lines = {line.part: line.cost or D(0) for line in tape_of(wickerlark, quote).lines}
            return lines["hands"], lines["frames"]

        by_hand, frames = costs()
        Rates.objects.update(cover_care=D(6))
        assert covers == 2
        # 20 minutes a cover at 18 an hour, against 6 a cover.
        assert tuple(round(cost, 6) for cost in costs()) == (round(by_hand - 12, 6), round(frames + 12, 6))


def test_the_page_takes_a_discount_and_says_at_the_field_what_is_wrong(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
    browser = wickerlark.client("staff")
    address = wickerlark.url("quoting:quote-adjust", quote.pk)
    said: dict[str, Any] = {
        "version": quote.version,
        "rush_percent": "",
        "discount_percent": "",
        "discount_amount": "50000",
        "reason": "x",
    }
    refused = browser.post(address, said)
    assert refused.status_code == 422
    page = refused.content.decode()
    assert "more than there is" in page
    assert 'value="50000"' in page, "what was typed stays"
    for wrong in (
        {"discount_amount": "-5"},
        {"discount_amount": "five"},
        {"discount_percent": "101", "discount_amount": ""},
    ):
        assert browser.post(address, {**said, **wrong}).status_code == 422
    taken = browser.post(address, {**said, "discount_amount": "$25"}, follow=True)
    page = taken.content.decode()
    assert taken.status_code == 200
    assert "Discount" in page
    assert "−25.00" in page or "-25.00" in page
    with wickerlark.enter():
        version = sheet.find_quote(quote.pk).version
    by_hand = wickerlark.url("quoting:quote-by-hand", quote.pk)
    shown = browser.post(
        by_hand, {"version": version, "key": "hands", "amount": "300", "reason": "flat fee <b>"}, follow=True
    ).content.decode()
    assert "by hand: flat fee &lt;b&gt;" in shown
    assert (
        browser.post(by_hand, {"version": version + 1, "key": "nonsense", "amount": "3"}).status_code == 422
    )
    assert wickerlark.client("crew").post(address, said).status_code == 403


def test_why_a_price_was_set_is_not_told_to_the_client(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        quote = adjusted(quote, discount_percent=D(5), reason="secret reason")
        quote = adjusting.set_by_hand(
            quote.pk, "hands", amount=D(5), reason="secret reason", version=quote.version
        )
        assert "secret reason" not in repr(freezing.frozen_copy(sheet.find_quote(quote.pk)))


def test_instalments_are_offered_invoiced_in_turn_and_add_up(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
    today = today_at(wickerlark.studio)
    address = wickerlark.url("quoting:quote-payment", quote.pk)
    said = {"version": quote.version, "deposit_percent": "30", "percent_1": "33.33", "percent_2": "20"}
    staff = wickerlark.client("staff")
    assert "Enter the due date." in staff.post(address, said).content.decode()
    days = {
        "due_on_1": (today + timedelta(days=9)).isoformat(),
        "due_on_2": (today + timedelta(days=4)).isoformat(),
    }
    too_much = staff.post(address, {**said, **days, "deposit_percent": "60"})
    assert too_much.status_code == 422
    assert "more than 100 %" in too_much.content.decode()
    assert "balance" in staff.post(address, {**said, **days}, follow=True).content.decode()
    with wickerlark.enter():
        offer = offering.offer(sheet.find_quote(quote.pk)).offer
        shown = present_offer(offer.frozen)
        assert [part.percent for part in shown.instalments] == ["20%", "33.33%"], "by day"
        assert shown.rest
    offer = say_yes(wickerlark, offer)
    with wickerlark.enter():
        for number in (1, 2):
            planned = invoiced.next_part(offer)
            assert planned is not None
            label, part = planned
            assert label == f"Instalment {number} of 2"
            issuing.issue_instalment(
                offer, amount=part.amount, label=label, due_on=part.due_on, key=f"part-{number}"
            )
        assert invoiced.next_part(offer) is None
        issuing.issue_balance(offer)
        assert sum(one.total for one in Invoice.objects.all()) == offer.total
        assert Invoice.objects.get(number=1).total == round(offer.total * D("0.30"), 2)


@given(
    st.decimals(0, 90000, places=3),
    st.lists(st.decimals("0.01", 60, places=2), max_size=4),
    st.sampled_from(["EUR", "JPY", "KWD"]),
)
def test_deposit_instalments_and_rest_are_the_total(
    total: Decimal, shares: list[Decimal], currency: str
) -> None:
    """Whatever the shares say: no part is below zero, and they add up."""
    whole = rounded(total, currency)
    deposit = rounded(whole * D("0.4"), currency)
    found, rest = instalments.parts(
        whole, deposit, [instalments.Instalment(share, date(2026, 12, 1)) for share in shares], currency
    )
    assert deposit + sum(part.amount for part in found) + rest == whole
    assert rest >= 0
    assert all(part.amount >= 0 for part in found)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"deposit_amount": "$99,999"}, "Enter an amount from 0 to the total of $"),
        ({"deposit_amount": "-1"}, "At least $0.00"),
        ({"deposit_amount": "100", "deposit_percent": "30"}, "Enter a share or an amount, not both."),
        ({"deposit_percent": "101"}, "100"),
        ({"client_view": "everything"}, "Select a valid choice"),
    ],
)
def test_a_deposit_that_cannot_be_is_said_at_its_field(
    wickerlark: House, typed: dict[str, str], words: str
) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
    address = wickerlark.url("quoting:quote-payment", quote.pk)
    answer = wickerlark.client("staff").post(address, {"version": quote.version, **typed})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert words in page
    for value in typed.values():
        assert value == "everything" or f'value="{value}"' in page
    with wickerlark.enter():
        kept = sheet.find_quote(quote.pk)
        assert (kept.deposit_amount, kept.deposit_percent, kept.client_view) == (None, None, "")


def test_a_deposit_as_an_amount_is_offered_and_invoiced_to_the_cent(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
    address = wickerlark.url("quoting:quote-payment", quote.pk)
    said = {"version": quote.version, "deposit_amount": "$75.25", "client_view": "full"}
    page = wickerlark.client("staff").post(address, said, follow=True).content.decode()
    assert "deposit when the client agrees" in page
    with wickerlark.enter():
        offer = offering.offer(sheet.find_quote(quote.pk)).offer
        shown = present_offer(offer.frozen)
    assert (offer.deposit, shown.deposit_percent) == (D("75.25"), "")
    offer = say_yes(wickerlark, offer)
    with wickerlark.enter():
        assert [invoice.total for invoice in offer.invoices.all()] == [D("75.25")]
