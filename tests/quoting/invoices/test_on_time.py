"""Agreed instalments are invoiced by themselves, each once, in time for its day."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
import time_machine
from django.utils import timezone

from events.jobs import calling_off
from quoting.invoices import issuing
from quoting.invoices.settling import today_at
from quoting.models import Invoice, InvoiceKind, Offer
from quoting.offers import offering
from quoting.pricing.instalments import Instalment
from quoting.quotes import adjusting
from quoting.tasks import issue_instalments
from studio.models import OutboxEntry
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.invoice_scenes import say_yes

pytestmark = pytest.mark.django_db
D = Decimal
DEPOSIT_DAYS = 5
FIRST, SECOND = 9, 15
"""Days from today by which 20 and 30 % are to be paid."""


@pytest.fixture
def offer(wickerlark: House) -> Offer:
    """Agreed, with two instalments."""
    today = today_at(wickerlark.studio)
    with wickerlark.enter():
        wickerlark.studio.deposit_days = DEPOSIT_DAYS
        wickerlark.studio.save(update_fields=["deposit_days"])
        quote = offer_scenes.quote(wickerlark)
        planned = [
            Instalment(D(20), today + timedelta(days=FIRST)),
            Instalment(D(30), today + timedelta(days=SECOND)),
        ]
        quote = adjusting.set_payment(
            quote.pk, deposit_percent=D(30), instalments=planned, version=quote.version
        )
        made = offering.offer(quote).offer
    return say_yes(wickerlark, made)


def issued(house: House) -> list[Invoice]:
    with house.enter():
        return list(Invoice.objects.filter(kind=InvoiceKind.INSTALMENT).order_by("number"))


def sweep(days: int) -> None:
    """The worker's sweep, so many days from now, twice."""
    with time_machine.travel(timezone.now() + timedelta(days=days), tick=False):
        issue_instalments()
        issue_instalments()


def test_an_instalment_is_issued_once_as_many_days_ahead_as_a_deposit_has(
    wickerlark: House, offer: Offer
) -> None:
    sweep(FIRST - DEPOSIT_DAYS - 1)
    assert not issued(wickerlark)
    sweep(FIRST - DEPOSIT_DAYS)
    [first] = issued(wickerlark)
    assert first.total == round(offer.total * D("0.20"), 2)
    assert first.due_on == today_at(wickerlark.studio) + timedelta(days=FIRST)
    with wickerlark.enter():
        assert OutboxEntry.objects.filter(task="quoting.mail_invoice", key__contains=str(first.pk)).exists()
    sweep(SECOND - DEPOSIT_DAYS)
    assert [one.total for one in issued(wickerlark)] == [first.total, round(offer.total * D("0.30"), 2)]
    sweep(SECOND)
    assert len(issued(wickerlark)) == 2


def test_a_sweep_that_comes_late_asks_for_both_in_turn_and_for_nothing_in_the_past(
    wickerlark: House, offer: Offer
) -> None:
    sweep(SECOND + 1)
    late = today_at(wickerlark.studio) + timedelta(days=SECOND + 1)
    assert [one.due_on for one in issued(wickerlark)] == [late, late]


def test_what_was_credited_is_not_asked_for_again(wickerlark: House, offer: Offer) -> None:
    sweep(FIRST - DEPOSIT_DAYS)
    [first] = issued(wickerlark)
    with wickerlark.enter():
        issuing.credit(first.pk, amount=None, words="paid in cash at the workshop", key="credit-1")
    sweep(SECOND)
    assert issued(wickerlark) == [first]


def test_nothing_is_asked_for_an_event_that_is_called_off(wickerlark: House, offer: Offer) -> None:
    with wickerlark.enter():
        calling_off.call_off(offer.quote.event_id, why="rain")
    sweep(SECOND)
    assert not issued(wickerlark)


def test_nothing_is_asked_once_the_balance_was_invoiced(wickerlark: House, offer: Offer) -> None:
    with wickerlark.enter():
        issuing.issue_balance(offer)
    sweep(SECOND)
    assert not issued(wickerlark)
