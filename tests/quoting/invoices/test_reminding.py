"""Reminders by hand and by the sweep: only of what is overdue, only to a known address, one within a minute."""

from __future__ import annotations

from datetime import timedelta

import pytest
import time_machine
from django.http import Http404
from django.utils import timezone

from events.models import Client
from quoting.invoices import issuing, reminding
from quoting.invoices.invoiced import CannotInvoice
from quoting.invoices.settling import today_at
from quoting.models import Offer, Reminder
from tests.people import House
from tests.quoting.invoice_scenes import agreed, deposit_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def offer(wickerlark: House) -> Offer:
    return agreed(wickerlark, deposit_days=5, remind_days=3)


def test_what_is_not_overdue_or_not_there_is_reminded_of_to_nobody(wickerlark: House, offer: Offer) -> None:
    with wickerlark.enter():
        with pytest.raises(reminding.CannotRemind, match="isn't overdue"):
            reminding.remind(deposit_of(offer).pk)
        with pytest.raises(Http404):
            reminding.remind(999_999_999)
        assert not Reminder.objects.exists()


def test_a_second_press_within_the_minute_writes_no_second_letter(wickerlark: House, offer: Offer) -> None:
    with time_machine.travel(timezone.now() + timedelta(days=9), tick=False) as clock, wickerlark.enter():
        deposit = deposit_of(offer)
        first = reminding.remind(deposit.pk)
        clock.shift(timedelta(seconds=50))
        assert reminding.remind(deposit.pk) == first
        clock.shift(timedelta(seconds=50))
        assert reminding.remind(deposit.pk).number == first.number + 1 == 2


def test_a_client_without_an_address_is_not_reminded_nor_sent_the_invoice_again(wickerlark: House) -> None:
    offer = agreed(wickerlark, deposit_percent=0, remind_days=3)
    with wickerlark.enter():
        Client.objects.update(email="")
        offer = Offer.objects.select_related("quote__event").get(pk=offer.pk)
        invoice = issuing.issue_balance(offer, due_on=today_at(wickerlark.studio) + timedelta(days=5))
    with time_machine.travel(timezone.now() + timedelta(days=9), tick=False), wickerlark.enter():
        with pytest.raises(reminding.CannotRemind, match="No e-mail address"):
            reminding.remind(invoice.pk)
        with pytest.raises(CannotInvoice, match="No e-mail address"):
            issuing.mail_again(invoice.pk)
        assert reminding.remind_due() == 0


@pytest.mark.parametrize(("days", "letters"), [(0, 0), (3, 1)])
def test_a_studio_that_wants_no_reminders_sends_none_by_itself(
    wickerlark: House, days: int, letters: int
) -> None:
    agreed(wickerlark, deposit_days=5, remind_days=days)
    with time_machine.travel(timezone.now() + timedelta(days=9), tick=False), wickerlark.enter():
        assert reminding.remind_due() == letters
