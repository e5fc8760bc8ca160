"""Payments: only an amount that is owed, once for each form, and put right by an entry beside it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.http import Http404

from quoting.invoices import issuing, payments
from quoting.invoices.invoiced import CannotInvoice
from quoting.invoices.settling import today_at
from quoting.models import Invoice, Offer, PaidBy, Payment
from studio.models import Studio
from tests.people import House
from tests.quoting.invoice_scenes import agreed, deposit_of, pay

pytestmark = pytest.mark.django_db
D = Decimal
NOWHERE = 999_999_999


@pytest.fixture
def offer(wickerlark: House) -> Offer:
    return agreed(wickerlark, deposit_days=5)


def paid_back(invoice: Invoice, amount: Decimal, key: str) -> Payment:
    today = today_at(Studio.objects.get())
    return payments.pay_back(invoice.pk, amount=amount, received_on=today, paid_by=PaidBy.TRANSFER, key=key)


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        (D(0), "above zero"),
        (D(-5), "above zero"),
        (D(10**6), "is unpaid on this invoice"),
        (D("1.005"), "decimals"),
    ],
)
def test_an_amount_that_nobody_owes_is_refused_at_the_amount(
    wickerlark: House, offer: Offer, amount: Decimal, words: str
) -> None:
    with wickerlark.enter():
        with pytest.raises(ValidationError, match=words) as refused:
            pay(deposit_of(offer), amount)
        assert set(refused.value.message_dict) == {"amount"}
        assert not Payment.objects.exists()


@pytest.mark.parametrize(("days", "words"), [(1, "in the future"), (-1200, "three years ago")])
def test_a_day_that_cannot_be_is_refused_at_the_day(
    wickerlark: House, offer: Offer, days: int, words: str
) -> None:
    with wickerlark.enter():
        on = today_at(wickerlark.studio) + timedelta(days=days)
        with pytest.raises(ValidationError, match=words) as refused:
            payments.record(
                deposit_of(offer).pk, amount=D(1), received_on=on, paid_by=PaidBy.CASH, key="another day"
            )
        assert set(refused.value.message_dict) == {"received_on"}


def test_one_form_is_one_payment_of_one_invoice(wickerlark: House, offer: Offer) -> None:
    with wickerlark.enter():
        deposit = deposit_of(offer)
        first, again = (pay(deposit, D(1)).payment for _ in range(2))
        assert first.pk == again.pk
        other = issuing.issue_balance(offer)
        with pytest.raises(ValidationError, match="another invoice"):
            pay(other, D(1))
        for key in ("", "k" * (payments.LONGEST_KEY + 1)):
            with pytest.raises(ValidationError, match="form was incomplete"):
                pay(deposit, D(1), key=key)
        assert Payment.objects.count() == 1


def test_a_payment_taken_back_twice_has_one_counterpart_that_stays(wickerlark: House, offer: Offer) -> None:
    with wickerlark.enter():
        payment = pay(deposit_of(offer), D(20)).payment
        first, again = (payments.take_back(payment.pk) for _ in range(2))
        assert (first.pk, first.amount) == (again.pk, D(-20))
        with pytest.raises(ValidationError, match="already reverses another"):
            payments.take_back(first.pk)
        assert sum(each.amount for each in Payment.objects.all()) == 0


def test_money_goes_to_no_credit_note_and_back_only_after_one(wickerlark: House, offer: Offer) -> None:
    with wickerlark.enter():
        deposit = deposit_of(offer)
        pay(deposit)
        with pytest.raises(ValidationError, match="unpaid"):
            paid_back(deposit, D(1), "too early")
        note = issuing.credit(deposit.pk, amount=None, key="credit", words="Weather")
        with pytest.raises(ValidationError, match="credit note"):
            pay(note, D(1), key="on the note")
        with pytest.raises(CannotInvoice, match="can't be credited"):
            issuing.credit(note.pk, amount=None, key="twice", words="Weather")
        first, again = (paid_back(deposit, deposit.total, "back") for _ in range(2))
        assert (first.pk, first.amount) == (again.pk, -deposit.total)


def test_only_the_deposit_of_an_agreed_offer_confirms_its_event(wickerlark: House, offer: Offer) -> None:
    with wickerlark.enter():
        rest = issuing.issue_balance(offer)
        with pytest.raises(ValidationError, match="not the deposit"):
            payments.promise_now(rest.pk)
        deposit = deposit_of(offer)
        for _ in range(2):
            payments.promise_now(deposit.pk)
            offer.quote.event.refresh_from_db()
            assert offer.quote.event.is_agreed


def test_what_is_not_there_is_not_found(wickerlark: House) -> None:
    with wickerlark.enter():
        with pytest.raises(Http404):
            payments.find(NOWHERE)
        with pytest.raises(Http404):
            payments.take_back(NOWHERE)
        with pytest.raises(Http404):
            paid_back(Invoice(pk=NOWHERE), D(1), "nowhere")
