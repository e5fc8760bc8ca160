"""Offering a quote: what is frozen, held, linked and sent; and what closes an offer again."""

from __future__ import annotations

import json
import threading
from datetime import timedelta
from decimal import Decimal
from functools import partial
from typing import Any

import pytest
import time_machine
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from events.models import Event, Stage
from quoting import tasks
from quoting.models import Answer, AnswerKind, Offer, OfferState, Quote, QuoteState
from quoting.offers import offering, sending
from quoting.offers.document import read_offer, studio_part, write_offer
from quoting.offers.document_presenter import present_offer
from quoting.offers.refusals import CannotOffer
from quoting.pricing import frozen
from quoting.quotes import sketch
from stock.catalogue.items import Material
from stock.holds import holds
from stock.models import Hold, HoldState, Item
from studio.models import LinkPurpose, OutboxEntry, PublicLink, Studio
from studio.people import public_links
from studio.tenancy.rights import Role
from tests import people
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.offer_scenes import offered, tentative_hold_of

pytestmark = pytest.mark.django_db


def outbox_tasks(house: House) -> list[str]:
    with house.enter():
        return sorted(OutboxEntry.objects.values_list("task", flat=True))


def test_an_offer_freezes_the_price_that_the_owner_sees(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
    made = offered(wickerlark, quote).offer
    with wickerlark.enter():
        quote.refresh_from_db()
        frozen = json.loads(made.frozen)["quote"]
    assert made.total == quote.priced_total == Decimal(frozen["total"])
    assert Decimal(frozen["net"]) == quote.priced_net
    assert sum(Decimal(line["amount"]) for line in frozen["lines"]) == Decimal(frozen["net"])
    assert Decimal(frozen["net"]) + sum(Decimal(tax["amount"]) for tax in frozen["taxes"]) == made.total
    assert made.version == 1
    assert made.is_intact


def test_offering_moves_quote_and_event_on_and_writes_pdf_and_letter(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with wickerlark.enter():
        quote = Quote.objects.select_related("event").get(pk=made.quote_id)
    assert quote.state == QuoteState.OFFERED
    assert quote.event.stage == Stage.OFFERED
    assert outbox_tasks(wickerlark) == ["quoting.mail_offer", "quoting.render_offer_pdf"]


def test_an_offer_holds_until_the_end_of_its_last_day_on_the_studios_clocks(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    last = made.offered_at.astimezone(wickerlark.studio.tz).date() + timedelta(
        days=wickerlark.studio.offer_days
    )
    until = made.expires_at.astimezone(wickerlark.studio.tz)
    assert (until.date(), until.hour, until.minute) == (last, 23, 59)


def test_an_offer_never_holds_past_the_start_of_the_work(wickerlark: House) -> None:
    with wickerlark.enter():
        Studio.objects.filter(pk=wickerlark.studio.pk).update(offer_days=60)
        quote = offer_scenes.quote(wickerlark)
    made = offered(wickerlark, quote).offer
    assert made.expires_at == quote.event.access_from


def test_what_comes_back_is_held_until_the_offer_lapses(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with wickerlark.enter():
        bill = studio_part(read_offer(made.frozen).quote).bill
        reusable = set(Item.objects.filter(nature="reusable").values_list("code", flat=True))
        hold = tentative_hold_of(made)
        kept = dict(hold.lines.values_list("item__code", "quantity"))
    wanted: dict[str, int] = {}
    for line in bill:
        if line.code in reusable:
            wanted[line.code] = wanted.get(line.code, 0) + line.quantity
    assert kept == wanted
    assert "frame-arch-7ft" in kept
    assert hold.state == HoldState.TENTATIVE
    assert hold.tentative_until == made.expires_at


def test_what_is_promised_elsewhere_is_told_and_the_rest_still_held(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        holds.hold(
            label="Rowing club",
            window=quote.event.hold_window(),
            needs=[Material("frame-arch-7ft", 2)],
            key="rowing-club",
        )
    made = offered(wickerlark, quote)
    assert made.short == ("Arch frame 7ft: 0 free of 1 needed.",)
    with wickerlark.enter():
        kept = set(tentative_hold_of(made.offer).lines.values_list("item__code", flat=True))
    assert "frame-arch-7ft" not in kept
    assert "frame-arch-6ft" in kept


def test_a_second_press_gives_the_offer_of_the_first(wickerlark: House) -> None:
    first = offered(wickerlark)
    with wickerlark.enter():
        again = offering.offer(Quote.objects.get(pk=first.offer.quote_id))
        late = offering.offer(Quote.objects.get(pk=first.offer.quote_id), after_version=0)
        assert Offer.objects.count() == 1
        assert PublicLink.objects.filter(purpose=LinkPurpose.OFFER).count() == 1
    assert (again.offer.pk, again.made, again.address) == (first.offer.pk, False, "")
    assert late.offer.pk == first.offer.pk


def test_offering_the_same_again_on_purpose_makes_a_fresh_version(wickerlark: House) -> None:
    first = offered(wickerlark).offer
    with wickerlark.enter():
        second = offering.offer(Quote.objects.get(pk=first.quote_id), after_version=1).offer
    assert (second.number, second.version, second.reference) == (first.number, 2, f"{first.number}-2")


def test_a_changed_sketch_is_a_new_version_and_the_earlier_one_is_replaced(wickerlark: House) -> None:
    first = offered(wickerlark).offer
    with wickerlark.enter():
        quote = Quote.objects.get(pk=first.quote_id)
        sketch.add_free_line(
            quote.pk,
            label="Delivery at night",
            quantity=Decimal(1),
            unit_price=Decimal(80),
            tax_id=None,
            version=quote.version,
        )
    second = offered(wickerlark, quote).offer
    with wickerlark.enter():
        first.refresh_from_db()
        hold = tentative_hold_of(first)
    assert first.state == OfferState.REPLACED
    assert hold.state == HoldState.RELEASED
    assert second.total > first.total
    assert Offer.objects.count() == 0  # outside a studio nothing is seen


def test_offers_are_numbered_in_each_studio_for_itself(wickerlark: House, federkorn: House) -> None:
    numbers = [offered(house).offer.number for house in (wickerlark, federkorn)]
    assert numbers == [1, 1]
    with wickerlark.enter():
        other = offer_scenes.quote(wickerlark, title="Bakery opening")
    assert offered(wickerlark, other).offer.number == 2


@pytest.mark.parametrize(
    "change", [{"total": 1}, {"frozen": "{}"}, {"digest": "0" * 64}, {"expires_at": None}]
)
def test_the_database_itself_refuses_to_change_what_was_offered(
    wickerlark: House, change: dict[str, Any]
) -> None:
    made = offered(wickerlark).offer
    if "expires_at" in change:
        change = {"expires_at": made.expires_at + timedelta(days=90)}
    with wickerlark.enter(), pytest.raises(DatabaseError, match="Cannot update"), transaction.atomic():
        Offer.objects.filter(pk=made.pk).update(**change)


def test_the_database_itself_refuses_to_delete_an_offer(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with wickerlark.enter(), pytest.raises(DatabaseError, match="Cannot delete"), transaction.atomic():
        Offer.objects.filter(pk=made.pk).delete()


def test_the_database_itself_refuses_to_change_an_answer(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with wickerlark.enter():
        answer = Answer.objects.create(
            offer=made,
            kind=AnswerKind.DECLINED,
            at=timezone.now(),
            version=1,
            total=1,
            currency="USD",
            digest="x",
        )
        for act in (lambda: Answer.objects.update(name="Somebody else"), answer.delete):
            with pytest.raises(DatabaseError, match="written once"), transaction.atomic():
                act()


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda quote: Quote.objects.filter(pk=quote.pk).update(state=QuoteState.AGREED), "was agreed"),
        (lambda quote: Event.objects.filter(pk=quote.event_id).update(status="CANCELLED"), "called off"),
        (lambda quote: quote.pieces.all().delete(), "nothing to offer"),
    ],
)
def test_what_makes_no_offer_is_refused_in_words(wickerlark: House, spoil: Any, said: str) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        spoil(quote)
        if "nothing" in said:
            Quote.objects.filter(pk=quote.pk).update(trips=0)
        with pytest.raises(CannotOffer, match=said):
            offering.offer(quote)
        assert not Offer.objects.exists()
        assert not Hold.objects.exists()


def test_an_event_that_has_begun_is_not_offered_for(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        with time_machine.travel(quote.event.access_from), pytest.raises(CannotOffer, match="begun"):
            offering.offer(quote)


def test_crew_make_no_offers_and_see_none(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with wickerlark.enter("crew"):
        with pytest.raises(PermissionDenied, match="doesn't allow you to send offers"):
            offering.offer(Quote(pk=made.quote_id))
        again = partial(sending.mail_again, press="once")
        for act in (offering.find, offering.new_link, offering.withdraw, again, offering.mint):
            with pytest.raises(PermissionDenied, match=r"doesn't allow you to (see quotes|send offers)"):
                act(made.pk)


def test_staff_make_offers(wickerlark: House) -> None:
    with wickerlark.enter("staff"):
        made = offering.offer(quote_made_by_owner(wickerlark))
    assert made.made


def quote_made_by_owner(house: House) -> Quote:
    with house.enter():
        return offer_scenes.quote(house)


def test_an_offer_whose_date_has_passed_lapses_and_leaves_a_sketch(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with time_machine.travel(made.expires_at + timedelta(minutes=1)):
        assert tasks.lapse_offers() == 1
        assert tasks.lapse_offers() == 0
    with wickerlark.enter():
        made.refresh_from_db()
        quote = Quote.objects.select_related("event").get(pk=made.quote_id)
        hold = tentative_hold_of(made)
    assert made.state == OfferState.LAPSED
    assert (quote.state, quote.event.stage) == (QuoteState.SKETCH, Stage.SKETCH)
    assert hold.state == HoldState.RELEASED


def test_an_offer_that_still_holds_does_not_lapse(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with time_machine.travel(made.expires_at - timedelta(minutes=1)):
        assert tasks.lapse_offers() == 0
        assert made.standing == OfferState.OPEN


def test_an_offer_past_its_date_counts_as_lapsed_before_the_sweep_has_been_by(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with time_machine.travel(made.expires_at):
        assert (made.state, made.standing) == (OfferState.OPEN, OfferState.LAPSED)


def test_withdrawing_releases_the_hold_and_can_be_pressed_twice(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with wickerlark.enter():
        assert offering.withdraw(made.pk).state == OfferState.WITHDRAWN
        assert offering.withdraw(made.pk).state == OfferState.WITHDRAWN
        assert tentative_hold_of(made).state == HoldState.RELEASED
        with pytest.raises(CannotOffer, match="withdrawn"):
            offering.new_link(made.pk)


def test_only_the_hash_of_a_link_is_kept_anywhere(wickerlark: House) -> None:
    made = offered(wickerlark)
    token = made.address.rsplit("/", 1)[1]
    assert len(token) >= 22  # 128 bits in base64url
    with connection.cursor() as cursor, wickerlark.enter():
        cursor.execute("SELECT table_name FROM information_schema.tables WHERE table_schema = 'public'")
        for (table,) in cursor.fetchall():
            cursor.execute(f'SELECT count(*) FROM "{table}" AS r WHERE r::text LIKE %s', [f"%{token}%"])  # noqa: S608
            assert cursor.fetchone() == (0,), table


def test_a_new_link_closes_the_earlier_ones(wickerlark: House) -> None:
    made = offered(wickerlark)
    with wickerlark.enter():
        fresh = offering.new_link(made.offer.pk)
    found = [
        public_links.find(address.rsplit("/", 1)[1], LinkPurpose.OFFER) for address in (made.address, fresh)
    ]
    assert found[0] is None
    assert found[1] is not None
    assert found[1].subject_id == made.offer.pk


def test_the_clients_copy_never_holds_what_is_the_studios_own(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    shown = repr(present_offer(made.frozen))
    internal = studio_part(read_offer(made.frozen).quote)
    assert internal.bill
    assert internal.work
    for line in internal.bill:
        assert line.code not in shown
    frozen = json.loads(made.frozen)["quote"]
    for word in ("margin", "markup", "overhead", "cost"):
        assert word not in json.dumps({key: frozen[key] for key in frozen if key not in ("pieces", "terms")})


def test_the_frozen_text_is_the_same_whatever_order_its_keys_came_in(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    backwards = json.dumps(dict(reversed(json.loads(made.frozen).items())))
    assert backwards != made.frozen
    assert write_offer(read_offer(backwards)) == made.frozen
    assert frozen.digest_of(made.frozen) == made.digest


@pytest.mark.django_db(transaction=True)
def test_two_presses_at_the_same_moment_make_one_offer() -> None:
    house = people.wickerlark()
    with house.enter():
        quote = offer_scenes.quote(house)
    start = threading.Barrier(2)
    got: list[offering.Offered] = []

    def press() -> None:
        try:
            start.wait(timeout=20)
            with house.enter():
                got.append(offering.offer(Quote.objects.get(pk=quote.pk)))
        finally:
            connection.close()

    presses = [threading.Thread(target=press) for _ in range(2)]
    for thread in presses:
        thread.start()
    for thread in presses:
        thread.join(timeout=60)
    assert sorted(each.made for each in got) == [False, True]
    with house.enter():
        assert Offer.objects.count() == 1
        assert OutboxEntry.objects.filter(task="quoting.mail_offer").count() == 1


def test_a_client_may_not_offer(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
    from studio import tenancy

    with (
        tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT),
        pytest.raises(PermissionDenied, match="doesn't allow you to send offers"),
    ):
        offering.offer(quote)
