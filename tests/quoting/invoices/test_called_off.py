"""What becomes of payments after an event is called off."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.utils import timezone

from events.booking import event_times
from events.jobs import calling_off, postponing
from events.models import Event
from quoting.client_page import presenter
from quoting.invoices import called_off, invoiced, issuing, reminding
from quoting.invoices.presenter import invoices_beside, overdue_invoices
from quoting.invoices.settling import Paid, standing, today_at, with_sums
from quoting.models import Invoice, InvoiceKind, Offer, PaymentChoice, PaymentDecision
from quoting.quotes.on_event import find_event_quotes
from studio import tenancy
from studio.measures.times import Window
from studio.tenancy.rights import Role
from tests.people import House
from tests.quoting.invoice_scenes import agreed, deposit_of, pay

pytestmark = pytest.mark.django_db
D = Decimal


def paid_and_called_off(house: House) -> Offer:
    """The deposit is paid, the balance invoiced, and the event called off."""
    offer = agreed(house, deposit_percent=D(50))
    with house.enter():
        pay(deposit_of(offer))
        issuing.issue_balance(offer)
        calling_off.call_off(offer.quote.event_id)
    return offer


def stands(invoice_id: int, house: House) -> Paid:
    return standing(with_sums(Invoice.objects.all()).get(pk=invoice_id), today_at(house.studio)).state


@pytest.mark.parametrize("share", [D(0), D("0.4"), D(1)])
def test_the_unpaid_is_credited_and_so_much_of_the_paid_is_owed_back(
    wickerlark: House, share: Decimal
) -> None:
    offer = paid_and_called_off(wickerlark)
    event = offer.quote.event
    with wickerlark.enter():
        deposit = deposit_of(offer)
        balance = Invoice.objects.get(kind=InvoiceKind.BALANCE)
        refund = (deposit.total * share).quantize(D("0.01"))
        before = called_off.sum_payments(event)
        assert (before.kept, before.unpaid) == (deposit.total, balance.total)
        notes = called_off.settle(event.pk, refund=refund, words="Called off", key="k")
        assert sum(note.total for note in notes) == balance.total + refund
        again = called_off.settle(event.pk, refund=refund, words="Called off", key="k")
        assert [note.pk for note in again] == sorted(note.pk for note in notes), "pressed twice"
        after = called_off.sum_payments(event)
        assert (after.kept, after.unpaid) == (deposit.total - refund, D(0))
        assert stands(balance.pk, wickerlark) == Paid.CREDITED
        assert stands(deposit.pk, wickerlark) == (Paid.TO_PAY_BACK if refund else Paid.PAID)


def test_a_second_refund_adds_to_the_first(wickerlark: House) -> None:
    offer = paid_and_called_off(wickerlark)
    event = offer.quote.event
    with wickerlark.enter():
        for refund, total in ((D(10), D(10)), (D(5), D(15)), (D(0), D(15))):
            called_off.settle(event.pk, refund=refund, words="Called off", key=f"k{refund}")
            decision = called_off.find_decision(event)
            assert decision is not None
            assert (decision.choice, decision.refund) == (PaymentChoice.REFUND, total)


def test_the_event_names_what_is_to_be_paid_back_and_not_what_was_invoiced(wickerlark: House) -> None:
    offer = paid_and_called_off(wickerlark)
    with wickerlark.enter():
        total = deposit_of(offer).total
        called_off.settle(offer.quote.event_id, refund=D(10), words="Called off", key="k")
        section = invoices_beside(offer.quote.event, find_event_quotes(offer.quote.event))
        assert section is not None
        row = next(each for each in section.rows if each.sub == "to pay back")
    assert row.end == f"$10.00 of ${total:.2f}"


def test_more_than_was_paid_or_no_reason_is_refused_and_nothing_is_credited(wickerlark: House) -> None:
    offer = paid_and_called_off(wickerlark)
    event_id = offer.quote.event_id
    with wickerlark.enter():
        most = deposit_of(offer).total
        for refund, words, field in (
            (most + D("0.01"), "Called off", "refund"),
            (D("-1"), "Called off", "refund"),
            (D("0.001"), "Called off", "refund"),
            (most, " ", "words"),
        ):
            with pytest.raises(ValidationError) as refused:
                called_off.settle(event_id, refund=refund, words=words, key="k")
            assert set(refused.value.message_dict) == {field}
        assert not Invoice.objects.filter(kind=InvoiceKind.CREDIT).exists()


def test_an_event_that_goes_ahead_is_not_settled(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter(), pytest.raises(invoiced.CannotInvoice, match="isn't called off"):
        called_off.settle(offer.quote.event_id, refund=D(0), words="x", key="k")


def test_nobody_is_reminded_of_invoices_of_a_called_off_event(wickerlark: House) -> None:
    offer = agreed(wickerlark, remind_days=1)
    late = offer.quote.event.ready_by - timedelta(days=1)
    with wickerlark.enter():
        calling_off.call_off(offer.quote.event_id)
    with time_machine.travel(late, tick=False), wickerlark.enter():
        assert reminding.remind_due() == 0
        calling_off.take_up_again(offer.quote.event_id)
        assert reminding.remind_due() == 1


def test_the_owner_is_asked_on_the_events_page(wickerlark: House) -> None:
    offer = paid_and_called_off(wickerlark)
    owner = wickerlark.client()
    event_page = owner.get(wickerlark.url("events:event", offer.quote.event_id)).content.decode()
    address = wickerlark.url("quoting:event-settle-payments", offer.quote.event_id)
    assert address in event_page
    page = owner.get(address).content.decode()
    assert "If you keep or refund what was paid" in " ".join(page.split())
    for typed, said in (
        ({"choice": "refund", "refund": "999999"}, "You can refund at most"),
        ({"choice": "refund", "refund": "0"}, "Enter how much you refund."),
        ({"refund": "1"}, "Choose what happens with what was paid."),
    ):
        refused = owner.post(address, {"key": "a" * 24, "words": "Called off", **typed})
        assert refused.status_code == 422
        assert said in refused.content.decode()
    both = owner.post(address, {"key": "a" * 24, "choice": "refund", "refund": "999999", "words": " "})
    assert both.status_code == 422
    for said in ("You can refund at most", "Enter a reason. It is printed on the credit note."):
        assert both.content.decode().count(said) == 1
    kept = {"key": "a" * 24, "choice": "keep", "refund": "17", "words": "Called off"}
    for _ in range(2):
        assert owner.post(address, kept).status_code == 302
    with wickerlark.enter():
        assert Invoice.objects.filter(kind=InvoiceKind.CREDIT).count() == 1
        assert PaymentDecision.objects.get().choice == PaymentChoice.KEEP
    assert wickerlark.client("crew").get(address).status_code == 403


ASKS = "Waits for you: decide about the payments of a called-off event"
NEW_DATE = "Waits for you: set the new date; what was paid is kept for it"


READS = {
    PaymentChoice.KEEP: "By the terms of this offer, what you paid is not refunded.",
    PaymentChoice.REFUND: "You get back $10.00.",
    PaymentChoice.MOVE: "What you paid is kept for a new date.",
}


def test_nobody_is_asked_for_the_money_of_a_called_off_event(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    now = timezone.now()
    with wickerlark.enter():
        span = Window(now, offer.quote.event.back_at)
        assert len(list(overdue_invoices(span))) == 1
        calling_off.call_off(offer.quote.event_id)
        assert list(overdue_invoices(span)) == []


def week_of(house: House, role: str = "owner") -> str:
    return house.client(role).get(house.url("events:week")).content.decode()


@pytest.mark.parametrize("choice", list(PaymentChoice))
def test_the_week_asks_until_it_is_decided_and_the_decision_ends_when_the_event_is_on_again(
    wickerlark: House, choice: PaymentChoice
) -> None:
    offer = paid_and_called_off(wickerlark)
    event_id = offer.quote.event_id
    assert ASKS in week_of(wickerlark)
    assert ASKS not in week_of(wickerlark, "crew")
    address = wickerlark.url("quoting:event-settle-payments", event_id)
    typed = {"key": "b" * 24, "choice": choice, "refund": "10", "words": "Called off"}
    for _ in range(2):
        assert wickerlark.client().post(address, typed).status_code == 302
    week = week_of(wickerlark)
    assert ASKS not in week
    with tenancy.entered(wickerlark.studio.pk, role=Role.CLIENT):
        assert presenter.context(Offer.objects.get(pk=offer.pk), "handle")["payments"] == READS[choice]
    assert (NEW_DATE in week) == (choice == PaymentChoice.MOVE)
    assert ("Pay back $10.00" in week) == (choice == PaymentChoice.REFUND)
    with wickerlark.enter():
        (decision,) = PaymentDecision.objects.all()
        assert (decision.choice, decision.decided_by) == (choice, wickerlark.owner)
        assert decision.refund == (D(10) if choice == PaymentChoice.REFUND else D(0))
        assert Invoice.objects.filter(kind=InvoiceKind.CREDIT).exists() == (choice != PaymentChoice.MOVE)
        event = Event.objects.get(pk=event_id)
        later = event_times.usual(ready_by=event.ready_by + timedelta(days=9))
        postponing.postpone(event_id, later, seen_version=event.version)
        decision.refresh_from_db()
        assert decision.ended_at is not None
        settled = event.log.filter(text__contains="Its payments were settled when it was called off")
        assert settled.exists() == (choice != PaymentChoice.MOVE)
    assert NEW_DATE not in week_of(wickerlark)
    with wickerlark.enter():
        calling_off.call_off(event_id)
    assert ASKS in week_of(wickerlark), "called off again it is asked again"
