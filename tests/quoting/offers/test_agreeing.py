"""Agreeing, declining and asking for a change: what is kept, what follows, and what is refused whole."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.core import mail as sent_mail
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import connection

from events.loadout import load_list
from events.models import Event, LoadOutLine, Stage, Status
from quoting import tasks
from quoting.models import Answer, AnswerKind, Offer, OfferState, Quote, QuoteState
from quoting.offers import agreeing, offering
from quoting.offers.agreeing import PageShown, Visitor
from quoting.offers.document import read_offer, studio_part
from quoting.offers.document_presenter import present_offer
from quoting.pricing import frozen
from quoting.quotes import sketch
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import Hold, HoldLine, HoldState, Item
from studio import tenancy
from studio.models import OutboxEntry, Studio
from studio.tenancy.rights import Role
from tests import people
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.offer_scenes import offered, tentative_hold_of

pytestmark = pytest.mark.django_db

ADA = Visitor("203.0.113.7", "Harbour Browser 7")
BEN = Visitor("198.51.100.9", "Quay Browser 2")


def shown(offer: Offer, **changed: Any) -> PageShown:
    facts = {"version": offer.version, "total": str(offer.total), "digest": offer.digest, **changed}
    return PageShown(**facts)


def agree(
    house: House, offer: Offer, *, name: str = "Ada Adeyo", visitor: Visitor = ADA, **changed: Any
) -> Answer:
    with tenancy.entered(house.studio.pk, role=Role.CLIENT):
        return agreeing.agree(
            offer.pk,
            shown=changed.pop("shown", None) or shown(offer, **changed),
            name=name,
            ticked=True,
            visitor=visitor,
        )


def one_frame_left() -> None:
    """Somebody counts the shelf, and one of the two frames isn't there."""
    movements.count(Item.objects.get(code="frame-arch-7ft").pk, 1, key="count-frames")


def nothing_happened(house: House, offer: Offer) -> None:
    """The offer, its event and the stock stand as before anybody answered."""
    with house.enter():
        kept = Offer.objects.select_related("quote__event").get(pk=offer.pk)
        assert kept.state == OfferState.OPEN
        assert kept.quote.state == QuoteState.OFFERED
        assert (kept.quote.event.status, kept.quote.event.stage) == (Status.TENTATIVE, Stage.OFFERED)
        assert not Answer.objects.exists()
        assert not LoadOutLine.objects.exists()
        assert tentative_hold_of(kept).state == HoldState.TENTATIVE
        assert not Hold.objects.filter(state=HoldState.HELD, label=kept.quote.event.title).exists()


def test_agreeing_promises_the_event_and_holds_its_stock(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    agree(wickerlark, offer)
    with wickerlark.enter():
        kept = Offer.objects.select_related("quote__event__hold").get(pk=offer.pk)
        event = kept.quote.event
        assert (kept.state, kept.quote.state) == (OfferState.AGREED, QuoteState.AGREED)
        assert (event.status, event.stage) == (Status.CONFIRMED, Stage.AGREED)
        assert event.hold is not None
        assert event.hold.state == HoldState.HELD
        assert tentative_hold_of(kept).state == HoldState.RELEASED


def test_the_load_out_list_has_the_counts_of_what_was_agreed(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    agree(wickerlark, offer)
    wanted: dict[str, int] = {}
    for line in studio_part(read_offer(offer.frozen).quote).bill:
        wanted[line.code] = wanted.get(line.code, 0) + line.quantity
    with wickerlark.enter():
        event_id = Quote.objects.get(pk=offer.quote_id).event_id
        hold = Event.objects.get(pk=event_id).hold
        held = dict(HoldLine.objects.filter(hold=hold).values_list("item__code", "quantity"))
    with wickerlark.enter("crew"):
        states = load_list.find_load_out_list(event_id).states
    listed: dict[str, int] = {}
    for state in states:
        listed[state.line.item_code] = listed.get(state.line.item_code, 0) + state.line.quantity
    assert listed == {**wanted, **offer_scenes.KIT}
    assert wanted["frame-arch-7ft"] == 1
    assert held == {code: number for code, number in wanted.items() if code in held}
    assert held["latex-11-oat"] > 1


def test_the_evidence_says_who_when_from_where_and_to_what(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    answer = agree(wickerlark, offer, name="  Ada   Adeyo ")
    assert (answer.kind, answer.name, answer.address, answer.user_agent) == (
        AnswerKind.AGREED, "Ada Adeyo", "203.0.113.7", "Harbour Browser 7",
    )  # fmt: skip
    assert (answer.version, answer.total, answer.currency) == (offer.version, offer.total, "USD")
    assert (answer.frozen, answer.digest) == (offer.frozen, offer.digest)
    assert frozen.digest_of(answer.frozen) == answer.digest
    assert present_offer(offer.frozen).total in answer.statement


def test_client_and_studio_get_their_letters_once(wickerlark: House) -> None:
    with wickerlark.enter():
        Studio.objects.filter(pk=wickerlark.studio.pk).update(email="hello@wickerlark.example")
    offer = offered(wickerlark).offer
    answer = agree(wickerlark, offer)
    agree(wickerlark, offer)
    with wickerlark.enter():
        letters = OutboxEntry.objects.exclude(task__in=["quoting.render_offer_pdf", "quoting.mail_offer"])
        written = {entry.task: entry.arguments for entry in letters}
    assert set(written) == {
        "quoting.mail_agreed", "studio.send_mail", "quoting.render_agreed_pdf", "quoting.render_invoice_pdf",
        "quoting.mail_invoice",
    }  # fmt: skip
    assert letters.count() == 5
    assert written["quoting.mail_agreed"] == {"answer_id": answer.pk}
    assert written["studio.send_mail"]["to"] == "hello@wickerlark.example"
    assert written["studio.send_mail"]["template"] == "offer_agreed"


def test_a_studio_without_an_address_is_told_through_its_owners(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    agree(wickerlark, offer)
    with wickerlark.enter():
        told = OutboxEntry.objects.get(task="studio.send_mail").arguments["to"]
    assert told == wickerlark.owner.email


def test_the_second_press_of_one_button_is_one_agreement(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    first = agree(wickerlark, offer)
    second = agree(wickerlark, offer, name="ada adeyo")
    assert first.pk == second.pk
    with wickerlark.enter():
        assert Answer.objects.count() == 1


def test_a_second_person_is_told_who_has_agreed_already(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    agree(wickerlark, offer)
    with pytest.raises(agreeing.AnsweredAlready, match="Ada Adeyo has agreed to this offer already"):
        agree(wickerlark, offer, name="Ben Adeyo", visitor=BEN)


@pytest.mark.parametrize(
    "changed",
    [
        {"version": 2},
        {"total": "1.00"},
        {"total": "NaN"},
        {"total": "a lot"},
        {"digest": "0" * 64},
        {"digest": ""},
    ],
)
def test_a_page_that_shows_something_else_agrees_to_nothing(
    wickerlark: House, changed: dict[str, Any]
) -> None:
    offer = offered(wickerlark).offer
    with pytest.raises(agreeing.NotAsShown, match=r"page is out of date|doesn't match your options"):
        agree(wickerlark, offer, **changed)
    nothing_happened(wickerlark, offer)


@pytest.mark.parametrize(
    ("name", "ticked", "field", "said"),
    [
        ("", True, "name", "Enter your name"),
        ("   ", True, "name", "Enter your name"),
        ("A" * 121, True, "name", "120 characters"),
        ("Ada Adeyo", False, "ticked", "Tick this"),
    ],
)
def test_without_a_name_and_a_tick_nothing_is_agreed(
    wickerlark: House, name: str, ticked: bool, field: str, said: str
) -> None:
    offer = offered(wickerlark).offer
    with (
        tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT),
        pytest.raises(ValidationError, match=said) as refusal,
    ):
        agreeing.agree(offer.pk, shown=shown(offer), name=name, ticked=ticked, visitor=ADA)
    assert list(refusal.value.error_dict) == [field]
    nothing_happened(wickerlark, offer)


@pytest.mark.parametrize("name", ["山田 花子", "Þórdís Ægisdóttir", "أمينة", "O’Neil-Ångström"])
def test_a_name_in_any_script_is_kept_as_typed(wickerlark: House, name: str) -> None:
    assert agree(wickerlark, offered(wickerlark).offer, name=name).name == name


def test_what_is_gone_since_is_said_and_nothing_half_happens(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with wickerlark.enter():
        event = Event.objects.get(quotes=made.quote_id)
        holds.hold(
            label="Rowing club",
            window=event.hold_window(),
            needs=[Material("frame-arch-7ft", 1)],
            key="rowing-club",
        )
        one_frame_left()
    with pytest.raises(agreeing.Gone) as refused:
        agree(wickerlark, made)
    assert "Arch frame 7ft: 0 free of 1 needed." in refused.value.for_studio
    assert "Arch frame" not in " ".join(refused.value.messages), "stock is the studio's own business"
    nothing_happened(wickerlark, made)


def test_the_studio_is_told_once_a_day_that_an_agreement_failed(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    with tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT):
        for _ in range(2):
            agreeing.tell_studio_of_failure(
                offer.pk, name="Ada Adeyo", reasons=["Arch frame 7ft: 0 free of 1 needed."]
            )
    with wickerlark.enter():
        entry = OutboxEntry.objects.get(task="studio.send_mail")
    assert entry.arguments["template"] == "offer_gone"
    assert entry.arguments["context"]["reasons"] == ["Arch frame 7ft: 0 free of 1 needed."]


def test_an_offer_that_lapsed_meanwhile_is_not_agreed_to(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    late = time_machine.travel(offer.expires_at + timedelta(seconds=1))
    with late, pytest.raises(agreeing.NoLongerOpen, match="has expired"):
        agree(wickerlark, offer)


def test_an_offer_that_was_replaced_meanwhile_is_not_agreed_to(wickerlark: House) -> None:
    first = offered(wickerlark).offer
    with wickerlark.enter():
        second = offering.offer(Quote.objects.get(pk=first.quote_id), after_version=1).offer
    with pytest.raises(agreeing.NoLongerOpen, match="replaced by a newer one"):
        agree(wickerlark, first)
    nothing_happened(wickerlark, second)


def test_a_withdrawn_offer_is_not_agreed_to(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    with wickerlark.enter():
        offering.withdraw(offer.pk)
    with pytest.raises(agreeing.NoLongerOpen, match="withdrawn"):
        agree(wickerlark, offer)


def test_a_called_off_event_is_not_agreed_to(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    with wickerlark.enter():
        Event.objects.filter(quotes=offer.quote_id).update(status=Status.CANCELLED)
    with pytest.raises(agreeing.NoLongerOpen, match="called off"):
        agree(wickerlark, offer)


def test_two_quotes_agreed_for_one_event_are_both_on_its_list(wickerlark: House) -> None:
    first = offered(wickerlark).offer
    with wickerlark.enter():
        event = Event.objects.get(quotes=first.quote_id)
        other = sketch.start_quote(event, scenes.starter(wickerlark.studio))
        other.pieces.all().delete()
        sketch.add_free_line(
            other.pk,
            label="Candle bowls, hired in",
            quantity=Decimal(6),
            unit_price=Decimal(9),
            tax_id=None,
            version=other.version,
        )
    second = offered(wickerlark, other).offer
    agree(wickerlark, first)
    with wickerlark.enter():
        before = list(
            LoadOutLine.objects.filter(dropped=False).order_by("code").values_list("code", "quantity")
        )
    agree(wickerlark, second)
    with wickerlark.enter():
        after = list(
            LoadOutLine.objects.filter(dropped=False).order_by("code").values_list("code", "quantity")
        )
    assert before == after
    assert before


def test_declining_releases_the_hold_and_leaves_a_sketch(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    with tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT):
        first = agreeing.decline(offer.pk, name="", words="Too dear for us.", visitor=ADA)
        again = agreeing.decline(offer.pk, name="", words="", visitor=ADA)
    with wickerlark.enter():
        kept = Offer.objects.select_related("quote__event").get(pk=offer.pk)
        assert (kept.state, kept.quote.state) == (OfferState.DECLINED, QuoteState.SKETCH)
        assert kept.quote.event.stage == Stage.SKETCH
        assert tentative_hold_of(kept).state == HoldState.RELEASED
        assert (
            OutboxEntry.objects.get(task="studio.send_mail").arguments["context"]["words"]
            == "Too dear for us."
        )
    assert first.pk == again.pk
    with pytest.raises(agreeing.AnsweredAlready, match="declined already"):
        agree(wickerlark, offer)


def test_what_was_agreed_cannot_be_declined(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    agree(wickerlark, offer)
    client = tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT)
    with client, pytest.raises(agreeing.AnsweredAlready, match="has agreed"):
        agreeing.decline(offer.pk, name="", words="", visitor=BEN)


def test_a_wish_is_passed_on_once_and_the_offer_stays_open(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    with tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT):
        for _ in range(2):
            agreeing.ask_for_change(offer.pk, name="Ada", words="More ink, less straw.", visitor=ADA)
        with pytest.raises(ValidationError, match="Tell us what"):
            agreeing.ask_for_change(offer.pk, name="Ada", words="  ", visitor=ADA)
    with wickerlark.enter():
        assert Answer.objects.get().words == "More ink, less straw."
        assert OutboxEntry.objects.filter(task="studio.send_mail").count() == 1
        assert Offer.objects.get(pk=offer.pk).state == OfferState.OPEN
    agree(wickerlark, offer)


def test_crew_answer_for_nobody(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    with wickerlark.enter("crew"):
        acts: list[Callable[[], Any]] = [
            lambda: agreeing.agree(offer.pk, shown=shown(offer), name="Crew", ticked=True, visitor=ADA),
            lambda: agreeing.decline(offer.pk, name="", words="", visitor=ADA),
            lambda: agreeing.ask_for_change(offer.pk, name="", words="x", visitor=ADA),
        ]
        for act in acts:
            with pytest.raises(PermissionDenied, match="doesn't allow you to agree to or decline an offer"):
                act()
    nothing_happened(wickerlark, offer)


def test_the_letter_to_the_client_carries_the_frozen_total_and_a_link_that_opens(
    wickerlark: House, settings: Any
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    offer = offered(wickerlark).offer
    answer = agree(wickerlark, offer)
    with wickerlark.enter():
        entries = {entry.task: entry for entry in OutboxEntry.objects.all()}
    for _ in range(2):
        tasks.mail_agreed(studio_id=wickerlark.studio.pk, entry_id=entries["quoting.mail_agreed"].pk)
    (letter,) = sent_mail.outbox
    assert letter.to == ["adeyo@example.org"]
    assert present_offer(offer.frozen).total in letter.body
    assert answer.digest in letter.body
    address = next(word for word in letter.body.split() if "/o/" in word)
    offer_scenes.open_link(address)


def test_the_letter_with_the_offer_is_not_sent_once_the_offer_is_over(
    wickerlark: House, settings: Any
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    offer = offered(wickerlark).offer
    with wickerlark.enter():
        offering.withdraw(offer.pk)
        entry = OutboxEntry.objects.get(task="quoting.mail_offer")
    tasks.mail_offer(studio_id=wickerlark.studio.pk, entry_id=entry.pk)
    assert sent_mail.outbox == []


@pytest.mark.django_db(transaction=True)
def test_of_two_people_who_agree_at_once_one_agrees_and_the_other_is_told() -> None:
    house = people.wickerlark()
    offer = offered(house).offer
    start = threading.Barrier(2)
    outcomes: dict[str, Answer | agreeing.CannotAnswer] = {}

    def press(name: str, visitor: Visitor) -> None:
        try:
            start.wait(timeout=20)
            outcomes[name] = agree(house, offer, name=name, visitor=visitor)
        except agreeing.CannotAnswer as refusal:
            outcomes[name] = refusal
        finally:
            connection.close()

    presses = [threading.Thread(target=press, args=pair) for pair in (("Ada Adeyo", ADA), ("Ben Adeyo", BEN))]
    for thread in presses:
        thread.start()
    for thread in presses:
        thread.join(timeout=60)
    agreed = [name for name, outcome in outcomes.items() if isinstance(outcome, Answer)]
    told = [outcome for outcome in outcomes.values() if isinstance(outcome, agreeing.AnsweredAlready)]
    assert len(agreed) == len(told) == 1
    assert told[0].messages == [f"{agreed[0]} has agreed to this offer already. Nothing more is needed."]
    with house.enter():
        assert Answer.objects.filter(kind=AnswerKind.AGREED).count() == 1
        assert Hold.objects.filter(state=HoldState.HELD).count() == 1


@pytest.mark.django_db(transaction=True)
def test_of_two_offers_for_the_last_frame_only_one_is_agreed() -> None:
    house = people.wickerlark()
    with house.enter():
        quotes = [offer_scenes.quote(house), offer_scenes.quote(house, title="Bakery opening")]
        one_frame_left()
    first, second = (offered(house, quote).offer for quote in quotes)
    with house.enter():
        holds.release(tentative_hold_of(first).pk, key="let-go-early")
    start = threading.Barrier(2)
    outcomes: list[Answer | agreeing.Gone] = []

    def press(offer: Offer) -> None:
        try:
            start.wait(timeout=20)
            outcomes.append(agree(house, offer))
        except agreeing.Gone as refusal:
            outcomes.append(refusal)
        finally:
            connection.close()

    presses = [threading.Thread(target=press, args=(each,)) for each in (first, second)]
    for thread in presses:
        thread.start()
    for thread in presses:
        thread.join(timeout=60)
    assert sorted(isinstance(outcome, Answer) for outcome in outcomes) == [False, True]
    with house.enter():
        promised = Hold.objects.filter(state=HoldState.HELD, lines__item__code="frame-arch-7ft")
        assert sum(hold.lines.get(item__code="frame-arch-7ft").quantity for hold in promised) == 1
        assert Event.objects.filter(status=Status.CONFIRMED).count() == 1


def test_the_agreed_document_can_be_read_back_word_for_word(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    answer = agree(wickerlark, offer)
    with wickerlark.enter():
        kept = Answer.objects.get(pk=answer.pk)
    assert json.loads(kept.frozen) == json.loads(offer.frozen)
    assert present_offer(kept.frozen) == present_offer(offer.frozen)
