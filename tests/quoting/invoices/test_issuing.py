"""Invoices: what they ask for, how they are numbered, and that nothing about them can change afterwards."""

from __future__ import annotations

import json
import re
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import DatabaseError, connection, transaction
from django.http import Http404
from stdnum import iso11649

from events.models import Status
from quoting.invoices import deposits, invoiced, issuing, payments
from quoting.invoices import document as invoice_document
from quoting.invoices.settling import Paid, standing, today_at
from quoting.models import Invoice, InvoiceKind, NumberSeries, OfferState, PaidBy, Payment
from quoting.offers.refusals import CannotOffer
from stock.models.hold import HoldState
from studio.models import OutboxEntry, Studio
from tests.people import House
from tests.quoting.invoice_scenes import agreed, agreed_with_line, deposit_of, pay

pytestmark = pytest.mark.django_db
D = Decimal
EURO: dict[str, Any] = {
    "iban": "DE89370400440532013000",
    "bic": "ABCDDEFFXXX",
    "account_holder": "Atelier Federkorn",
}


def state_of(invoice: Invoice, house: House) -> Paid:
    return standing(issuing.find(invoice.pk), today_at(house.studio)).state


def test_agreeing_asks_for_the_deposit_under_the_next_number(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        invoice = deposit_of(offer)
        assert invoice.number == 1
        assert invoice.total == offer.deposit > 0
        assert invoice.net + invoice.tax == invoice.total
        assert iso11649.is_valid(invoice.reference)
        assert invoice.is_intact
        assert invoice.due_on == today_at(wickerlark.studio) + timedelta(days=5)
        assert set(OutboxEntry.objects.filter(key__startswith="invoice-").values_list("task", flat=True)) == {
            "quoting.render_invoice_pdf",
            "quoting.mail_invoice",
        }
        assert issuing.issue_deposit(offer) == invoice, "asked for once"


def test_no_deposit_is_asked_where_the_studio_asks_none(wickerlark: House) -> None:
    offer = agreed(wickerlark, deposit_percent=0)
    with wickerlark.enter():
        assert not Invoice.objects.exists()
        assert deposits.deposit_due(offer) is None


@pytest.mark.parametrize("inclusive", [False, True])
def test_deposit_instalment_and_balance_add_up_to_what_was_agreed_tax_by_tax(
    wickerlark: House, inclusive: bool
) -> None:
    offer = agreed(wickerlark, mixed=True, prices_include_tax=inclusive, deposit_percent=D("33.33"))
    with wickerlark.enter():
        whole = invoiced.agreed_document(offer)
        assert len(whole.taxes) == 2
        issuing.issue_instalment(
            offer, amount=D("100.01"), label="Second part", due_on=today_at(wickerlark.studio), key="i-1"
        )
        balance = issuing.issue_balance(offer)
        issued = list(Invoice.objects.order_by("number"))
        assert [one.number for one in issued] == [1, 2, 3]
        assert sum(one.total for one in issued) == whole.total
        assert sum(one.net for one in issued) == whole.net
        for tax in invoice_document.taxes_of(whole.taxes):
            parts = [
                each
                for one in issued
                for each in invoice_document.asked_taxes(one.frozen)
                if each.tax == tax.tax
            ]
            assert sum(part.base for part in parts) == tax.base
            assert sum(part.amount for part in parts) == tax.amount
        kept = json.loads(balance.frozen)
        before = sum(D(one["total"]) for one in kept["before"])
        assert D(kept["total"]) - before == balance.total, "BT-115 = BT-112 - BT-113 (EN 16931-1, BR-CO-16)"
        assert sum(D(line["amount"]) for line in kept["lines"]) == D(
            kept["total"] if inclusive else kept["net"]
        )
        assert invoiced.left_to_invoice(offer) == 0
        with pytest.raises(invoiced.CannotInvoice, match="has already been invoiced"):
            issuing.issue_balance(offer)
        with pytest.raises(ValidationError, match=r"at most \$0.00"):
            issuing.issue_instalment(
                offer, amount=D("0.01"), label="More", due_on=today_at(wickerlark.studio), key="i-2"
            )


def test_only_what_was_agreed_is_invoiced_and_only_by_the_office(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with (
        wickerlark.enter("crew"),
        pytest.raises(PermissionDenied, match="doesn't allow you to issue invoices"),
    ):
        issuing.issue_balance(offer)
    with wickerlark.enter("staff"):
        assert issuing.issue_balance(offer).kind == InvoiceKind.BALANCE
        offer.state = OfferState.DECLINED
        with pytest.raises(invoiced.CannotInvoice, match="Only an agreed offer can be invoiced"):
            invoiced.agreed_document(offer)


def test_the_database_refuses_to_change_or_delete_what_was_issued(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        invoice = deposit_of(offer)
        payment = pay(invoice).payment
        for change in (
            lambda: Invoice.objects.filter(pk=invoice.pk).update(total=1),
            lambda: Invoice.objects.filter(pk=invoice.pk).update(frozen="{}"),
            lambda: Invoice.objects.filter(pk=invoice.pk).update(due_on=None),
            lambda: connection.cursor().execute("DELETE FROM quoting_invoice WHERE id = %s", [invoice.pk]),
            lambda: Payment.objects.filter(pk=payment.pk).update(amount=1),
            payment.delete,
        ):
            with (
                pytest.raises(DatabaseError, match=r"pgtrigger: Cannot (update|delete) rows"),
                transaction.atomic(),
            ):
                change()


def test_the_database_refuses_a_number_that_leaves_a_gap(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        invoice = deposit_of(offer)
        for number in (3, 1, 0):
            invoice.pk, invoice.number, invoice.key = None, number, f"by hand {number}"
            with pytest.raises(DatabaseError, match="next one"), transaction.atomic():
                invoice.save(force_insert=True)


def test_a_refused_invoice_takes_no_number(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        deposit = deposit_of(offer)
        with pytest.raises(ValidationError, match=re.escape(f"at most ${deposit.total:.2f}.")):
            issuing.credit(deposit.pk, amount=D(10**6), words="slip", key="c-1")
        assert NumberSeries.objects.get().last_invoice == 1


def test_two_studios_count_for_themselves(wickerlark: House, federkorn: House) -> None:
    first, second = agreed(wickerlark), agreed(federkorn)
    with wickerlark.enter():
        assert deposit_of(first).number == 1
    with federkorn.enter():
        assert deposit_of(second).number == 1


def test_a_credit_note_takes_back_in_parts_and_never_more_than_there_is(wickerlark: House) -> None:
    offer = agreed(wickerlark, mixed=True)
    with wickerlark.enter():
        invoice = deposit_of(offer)
        part = issuing.credit(invoice.pk, amount=D("10.01"), words="One arch less", key="c-1")
        assert issuing.credit(invoice.pk, amount=D("10.01"), words="One arch less", key="c-1") == part
        rest = issuing.credit(invoice.pk, amount=None, words="Called off", key="c-2")
        assert part.total + rest.total == invoice.total
        assert part.net + rest.net == invoice.net
        assert state_of(invoice, wickerlark) == Paid.CREDITED
        with pytest.raises(ValidationError, match=r"at most \$0.00"):
            issuing.credit(invoice.pk, amount=D("0.01"), words="More", key="c-3")
        with pytest.raises(ValidationError, match="Enter a reason"):
            issuing.credit(invoice.pk, amount=D("0.01"), words=" ", key="c-4")
        assert issuing.issue_balance(offer).total == offer.total, "what was credited is asked for again"


def test_states_follow_from_what_was_paid_and_from_the_day(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        invoice = deposit_of(offer)
        assert state_of(invoice, wickerlark) == Paid.OPEN
        pay(invoice, D("20.00"))
        assert state_of(invoice, wickerlark) == Paid.PART
        late = (invoice.due_on or today_at(wickerlark.studio)) + timedelta(days=1)
        assert standing(issuing.find(invoice.pk), late).state == Paid.OVERDUE
        pay(invoice, invoice.total - 20, key="pay-2")
        assert state_of(invoice, wickerlark) == Paid.PAID
        assert standing(issuing.find(invoice.pk), late).state == Paid.PAID
        issuing.credit(invoice.pk, amount=D(5), words="Sorry", key="c-1")
        assert state_of(invoice, wickerlark) == Paid.TO_PAY_BACK
        back = payments.pay_back(
            invoice.pk, amount=D(5), received_on=today_at(wickerlark.studio), paid_by=PaidBy.CASH, key="b-1"
        )
        assert back.amount == -5
        assert state_of(invoice, wickerlark) == Paid.PAID


def test_more_than_is_open_or_on_a_day_to_come_is_no_payment(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        invoice, today = deposit_of(offer), today_at(wickerlark.studio)
        for amount, day, field in (
            (invoice.total + D("0.01"), today, "amount"),
            (D(0), today, "amount"),
            (D("-5"), today, "amount"),
            (D("1.005"), today, "amount"),
            (D(5), today + timedelta(days=1), "received_on"),
            (D(5), today - timedelta(days=4000), "received_on"),
        ):
            with pytest.raises(ValidationError) as refusal:
                payments.record(invoice.pk, amount=amount, received_on=day, paid_by=PaidBy.CASH, key="x")
            assert set(refusal.value.message_dict) == {field}
        assert not Payment.objects.exists()


def test_a_payment_sent_twice_is_one_and_a_slip_is_taken_back_not_changed(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        invoice = deposit_of(offer)
        first = pay(invoice, D(30)).payment
        assert pay(invoice, D(30)).payment == first
        back = payments.take_back(first.pk)
        assert (back.amount, back.takes_back) == (D(-30), first)
        assert payments.take_back(first.pk) == back
        assert state_of(invoice, wickerlark) == Paid.OPEN
        with pytest.raises(ValidationError, match="already reverses another"):
            payments.take_back(back.pk)
        assert list(Payment.objects.values_list("number", flat=True)) == [1, 2]


def test_the_deposit_confirms_the_event_where_the_studio_says_so(wickerlark: House) -> None:
    offer = agreed(wickerlark, confirmed_by="deposit")
    event = offer.quote.event
    with wickerlark.enter():
        assert event.status == Status.TENTATIVE
        assert event.hold is not None
        assert event.hold.state == HoldState.TENTATIVE
        asked = deposits.deposit_due(offer)
        assert asked is not None
        assert asked.promises
        assert not asked.is_paid
        recorded = pay(deposit_of(offer), D(1))
        assert not recorded.promised, "a part of it promises nothing"
        recorded = pay(deposit_of(offer), offer.deposit - 1, key="pay-2")
        assert recorded.promised
        event.refresh_from_db()
        assert event.status == Status.CONFIRMED
        assert event.hold.state == HoldState.HELD
        assert event.bill.exists()
        asked = deposits.deposit_due(offer)
        assert asked is not None
        assert asked.is_paid


def test_a_trusted_client_is_promised_the_event_before_the_deposit_is_in(wickerlark: House) -> None:
    offer = agreed(wickerlark, confirmed_by="deposit")
    with wickerlark.enter():
        deposit = deposit_of(offer)
    staff = wickerlark.client("staff")
    assert "Confirm the event" in staff.get(wickerlark.url("quoting:invoice", deposit.pk)).content.decode()
    assert staff.post(wickerlark.url("quoting:invoice-confirm-event", deposit.pk)).status_code == 302
    assert (
        "Confirm the event" not in staff.get(wickerlark.url("quoting:invoice", deposit.pk)).content.decode()
    )
    with wickerlark.enter():
        offer.quote.event.refresh_from_db()
        assert offer.quote.event.status == Status.CONFIRMED
        assert not pay(deposit).promised, "it is already"


def test_the_agreement_confirms_the_event_where_the_studio_says_so(wickerlark: House) -> None:
    offer = agreed(wickerlark, confirmed_by="agreement")
    assert offer.quote.event.status == Status.CONFIRMED


def test_a_deposit_that_comes_too_late_is_booked_and_what_is_gone_is_told(wickerlark: House) -> None:
    offer = agreed(wickerlark, confirmed_by="deposit")
    with wickerlark.enter():
        from stock.catalogue.items import Material
        from stock.holds import holds

        event = offer.quote.event
        assert event.hold_id is not None
        holds.release(event.hold_id, key="lapsed")
        holds.hold(
            label="Another", window=event.hold_window(), needs=[Material("frame-arch-7ft", 2)], key="another"
        )
        recorded = pay(deposit_of(offer))
        assert not recorded.promised
        assert any("7ft" in words for words in recorded.in_the_way)
        event.refresh_from_db()
        assert event.status == Status.TENTATIVE
        assert state_of(deposit_of(offer), wickerlark) == Paid.PAID


def test_a_euro_studio_with_an_account_shows_how_to_pay(federkorn: House) -> None:
    offer = agreed(federkorn, **EURO)
    with federkorn.enter():
        asked = deposits.deposit_due(offer, Studio.objects.get(pk=federkorn.studio.pk))
        assert asked is not None
        assert dict(asked.account) == {
            "Account holder": "Atelier Federkorn",
            "IBAN": "DE89 3704 0044 0532 0130 00",
            "BIC": "ABCDDEFFXXX",
        }
        assert asked.code.startswith("<svg")
        assert "style=" not in asked.code
        assert asked.left_written == asked.amount_written
        pay(deposit_of(offer))
        paid = deposits.deposit_due(offer)
        assert paid is not None
        assert paid.code == ""


@pytest.mark.parametrize("inclusive", [False, True])
def test_a_deposit_is_asked_for_as_agreed_where_more_is_taken_off_under_a_tax_than_there_is(
    wickerlark: House, inclusive: bool
) -> None:
    offer = agreed_with_line(
        wickerlark, D("-100.00"), D("2.00"), prices_include_tax=inclusive, deposit_percent=D(30)
    )
    with wickerlark.enter():
        whole = invoiced.agreed_document(offer)
        assert [tax.base < 0 for tax in whole.taxes] == [False, True]
        assert deposit_of(offer).total == whole.deposit == offer.deposit > 0
        balance = issuing.issue_balance(offer)
        assert deposit_of(offer).total + balance.total == whole.total
        assert deposit_of(offer).net + balance.net == whole.net


def test_an_offer_whose_tax_would_fall_below_zero_is_refused_in_words(wickerlark: House) -> None:
    with pytest.raises(CannotOffer, match="More is taken off under Hire tax than there is under it"):
        agreed_with_line(wickerlark, D("-200.00"), D("50.00"))


def test_a_credit_note_needs_a_reason_an_amount_and_an_invoice(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        deposit = deposit_of(offer)
        for amount, words, field in (
            (D(10), "  ", "words"),
            (D(0), "Slip", "amount"),
            (D("-1"), "Slip", "amount"),
            (deposit.total + D("0.01"), "Slip", "amount"),
        ):
            with pytest.raises(ValidationError) as refused:
                issuing.credit(deposit.pk, amount=amount, words=words, key="k")
            assert list(refused.value.message_dict) == [field]
        with pytest.raises(Http404):
            issuing.credit(deposit.pk + 1000, amount=None, words="Slip", key="k")
        note = issuing.credit(deposit.pk, amount=None, words="Slip", key="k")
        assert (note.total, note.kind) == (deposit.total, InvoiceKind.CREDIT)
        assert issuing.credit(deposit.pk, amount=None, words="Slip", key="k").pk == note.pk, "pressed twice"
        with pytest.raises(invoiced.CannotInvoice, match="can't be credited"):
            issuing.credit(note.pk, amount=None, words="Slip", key="other")


def test_an_instalment_is_above_zero_and_no_more_than_is_left(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        left = offer.total - deposit_of(offer).total
        due_on = today_at(wickerlark.studio) + timedelta(days=9)
        for amount in (D(0), D("-5"), left + D("0.01")):
            with pytest.raises(ValidationError) as refused:
                issuing.issue_instalment(offer, amount=amount, label="Part", due_on=due_on, key="part")
            assert list(refused.value.message_dict) == ["amount"]
        part = issuing.issue_instalment(offer, amount=D(20), label="Part", due_on=due_on, key="part")
        again = issuing.issue_instalment(offer, amount=D(20), label="Part", due_on=due_on, key="part")
        assert part.pk == again.pk, "pressed twice"
        issuing.issue_balance(offer)
        with pytest.raises(invoiced.CannotInvoice, match="already been invoiced"):
            issuing.issue_balance(offer)


def test_an_invoice_of_a_client_without_an_address_is_not_mailed(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        deposit = deposit_of(offer)
        with pytest.raises(Http404):
            issuing.find(deposit.pk + 1000)
        before = OutboxEntry.objects.filter(task="quoting.mail_invoice").count()
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(issuing, "find", lambda _: Invoice(client_email=""))
            with pytest.raises(invoiced.CannotInvoice, match="No e-mail address"):
                issuing.mail_again(deposit.pk)
        assert OutboxEntry.objects.filter(task="quoting.mail_invoice").count() == before
