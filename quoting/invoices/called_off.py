"""The money of an event that was called off: what was paid is refunded or kept, and nothing else is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404

from events.booking import log
from events.models import Event
from quoting.invoices import issuing
from quoting.invoices.invoiced import NOTHING, CannotInvoice
from quoting.invoices.settling import Standing, standing, today_at, with_sums
from quoting.models import Invoice, InvoiceKind, Offer
from studio.models import entered_studio
from studio.money import amounts
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class Payments:
    """What is paid on an event's invoices and not owed back yet, and what is still asked for."""

    kept: Decimal
    unpaid: Decimal


def find_event(event_id: int) -> Event:
    """An event of this studio; 404 for any other."""
    require(Right.EDIT_INVOICES)
    found = Event.objects.select_related("client").filter(pk=event_id).first()
    if found is None:
        raise Http404
    return found


def sum_payments(event: Event) -> Payments:
    """Over all invoices of the event. One query."""
    stands = [each for _, each in _standings(event)]
    return Payments(
        sum((_kept(each) for each in stands), NOTHING),
        sum((max(each.left, NOTHING) for each in stands), NOTHING),
    )


def settle(event_id: int, *, refund: Decimal, words: str, key: str) -> list[Invoice]:
    """Credit what is unpaid and ``refund`` of what was paid, the newest invoice first; gives the credit notes.

    The same ``key`` again gives the same notes. Raises ``ValidationError`` at the field; nothing is credited then.
    """
    require(Right.EDIT_INVOICES)
    with transaction.atomic():
        list(Offer.objects.select_for_update(no_key=True).filter(quote__event=event_id).values_list("pk"))
        event = find_event(event_id)
        known = list(Invoice.objects.filter(event=event, key__startswith=f"off-{key}-").order_by("number"))
        if known:
            return known
        if not event.is_off:
            raise CannotInvoice("This event isn't called off. Credit its invoices one by one.")
        found = _standings(event)
        _refuse_refund(refund, sum((_kept(each) for _, each in found), NOTHING), words)
        notes = _credit(found, refund, words, key)
        written = amounts.written(refund, entered_studio().currency, entered_studio().locale)
        log.record(event, f"Payments settled: {written} to be refunded.")
    return notes


# Private


def _standings(event: Event) -> list[tuple[Invoice, Standing]]:
    today = today_at(entered_studio())
    rows = with_sums(Invoice.objects.filter(event=event).exclude(kind=InvoiceKind.CREDIT)).order_by("-number")
    return [(invoice, standing(invoice, today)) for invoice in rows]


def _kept(stands: Standing) -> Decimal:
    """What was paid, without what is owed back already."""
    return max(min(stands.paid, stands.total - stands.credited), NOTHING)


def _refuse_refund(refund: Decimal, most: Decimal, words: str) -> None:
    studio = entered_studio()
    faults = {}
    if not 0 <= refund <= most:
        faults["refund"] = f"You can refund at most {amounts.written(most, studio.currency, studio.locale)}."
    elif refund != amounts.rounded(refund, studio.currency):
        faults["refund"] = f"{studio.currency} has {amounts.minor_digits(studio.currency) or 'no'} decimals."
    if not words.strip():
        faults["words"] = "Enter a reason. It is printed on the credit note."
    if faults:
        raise ValidationError(dict(faults))


def _credit(
    found: Sequence[tuple[Invoice, Standing]], refund: Decimal, words: str, key: str
) -> list[Invoice]:
    notes, remaining = [], refund
    for invoice, stands in found:
        back = min(remaining, _kept(stands))
        remaining -= back
        amount = max(stands.left, NOTHING) + back
        if amount:
            notes.append(
                issuing.credit(invoice.pk, amount=amount, words=words, key=f"off-{key}-{invoice.pk}")
            )
    return notes
