"""Options within an offer: every combination's total, what is held for it, what is kept, what is refused."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest
from msgspec import structs

from events.models import BillRow, LoadOutLine, WorkRow
from quoting.craft.design.design_file import read_design
from quoting.invoices import issuing
from quoting.models import Answer, Choice, Invoice, InvoiceKind, Offer, Quote, QuoteState
from quoting.offers import agreeing, offering
from quoting.offers.agreeing import PageShown, Visitor
from quoting.offers.document import NotAChoice, price_choice, read_offer
from quoting.offers.document_presenter import present_offer
from quoting.offers.refusals import CannotOffer
from quoting.quotes import sheet, sketch
from quoting.quotes.options import MOST_OPTIONS, every_choice
from quoting.set_pieces.faults import CannotSketch
from stock.ledger import movements
from stock.models import Item
from studio import tenancy
from studio.models import Studio
from studio.tenancy.rights import Role
from tests.people import House
from tests.quoting import offer_scenes, scenes

pytestmark = pytest.mark.django_db

ADA = Visitor("203.0.113.7", "Harbour Browser 7")


def line(quote: Quote, label: str, price: str, choice: Choice = Choice.FIXED) -> Quote:
    quote = sketch.add_free_line(
        quote.pk,
        label=label,
        quantity=Decimal(1),
        unit_price=Decimal(price),
        tax_id=None,
        version=quote.version,
    )
    if choice:
        made = quote.free_lines.get(label=label)
        quote = sketch.set_options(quote.pk, {f"line-{made.pk}": choice}, version=quote.version)
    return quote


def with_options(house: House) -> Quote:
    """Two set pieces of which the second is an option that is in, its florals one that is out; a plinth that is out."""
    quote = scenes.quote(house)
    for code in ("cover-arch-7ft-sage", "cover-arch-6ft-oat"):
        movements.receive(Item.objects.get(code=code).pk, 1, key=f"second-{code}")
    quote = sketch.add_piece(quote.pk, scenes.starter(house.studio).pk, version=quote.version)
    second = quote.pieces.last()
    assert second is not None
    choices = {f"piece-{second.pk}": Choice.ON, f"florals-{second.pk}": Choice.OFF}
    quote = sketch.set_options(quote.pk, choices, version=quote.version)
    return line(quote, "Hired plinth", "64.99", Choice.OFF)


def agree(house: House, offer: Offer, *chosen: str, total: str | None = None) -> Answer:
    price = price_choice(read_offer(offer.frozen).quote, chosen)
    shown = PageShown(offer.version, total or str(price.total), offer.digest, chosen)
    with tenancy.entered(house.studio.pk, role=Role.CLIENT):
        return agreeing.agree(offer.pk, shown=shown, name="Ada Adeyo", ticked=True, visitor=ADA)


def test_an_option_that_is_out_costs_nothing_on_the_quote_and_one_that_is_in_does(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        before = quote.priced_total
        quote = line(quote, "Hired plinth", "64.99")
        whole = quote.priced_total
        (plinth,) = quote.free_lines.all()
        out = sketch.set_options(quote.pk, {f"line-{plinth.pk}": Choice.OFF}, version=quote.version)
        assert out.priced_total == before
        inside = sketch.set_options(quote.pk, {f"line-{plinth.pk}": Choice.ON}, version=out.version)
        assert inside.priced_total == whole != before


def test_every_combination_has_the_price_that_a_quote_of_just_that_would_have(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = with_options(wickerlark)
        offer = offering.offer(quote).offer
        studio = Studio.objects.get(pk=wickerlark.studio.pk)
        read = sheet.read_sheet(sheet.find_quote(quote.pk), studio)
        keys = [option.key for option in read.options]
        prices = {
            chosen: price_choice(read_offer(offer.frozen).quote, chosen)
            for chosen in every_choice(read.options)
        }
        assert keys == ["a", "b", "c"]
        assert len(prices) == 8
        # The same prices from a quote of its own for each combination, made by hand.
        for chosen, price in prices.items():
            own = scenes.quote(wickerlark, title=f"Alone {''.join(sorted(chosen))}")
            if "a" in chosen:
                own = sketch.add_piece(own.pk, scenes.starter(wickerlark.studio).pk, version=own.version)
                if "b" not in chosen:
                    piece = own.pieces.last()
                    assert piece is not None
                    piece.takeoff = structs.replace(
                        piece.takeoff,
                        bill=tuple(each for each in piece.takeoff.bill if each.part != "florals"),
                        tasks=tuple(each for each in piece.takeoff.tasks if each.task != "Florals"),
                    )
                    piece.save()
            if "c" in chosen:
                own = line(own, "Hired plinth", "64.99")
            tape = sheet.read_sheet(sheet.find_quote(own.pk), studio).whole_tape
            assert (price.net, price.total, price.deposit) == (tape.net, tape.total, tape.deposit)
    assert (
        len({price.total for price in prices.values()}) == 6
    )  # florals of a piece that isn't there cost nothing


def test_the_deposit_and_the_invoices_are_of_what_was_chosen(wickerlark: House) -> None:
    with wickerlark.enter():
        offer = offering.offer(with_options(wickerlark)).offer
    agree(wickerlark, offer, "c")
    price = price_choice(read_offer(offer.frozen).quote, "c")
    assert price.deposit > 0
    with wickerlark.enter():
        kept = Offer.objects.get(pk=offer.pk)
        deposit = Invoice.objects.get(kind=InvoiceKind.DEPOSIT)
        balance = issuing.issue_balance(kept)
    assert deposit.total == price.deposit
    assert deposit.total + balance.total == price.total


@pytest.mark.parametrize("inclusive", [False, True])
def test_lines_taxes_and_totals_of_every_combination_add_up(
    wickerlark: House, federkorn: House, inclusive: bool
) -> None:
    house = federkorn if inclusive else wickerlark
    with house.enter():
        offer = offering.offer(with_options(house)).offer
    prices = json.loads(offer.frozen)["quote"]["prices"]
    assert len(prices) == 8
    for price in prices.values():
        lines = sum(Decimal(each["amount"]) for each in price["lines"])
        taxes = sum(Decimal(each["amount"]) for each in price["taxes"])
        assert Decimal(price["net"]) + taxes == Decimal(price["total"])
        assert lines == Decimal(price["total"] if inclusive else price["net"])
        asked = Decimal(price["total"]) * Decimal(price["deposit_percent"]) / 100
        assert abs(Decimal(price["deposit"]) - asked) <= Decimal("0.005")


def test_an_offer_opens_with_the_total_of_the_quote_page(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = with_options(wickerlark)
        offer = offering.offer(quote).offer
    assert offer.total == quote.priced_total == price_choice(read_offer(offer.frozen).quote).total
    assert price_choice(read_offer(offer.frozen).quote).chosen == ("a",)


def test_what_an_option_is_said_to_add_is_what_the_total_grows_by(wickerlark: House) -> None:
    with wickerlark.enter():
        offer = offering.offer(with_options(wickerlark)).offer

    def number(written: str) -> Decimal:
        return Decimal(written.replace("$", "").replace(",", ""))

    for chosen in (("a",), ("a", "b"), ("a", "c"), ()):
        shown = present_offer(offer.frozen, chosen)
        for option in shown.options:
            if option.needs:
                continue
            without, with_it = (
                price_choice(read_offer(offer.frozen).quote, [*(set(chosen) - {option.key}), *extra]).total
                for extra in ((), (option.key,))
            )
            assert number(option.amount) == with_it - without


def test_agreeing_holds_what_was_chosen_and_nothing_else(wickerlark: House) -> None:
    with wickerlark.enter():
        offer = offering.offer(with_options(wickerlark)).offer
    bill = json.loads(offer.frozen)["quote"]["bill"]
    alone: dict[str, int] = {}
    for each in bill:
        if not each["options"]:
            alone[each["code"]] = alone.get(each["code"], 0) + each["quantity"]
    assert any(each["options"] for each in bill)
    agree(wickerlark, offer)  # the second piece is let go
    with wickerlark.enter():
        event_id = Quote.objects.get(pk=offer.quote_id).event_id
        listed: dict[str, int] = {}
        for line in LoadOutLine.objects.filter(event=event_id):
            listed[line.item_code] = listed.get(line.item_code, 0) + line.quantity
        assert listed == {**alone, **offer_scenes.KIT}
        florals = WorkRow.objects.get(event=event_id, task="Florals").minutes
        work = json.loads(offer.frozen)["quote"]["work"]
        first = [task["minutes"] for task in work if task["task"] == "Florals" and not task["options"]]
        assert [florals] == [Decimal(str(minutes)) for minutes in first]


def test_florals_that_were_left_out_are_not_brought(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        (piece,) = quote.pieces.all()
        quote = sketch.set_options(quote.pk, {f"florals-{piece.pk}": Choice.ON}, version=quote.version)
        offer = offering.offer(quote).offer
    agree(wickerlark, offer)
    with wickerlark.enter():
        codes = set(BillRow.objects.values_list("code", flat=True))
        assert codes
        assert not any(code.startswith(("greenery", "pick")) for code in codes)
        assert not WorkRow.objects.filter(task="Florals").exists()
        wanted = {floral.item for floral in read_design(piece.design).florals}
        assert wanted
        assert not wanted & codes


def test_the_evidence_says_what_was_chosen_and_its_total(wickerlark: House) -> None:
    with wickerlark.enter():
        offer = offering.offer(with_options(wickerlark)).offer
    answer = agree(wickerlark, offer, "a", "c")
    shown = present_offer(offer.frozen, ("a", "c"))
    assert answer.chosen == ["a", "c"]
    assert answer.total == price_choice(read_offer(offer.frozen).quote, "ac").total != offer.total
    assert shown.total in answer.statement
    assert "including Organic garland over two nested arches, Hired plinth;" in answer.statement
    assert "not included: Florals of Organic garland over two nested arches" in answer.statement
    with wickerlark.enter():
        quote = Quote.objects.get(pk=offer.quote_id)
    assert (quote.state, quote.priced_total) == (QuoteState.AGREED, answer.total)


def test_an_option_that_does_not_exist_agrees_to_nothing(wickerlark: House) -> None:
    with wickerlark.enter():
        offer = offering.offer(with_options(wickerlark)).offer
    for chosen in (("z",), ("a", "q"), ("",), ("ab",), ("A",), ("a" * 9000,)):
        shown = PageShown(offer.version, str(offer.total), offer.digest, chosen)
        with (
            tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT),
            pytest.raises(agreeing.NoSuchChoice, match="has no option"),
        ):
            agreeing.agree(offer.pk, shown=shown, name="Ada Adeyo", ticked=True, visitor=ADA)
    with wickerlark.enter():
        assert not Answer.objects.exists()


def test_the_total_of_another_choice_agrees_to_nothing(wickerlark: House) -> None:
    with wickerlark.enter():
        offer = offering.offer(with_options(wickerlark)).offer
    with pytest.raises(agreeing.NotAsShown, match="corrected below"):
        agree(wickerlark, offer, "a", "c", total=str(offer.total))
    with wickerlark.enter():
        assert not Answer.objects.exists()


def test_two_presses_with_different_choices_are_not_one_press(wickerlark: House) -> None:
    with wickerlark.enter():
        offer = offering.offer(with_options(wickerlark)).offer
    first = agree(wickerlark, offer, "a")
    assert agree(wickerlark, offer, "a").pk == first.pk
    with pytest.raises(agreeing.AnsweredAlready, match="Ada Adeyo has agreed"):
        agree(wickerlark, offer, "a", "c")


def test_where_everything_is_an_option_something_must_be_chosen(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        (piece,) = quote.pieces.all()
        quote = sketch.set_options(quote.pk, {f"piece-{piece.pk}": Choice.OFF}, version=quote.version)
        with pytest.raises(CannotOffer, match="Include at least one option"):
            offering.offer(quote)
        quote = sketch.set_options(quote.pk, {f"piece-{piece.pk}": Choice.ON}, version=quote.version)
        offer = offering.offer(quote).offer
    with pytest.raises(NotAChoice, match="Choose at least one"):
        price_choice(read_offer(offer.frozen).quote, ())


def test_a_discount_larger_than_what_is_left_is_refused_when_offering(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        (piece,) = quote.pieces.all()
        quote = sketch.set_options(quote.pk, {f"piece-{piece.pk}": Choice.ON}, version=quote.version)
        assert quote.priced_net is not None
        quote = line(quote, "For old times' sake", str(1 - quote.priced_net))
        with pytest.raises(CannotOffer, match="the discount is larger than the price"):
            offering.offer(quote)
        assert not Offer.objects.exists()


def test_marking_options_is_one_step_that_can_be_undone(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = line(offer_scenes.quote(wickerlark), "Hired plinth", "64.99")
        (piece,), (plinth,) = quote.pieces.all(), quote.free_lines.all()
        before = quote.priced_total
        choices = {f"piece-{piece.pk}": Choice.ON, f"line-{plinth.pk}": Choice.OFF}
        quote = sketch.set_options(quote.pk, choices, version=quote.version)
        assert quote.priced_total != before
        undone = sketch.undo(quote.pk, version=quote.version)
        assert undone.priced_total == before
        assert undone.pieces.get().choice == undone.free_lines.get().choice == Choice.FIXED


def test_more_options_than_anybody_can_weigh_are_refused(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        for number in range(MOST_OPTIONS):
            quote = line(quote, f"Candle {number}", "3", Choice.OFF)
        (piece,) = quote.pieces.all()
        with pytest.raises(CannotSketch, match="at most 6 options; 7 are marked"):
            sketch.set_options(quote.pk, {f"piece-{piece.pk}": Choice.ON}, version=quote.version)
        assert quote.pieces.get().choice == Choice.FIXED
        assert len(json.loads(offering.offer(quote).offer.frozen)["quote"]["prices"]) == 2**MOST_OPTIONS


def test_what_comes_back_is_held_for_every_option(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = with_options(wickerlark)
        second = quote.pieces.last()
        assert second is not None
        quote = sketch.set_options(quote.pk, {f"piece-{second.pk}": Choice.OFF}, version=quote.version)
        hold = offer_scenes.tentative_hold_of(offering.offer(quote).offer)
        kept: dict[str, Any] = dict(hold.lines.values_list("item__code", "quantity"))
    assert kept["frame-arch-7ft"] == 2
