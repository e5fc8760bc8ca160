"""Invoice pages: who may see them, what they do, what they say at the field, and how many queries they take."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from events.calendar import agenda
from quoting.invoices import issuing, reminding
from quoting.invoices import letters as invoice_mail
from quoting.invoices import pdf as invoice_pdf
from quoting.invoices.settling import today_at
from quoting.models import Invoice, InvoiceKind, Offer, Payment, Reminder
from studio.measures.times import Window
from studio.models import OutboxEntry
from tests.people import House
from tests.quoting.invoice_scenes import agreed, deposit_of, pay

pytestmark = pytest.mark.django_db
D = Decimal


def text_of(browser: Client, address: str) -> str:
    response = browser.get(address)
    assert response.status_code == 200
    return response.content.decode()


def queries(work: Callable[[], Any]) -> int:
    with CaptureQueriesContext(
        connection,
    ) as caught:
        work()
    return len(caught)


def a_payment(house: House, amount: str, **changed: str) -> dict[str, str]:
    return {
        "key": "k" * 24, "amount": amount, "received_on": today_at(house.studio).isoformat(), "paid_by": "transfer",
        "words": "", **changed,
    }  # fmt: skip


def test_an_invoice_goes_to_the_address_that_is_kept_of_the_client_unless_another_is_written(
    wickerlark: House,
) -> None:
    offer = agreed(wickerlark)
    owner = wickerlark.client()
    with wickerlark.enter():
        client = offer.quote.event.client
    facts = {"name": client.name, "email": client.email, "phone": "", "notes": ""}
    kept = owner.post(
        wickerlark.url("events:client", client.pk), {**facts, "bill_to": "Kaigasse 4\n10999 Kornweiler"}
    )
    assert kept.status_code == 302
    further = wickerlark.url("quoting:invoice-further", offer.pk)
    assert "Kaigasse 4\n10999 Kornweiler</textarea>" in text_of(owner, further)
    with wickerlark.enter():
        offer = Offer.objects.get(pk=offer.pk)
        part: dict[str, Any] = {"amount": D(50), "label": "Part", "due_on": today_at(wickerlark.studio)}
        usual = issuing.issue_instalment(offer, **part, key="one")
        other = issuing.issue_instalment(offer, **part, key="two", bill_to="Rope Walk 3")
        assert json.loads(usual.frozen)["client"]["bill_to"] == "Kaigasse 4\n10999 Kornweiler"
        assert json.loads(other.frozen)["client"]["bill_to"] == "Rope Walk 3"


def test_a_payment_that_cannot_be_is_refused_with_all_that_was_typed(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        deposit = deposit_of(offer)
    for amount, day, words in (
        (str(deposit.total + 1), None, "is unpaid on this invoice"),
        ("-3", None, "At least"),
        ("three", None, "is no amount of money"),
        ("5", "2099-01-01", "in the future"),
    ):
        sent = a_payment(wickerlark, amount, words="Ünï 名前", **({"received_on": day} if day else {}))
        refused = wickerlark.client("staff").post(wickerlark.url("quoting:invoice-pay", deposit.pk), sent)
        assert refused.status_code == 422
        page = refused.content.decode()
        assert words in page
        assert f'value="{amount}"' in page, "what was typed stays"
        assert "Ünï 名前" in page


def test_a_deposit_is_paid_the_balance_invoiced_and_a_part_credited_on_the_pages(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    staff, owner = wickerlark.client("staff"), wickerlark.client()
    with wickerlark.enter():
        deposit = deposit_of(offer)
    address = wickerlark.url("quoting:invoice", deposit.pk)
    assert "Invoice for a deposit 0001" in text_of(staff, address)
    pay_at = wickerlark.url("quoting:invoice-pay", deposit.pk)
    taken = [staff.post(pay_at, a_payment(wickerlark, str(deposit.total))) for _ in range(2)]
    assert [one.status_code for one in taken] == [302, 302], "pressed twice"
    with wickerlark.enter():
        assert Payment.objects.count() == 1
    paid = text_of(staff, address)
    assert "receipt 0001" in paid
    assert "Record a payment" not in paid

    further = wickerlark.url("quoting:invoice-further", offer.pk)
    due_on = (today_at(wickerlark.studio) + timedelta(days=9)).isoformat()
    form = {
        "key": "b" * 24,
        "kind": "instalment",
        "amount": "",
        "label": "",
        "due_on": due_on,
        "bill_to": "Rope Walk 3",
    }
    refused = owner.post(further, form)
    assert refused.status_code == 422
    assert "Enter the amount of this part" in refused.content.decode()
    assert owner.post(further, {**form, "amount": "50", "label": "Second part"}).status_code == 302
    assert owner.post(further, {**form, "kind": "balance"}).status_code == 302
    with wickerlark.enter():
        balance = Invoice.objects.get(kind=InvoiceKind.BALANCE)
        assert balance.total == offer.total - deposit.total - 50
        assert json.loads(balance.frozen)["client"]["bill_to"] == "Rope Walk 3"
    page = text_of(owner, wickerlark.url("quoting:invoice", balance.pk))
    assert "less invoice 0001" in page
    assert "Everything that was agreed has been invoiced" in text_of(owner, further)

    credit_at = wickerlark.url("quoting:invoice-credit", balance.pk)
    refused = staff.post(credit_at, {"key": "c" * 24, "amount": "9999999", "words": "slip"})
    assert refused.status_code == 422
    assert "You can enter at most" in refused.content.decode()
    assert (
        staff.post(credit_at, {"key": "c" * 24, "amount": "10.00", "words": "One arch less"}).status_code
        == 302
    )
    listed = text_of(staff, wickerlark.url("quoting:invoices") + "?show=all")
    assert all(
        words in listed for words in ("Deposit 0001", "Instalment 0002", "Balance 0003", "Credit note 0004")
    )
    event_page = text_of(staff, wickerlark.url("events:event", offer.quote.event_id))
    assert "Balance 0003" in event_page

    crew = wickerlark.client("crew")
    for name, pk in (("invoices", None), ("invoice", deposit.pk), ("invoice-pdf", deposit.pk)):
        assert crew.get(wickerlark.url(f"quoting:{name}", *([pk] if pk else []))).status_code == 403
    assert crew.post(pay_at, {}).status_code == 403
    assert "0001" not in text_of(crew, wickerlark.url("events:event", offer.quote.event_id))


def test_a_slip_is_taken_back_on_the_page_and_money_paid_back(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    owner = wickerlark.client()
    with wickerlark.enter():
        deposit = deposit_of(offer)
        payment = pay(deposit).payment
    address = wickerlark.url("quoting:invoice", deposit.pk)
    assert owner.post(wickerlark.url("quoting:receipt-take-back", payment.pk)).status_code == 302
    assert "reversed" in text_of(owner, address)
    with wickerlark.enter():
        pay(deposit, key="again")
        issuing.credit(deposit.pk, amount=D(7), words="Sorry", key="c-1")
    assert "To pay back" in text_of(owner, address)
    back = wickerlark.url("quoting:invoice-pay-back", deposit.pk)
    assert owner.post(back, a_payment(wickerlark, "8")).status_code == 422
    assert owner.post(back, a_payment(wickerlark, "7")).status_code == 302
    assert "To pay back" not in text_of(owner, address)


def test_the_pages_take_a_fixed_number_of_queries(wickerlark: House) -> None:
    first = agreed(wickerlark)
    staff = wickerlark.client("staff")
    addresses = [
        wickerlark.url("quoting:invoices"),
        wickerlark.url("quoting:invoices") + "?show=all",
    ]
    with wickerlark.enter():
        deposit = deposit_of(first)
        addresses.append(wickerlark.url("quoting:invoice", deposit.pk))
        pay(deposit, D(1))
    before = [queries(lambda address=address: staff.get(address)) for address in addresses]  # type: ignore[misc]
    with wickerlark.enter():
        for number in range(4):
            pay(deposit, D(1), key=f"more-{number}")
            issuing.credit(deposit.pk, amount=D(1), words="x", key=f"credit-{number}")
            issuing.issue_instalment(
                first, amount=D(3), label="Part", due_on=today_at(wickerlark.studio), key=f"part-{number}"
            )
    after = [queries(lambda address=address: staff.get(address)) for address in addresses]  # type: ignore[misc]
    assert after == before
    assert max(after) <= 15, after


def test_what_is_overdue_stands_under_the_week_and_is_reminded_of(wickerlark: House) -> None:
    offer = agreed(wickerlark, deposit_days=2)
    with wickerlark.enter():
        deposit = deposit_of(offer)
    now = timezone.now()
    with time_machine.travel(now + timedelta(days=4), tick=False):
        with wickerlark.enter("staff"):
            (item,) = [
                one for one in agenda.due(Window(now, now + timedelta(days=7))) if "Deposit" in one.what
            ]
            assert item.what.startswith("Deposit overdue: $")
            assert reminding.remind_due() == 0, "a week has not gone by yet"
        with wickerlark.enter("crew"):
            assert not [
                one for one in agenda.due(Window(now, now + timedelta(days=7))) if "Deposit" in one.what
            ]
        listed = text_of(wickerlark.client("staff"), wickerlark.url("quoting:invoices"))
        assert "overdue since" in listed
    for day, sent in ((10, 1), (11, 0), (17, 1), (24, 1), (31, 0), (60, 0)):
        with time_machine.travel(now + timedelta(days=day), tick=False), wickerlark.enter():
            assert reminding.remind_due() == sent, f"day {day}"
    with wickerlark.enter():
        assert list(Reminder.objects.values_list("number", flat=True)) == [1, 2, 3]
        assert OutboxEntry.objects.filter(task="quoting.mail_reminder").count() == 3
        assert invoice_mail.send_reminder(deposit.pk)
        pay(deposit)
        assert not invoice_mail.send_reminder(deposit.pk), "paid in the meantime"


def test_letters_carry_their_pdf_and_say_how_to_pay(federkorn: House) -> None:
    offer = agreed(
        federkorn, iban="DE89370400440532013000", bic="ABCDDEFFXXX", account_holder="Atelier Federkorn"
    )
    with federkorn.enter():
        deposit = deposit_of(offer)
        invoice_mail.send_invoice(deposit.pk)
        payment = pay(deposit).payment
        invoice_mail.send_receipt(payment.pk)
        note = issuing.credit(deposit.pk, amount=D(5), words="Sorry", key="c-1")
        invoice_mail.send_invoice(note.pk)
        file = invoice_pdf.make(deposit.pk)
        assert invoice_pdf.make(deposit.pk) == file, "made once"
    letters = mail.outbox
    assert [letter.attachments[0][0] for letter in letters] == [
        "invoice-0001.pdf", "receipt-0001.pdf", "credit-note-0002.pdf",
    ]  # fmt: skip
    assert "DE89 3704 0044 0532 0130 00" in str(letters[0].body)
    assert "RF" in str(letters[0].body)
    assert "5,00" in str(letters[2].body)
    browser = federkorn.client("staff")
    got = browser.get(federkorn.url("quoting:invoice-pdf", deposit.pk))
    assert got["Content-Type"] == "application/pdf"
    assert browser.get(federkorn.url("quoting:receipt-pdf", payment.pk)).status_code == 200
