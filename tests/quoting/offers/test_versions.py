"""An offer of several versions: one document, one hold, one of them agreed to. Several modules together."""

from __future__ import annotations

import random
import threading
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
import time_machine
from django.db import connection

from events.models import Event, LogEntry
from quoting.before_sending.open_points import Matter, NotSettled, Word, find_points_of_all
from quoting.build_sheet import sheets
from quoting.invoices.invoiced import agreed_document
from quoting.models import Answer, AnswerKind, Offer, OfferState, Quote, QuoteState, Rates
from quoting.offers import agreeing, offering
from quoting.offers.agreeing import AnsweredAlready, NoLongerOpen, NoSuchChoice, NotAsShown, Visitor
from quoting.offers.document import NotAChoice, price_choice, read_offer, studio_part, variants_of
from quoting.offers.document_presenter import present_offer
from quoting.offers.keeping import find_kept
from quoting.offers.needs import whole_needs
from quoting.offers.refusals import CannotHoldAll, CannotOffer
from quoting.quotes import sheet, sketch
from quoting.variants import variants
from stock.holds import holds
from stock.ledger import movements
from stock.models import HoldLine, HoldState, Item
from studio.models import OutboxEntry, entered_studio
from tests import people
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.offer_scenes import tentative_hold_of
from tests.quoting.offers.test_agreeing import ADA, BEN, agree
from tests.quoting.variants.scenes import fresh, offered_three, three

pytestmark = pytest.mark.django_db


def pick(
    house: House, offer: Offer, letter: str, *, name: str = "Ada Adeyo", visitor: Visitor = ADA
) -> Answer:
    """Agree to a version as it opens, at its price."""
    price = price_choice(read_offer(offer.frozen).quote, [letter])
    return agree(house, offer, name=name, visitor=visitor, total=str(price.total), chosen=price.chosen)


def held(hold_id: int) -> dict[str, int]:
    """What a hold has, by code; call it inside the studio."""
    return dict(HoldLine.objects.filter(hold=hold_id).values_list("item__code", "quantity"))


def reusable(needs: dict[str, int]) -> dict[str, int]:
    """What comes back of these, by code; call it inside the studio."""
    codes = {item.code for item in Item.objects.filter(code__in=needs) if item.is_reusable}
    return {code: quantity for code, quantity in needs.items() if code in codes and quantity}


def test_one_document_has_the_versions_from_the_cheapest_up(wickerlark: House) -> None:
    offer = offered_three(wickerlark).offer
    shown = present_offer(offer.frozen)
    assert [(one.key, one.name) for one in shown.variants] == [
        ("A", "Simple"),
        ("B", "Fuller"),
        ("C", "Grand"),
    ]
    totals = [one.total for one in variants_of(read_offer(offer.frozen).quote).values()]
    assert totals == sorted(totals)
    assert len(set(totals)) == 3
    assert offer.total == totals[0]
    # The studio shows its clients no counts.
    assert shown.variants[2].differs == (
        "more balloons, more florals, a second set piece, 2 frames more, 2 covers more"
    )
    assert shown.variants[2].than == "Fuller"


def test_the_price_of_each_version_is_that_of_its_quote(wickerlark: House) -> None:
    with wickerlark.enter():
        rows = three(wickerlark)
        offer = offering.offer(rows[0]).offer
        priced = {each.variant_name: each.priced_total for each in rows}
    for one in variants_of(read_offer(offer.frozen).quote).values():
        assert one.total == priced[one.variant]
        assert sum((line.amount for line in one.lines), Decimal(0)) == one.net


def test_the_hold_is_item_by_item_what_the_neediest_version_takes(wickerlark: House) -> None:
    offer = offered_three(wickerlark).offer
    every = variants_of(read_offer(offer.frozen).quote).values()
    with wickerlark.enter():
        kept = held(tentative_hold_of(offer).pk)
        needs = [reusable(whole_needs(one)) for one in every]
        assert kept == {code: max(each.get(code, 0) for each in needs) for each in needs for code in each}
        assert kept["frame-arch-7ft"] == 2
        assert [each["frame-arch-7ft"] for each in needs] == [1, 1, 2]
        assert find_kept(offer).is_on_hold


@pytest.mark.parametrize("letter", ["A", "B", "C"])
def test_after_agreeing_the_hold_is_the_picked_versions(wickerlark: House, letter: str) -> None:
    offer = offered_three(wickerlark).offer
    pick(wickerlark, offer, letter)
    document = read_offer(offer.frozen).quote
    with wickerlark.enter():
        kept = Offer.objects.select_related("quote__event").get(pk=offer.pk)
        assert tentative_hold_of(kept).state == HoldState.RELEASED
        event = kept.quote.event
        assert event.hold_id is not None
        wanted = whole_needs(variants_of(document)[letter])
        assert reusable(held(event.hold_id)) == reusable(wanted)
        assert find_kept(kept).is_reserved


@pytest.mark.parametrize(
    ("letter", "name", "pieces"), [("A", "Simple", 1), ("B", "Fuller", 1), ("C", "Grand", 2)]
)
def test_everything_after_the_agreement_has_the_picked_version_alone(
    wickerlark: House, letter: str, name: str, pieces: int
) -> None:
    offer = offered_three(wickerlark).offer
    answer = pick(wickerlark, offer, letter)
    one = variants_of(read_offer(offer.frozen).quote)[letter]
    assert (answer.total, answer.chosen) == (one.total, [letter])
    assert f"I agree to “{name}” at the price of" in answer.statement
    with wickerlark.enter():
        kept = Offer.objects.get(pk=offer.pk)
        quote = fresh(kept.quote)
        assert (quote.state, quote.variant_name, quote.priced_total) == (QuoteState.AGREED, name, one.total)
        assert {each.state for each in quote.variants.all()} == {QuoteState.SET_ASIDE}
        assert len(sheets.pieces(quote, "feet", [])) == pieces
        billed = agreed_document(kept)
        assert (billed.total, billed.lines, billed.others) == (one.total, one.lines, ())
        assert LogEntry.objects.filter(
            event=quote.event, text=f"The client picked “{name}”, one of 3 versions."
        ).exists()
        told = OutboxEntry.objects.get(task="studio.send_mail").arguments["context"]
        assert told["options"][0] == f"Version: {name}"
        assert studio_part(read_offer(kept.frozen).quote, answer.chosen).bill == one.bill


def test_a_version_that_cannot_be_held_is_named_and_the_others_can_be_offered(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, _, grand = three(wickerlark, covers=1)
        with pytest.raises(CannotHoldAll) as refused:
            offering.offer(lead)
        assert [(one.quote_id, one.name) for one in refused.value.unheld] == [(grand.pk, "Grand")]
        assert "Cover for arch 7ft, sage: 1 free of 2 needed." in refused.value.unheld[0].reasons
        assert not Offer.objects.exists()
        assert not HoldLine.objects.exists()
        variants.leave_out(grand.pk)
        made = offering.offer(fresh(lead))
        assert [one.name for one in present_offer(made.offer.frozen).variants] == ["Simple", "Fuller"]
        assert made.short == ()
        assert find_kept(made.offer).is_on_hold


def test_all_of_them_can_be_offered_all_the_same_and_nothing_is_said_to_be_held(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, *_ = three(wickerlark, covers=1)
        made = offering.offer(lead, without_hold=True)
        assert made.short
        assert made.offer.mail_stopped_at is not None
        assert not find_kept(made.offer).is_on_hold


def test_two_versions_that_are_the_same_are_not_offered(wickerlark: House) -> None:
    with wickerlark.enter():
        lead = offer_scenes.quote(wickerlark)
        variants.add_variant(lead.pk, name="")
        with pytest.raises(CannotOffer, match="Simple and Fuller are the same"):
            offering.offer(lead)


def test_what_is_open_about_one_version_holds_back_all_of_them(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, fuller, _ = three(wickerlark)
        sketch.add_free_line(
            fuller.pk, label="Friend", quantity=Decimal(1), unit_price=Decimal(-200), tax_id=None,
            version=fuller.version,
        )  # fmt: skip
        Rates.objects.update(margin_floor_percent=Decimal(20))
        reads = [sheet.read_sheet(fresh(each), entered_studio()) for each in (lead, fuller)]
        margins = [read.whole_tape.inside.margin_percent for read in reads if read.whole_tape.inside]
        with pytest.raises(NotSettled) as refused:
            offering.offer(fresh(lead))
        (point,) = [each for each in refused.value.points if each.matter == Matter.MARGIN]
        assert point.percent == min(margins)
        assert not Offer.objects.exists()
        word = Word(frozenset(each.key for each in find_points_of_all(reads)), "Agreed on the phone")
        assert offering.offer(fresh(lead), word=word).made


def test_nobody_sends_versions_that_they_have_not_seen(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, fuller, _ = three(wickerlark)
        seen = variants.find_beside(lead)
        (piece,) = fuller.pieces.all()
        sketch.alter_piece(fuller.pk, piece.pk, {"loss": 0.2}, version=fuller.version)
        with pytest.raises(CannotOffer, match="One of the versions was changed"):
            offering.offer(lead, seen_beside=seen)
        assert offering.offer(lead, seen_beside=variants.find_beside(lead)).made


def test_offering_the_same_versions_again_gives_the_first_offer(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, fuller, _ = three(wickerlark)
        first = offering.offer(lead).offer
        again = offering.offer(fresh(fuller))
        assert (again.made, again.offer.pk) == (False, first.pk)


@pytest.mark.parametrize("chosen", [(), ("A", "B"), ("D",), ("a",), ("A", "a")])
def test_what_names_no_version_or_two_is_no_choice(wickerlark: House, chosen: tuple[str, ...]) -> None:
    offer = offered_three(wickerlark).offer
    with pytest.raises(NotAChoice):
        price_choice(read_offer(offer.frozen).quote, chosen)
    with pytest.raises(NoSuchChoice):
        agree(wickerlark, offer, chosen=chosen)
    with wickerlark.enter():
        assert not Answer.objects.exists()


def test_a_version_at_another_ones_price_is_not_agreed_to(wickerlark: House) -> None:
    offer = offered_three(wickerlark).offer
    with pytest.raises(NotAsShown):
        agree(wickerlark, offer, total=str(offer.total), chosen=("C",))


def test_pressing_twice_is_one_agreement_and_another_tab_picks_in_vain(wickerlark: House) -> None:
    offer = offered_three(wickerlark).offer
    answer = pick(wickerlark, offer, "B")
    assert pick(wickerlark, offer, "B").pk == answer.pk
    with pytest.raises(AnsweredAlready, match="Ada Adeyo has agreed"):
        pick(wickerlark, offer, "C")
    with wickerlark.enter():
        assert Answer.objects.get().chosen == ["B"]


def test_an_expired_offer_has_nothing_to_pick(wickerlark: House) -> None:
    offer = offered_three(wickerlark).offer
    with (
        time_machine.travel(offer.expires_at + timedelta(seconds=1)),
        pytest.raises(NoLongerOpen, match="expired"),
    ):
        pick(wickerlark, offer, "B")


def test_a_version_left_out_after_it_was_sent_can_still_be_picked(wickerlark: House) -> None:
    offer = offered_three(wickerlark).offer
    with wickerlark.enter():
        before = Offer.objects.get().frozen
        grand = Quote.objects.get(variant_name="Grand")
        variants.leave_out(grand.pk)
        assert Offer.objects.get().frozen == before
    pick(wickerlark, offer, "C")
    with wickerlark.enter():
        assert fresh(Offer.objects.get().quote).variant_name == "Grand"
        assert fresh(Offer.objects.get().quote).pieces.count() == 2


def test_what_is_gone_by_then_undoes_the_pick(wickerlark: House) -> None:
    offer = offered_three(wickerlark).offer
    with wickerlark.enter():
        holds.release(tentative_hold_of(offer).pk, key="let-go-early")
        movements.count(Item.objects.get(code="frame-arch-7ft").pk, 1, key="one-left")
    with pytest.raises(agreeing.Gone):
        pick(wickerlark, offer, "C")
    with wickerlark.enter():
        assert not Answer.objects.exists()
        assert fresh(Offer.objects.get().quote).variant_name == "Simple"
    pick(wickerlark, offer, "A")


@pytest.mark.django_db(transaction=True)
def test_of_two_who_pick_at_once_one_is_agreed_and_its_version_is_held() -> None:
    house = people.wickerlark()
    offer = offered_three(house).offer
    start = threading.Barrier(2)
    outcomes: dict[str, Answer | AnsweredAlready] = {}

    def press(letter: str) -> None:
        try:
            start.wait(timeout=20)
            name, visitor = ("Ada", ADA) if letter == "A" else ("Ben", BEN)
            outcomes[letter] = pick(house, offer, letter, name=name, visitor=visitor)
        except AnsweredAlready as refusal:
            outcomes[letter] = refusal
        finally:
            connection.close()

    presses = [threading.Thread(target=press, args=(letter,)) for letter in "AC"]
    for thread in presses:
        thread.start()
    for thread in presses:
        thread.join(timeout=60)
    (picked,) = [letter for letter, outcome in outcomes.items() if isinstance(outcome, Answer)]
    assert len(outcomes) == 2
    with house.enter():
        assert Answer.objects.get(kind=AnswerKind.AGREED).chosen == [picked]
        hold = Event.objects.get(pk=fresh(offer.quote).event_id).hold_id
        assert hold is not None
        assert held(hold)["frame-arch-7ft"] == (2 if picked == "C" else 1)


@pytest.mark.parametrize("seed", range(3))
def test_a_random_history_keeps_what_the_newest_offer_needs_at_most(wickerlark: House, seed: int) -> None:
    """The model: what each version takes of one frame. An open offer keeps the most of them, an agreed one its own."""
    dice = random.Random(seed)  # noqa: S311 # a history, no secret
    with wickerlark.enter():
        rows = three(wickerlark)
        lead = rows[0]
    takes = {"Simple": 1, "Fuller": 1, "Grand": 2}
    out: set[str] = set()

    def switch() -> None:
        name = dice.choice(sorted(takes))
        row = Quote.objects.get(variant_name=name)
        if row.is_left_out:
            variants.put_back(row.pk)
            out.discard(name)
        elif len(out) < 2:
            variants.leave_out(row.pk)
            out.add(name)

    def offer() -> None:
        made = offering.offer(fresh(lead)).offer
        kept = held(tentative_hold_of(made).pk)["frame-arch-7ft"]
        assert kept == max(count for name, count in takes.items() if name not in out)

    acts: list[Callable[[], None]] = [switch, switch, offer]
    with wickerlark.enter():
        for _ in range(8):
            dice.choice(acts)()
        offer()
        made = Offer.objects.get(state=OfferState.OPEN)
    names = [one.variant for one in variants_of(read_offer(made.frozen).quote).values()]
    if not names:
        agree(wickerlark, made)
        (name,) = set(takes) - out
    else:
        place = dice.randrange(len(names))
        pick(wickerlark, made, "ABC"[place])
        name = names[place]
    with wickerlark.enter():
        assert len(names) in (0, 3 - len(out))
        hold = fresh(made.quote).event.hold_id
        assert hold is not None
        assert held(hold)["frame-arch-7ft"] == takes[name]
