"""The money side of the demo's events: what was paid, what is late, what was given back."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from quoting.demo.clock import as_of
from quoting.invoices import deposits, issuing, payments
from quoting.invoices.settling import today_at
from quoting.models import Invoice, InvoiceKind, Offer, PaidBy
from studio.models import entered_studio


def play(offer: Offer, course: str, paid_at: datetime) -> None:
    """``open``: the deposit isn't paid yet. ``paid``: it is, and after the event the balance is as well. ``part``: of
    the balance half is in. ``overdue``: nothing of it. ``credited``: some of it was given back."""
    if course == "open" or deposits.deposit_due(offer) is None:
        return
    offer = Offer.objects.select_related("quote__event").get(pk=offer.pk)
    deposit = Invoice.objects.get(offer=offer, kind=InvoiceKind.DEPOSIT)
    with as_of(min(paid_at, timezone.now())):
        _paid(deposit, deposit.total, PaidBy.TRANSFER)
    event = offer.quote.event
    if event.out_by > timezone.now():
        return
    with as_of(event.out_by + timedelta(hours=14)):
        balance = issuing.issue_balance(offer)
    if course == "overdue":
        return
    with as_of(event.out_by + timedelta(days=6)):
        if course == "part":
            _paid(balance, Decimal(int(balance.total / 2)), PaidBy.CARD)
            return
        if course == "credited":
            given = Decimal(25)
            issuing.credit(
                balance.pk, amount=given, words="The second column stood half an hour late.",
                key=f"demo-{balance.pk}",
            )  # fmt: skip
            _paid(balance, balance.total - given, PaidBy.CHEQUE)
            return
        _paid(balance, balance.total, PaidBy.TRANSFER)


def _paid(invoice: Invoice, amount: Decimal, way: PaidBy) -> None:
    studio = entered_studio()
    payments.record(
        invoice.pk, amount=amount, received_on=today_at(studio), paid_by=way, key=f"demo-{invoice.pk}"
    )
