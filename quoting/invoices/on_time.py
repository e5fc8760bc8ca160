"""Issuing agreed instalments by themselves, in time for the day by which they are to be paid."""

from __future__ import annotations

from datetime import date, timedelta

from django.db import transaction
from django.db.models import Exists, OuterRef

from events.models import Status
from quoting.invoices import issuing
from quoting.invoices.invoiced import all_of, earlier_of, next_part
from quoting.invoices.settling import today_at
from quoting.models import Invoice, InvoiceKind, Offer, OfferState
from studio.models import entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def issue_due() -> int:
    """Issue the next instalment of every agreed offer of the entered studio that is to be asked for by now; how many.

    A client is given as many days as for a deposit. What was credited is not asked for again, nor is anything of an
    event that is called off or whose balance was invoiced.
    """
    require(Right.EDIT_INVOICES)
    asked_by = today_at(entered_studio()) + timedelta(days=entered_studio().deposit_days)
    offers = (
        Offer.objects.filter(state=OfferState.AGREED)
        .exclude(quote__instalments=[])
        .exclude(quote__event__status=Status.CANCELLED)
        .exclude(Exists(Invoice.objects.filter(offer=OuterRef("pk"), kind=InvoiceKind.BALANCE)))
        .select_related("quote__event__client", "quote__event__venue")
    )
    return sum(1 for offer in offers if _issue_next(offer, asked_by) is not None)


def _issue_next(offer: Offer, asked_by: date) -> Invoice | None:
    with transaction.atomic():
        issuing.lock(offer)
        issued = [one.kind for one in all_of(offer)]
        still_asked = [one.invoice.kind for one in earlier_of(offer)]
        instalment = InvoiceKind.INSTALMENT
        if InvoiceKind.BALANCE in issued or issued.count(instalment) > still_asked.count(instalment):
            return None
        planned = next_part(offer)
        if planned is None or planned[1].due_on > asked_by or not planned[1].amount:
            return None
        label, part = planned
        return issuing.issue_instalment(
            offer,
            amount=part.amount,
            label=label,
            due_on=max(part.due_on, today_at(entered_studio())),
            key=f"offer-{offer.pk}-instalment-{issued.count(instalment) + 1}",
        )
