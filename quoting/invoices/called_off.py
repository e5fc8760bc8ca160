"""The money of an event that was called off: what was paid is kept, refunded or used for a new date.

What the studio decides is stored. It is asked for in the week until it is decided; the decision ends when the event is
on again.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Q
from django.http import Http404
from django.utils import timezone

from events.booking import log
from events.calendar.agenda import DueItem
from events.models import Event, Status
from quoting.invoices import issuing
from quoting.invoices.invoiced import NOTHING, CannotInvoice
from quoting.invoices.settling import Standing, standing, today_at, with_sums
from quoting.models import Invoice, InvoiceKind, Offer, PaymentChoice, PaymentDecision
from studio import tenancy
from studio.measures.times import Window
from studio.models import entered_studio
from studio.money import amounts
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.rights import Right, may


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


def refund_faults(refund: Decimal, most: Decimal, words: str) -> dict[str, str]:
    """Everything that is wrong with a refund, by field: it is at most ``most`` and has its reason in ``words``."""
    studio = entered_studio()
    faults = {}
    if not 0 <= refund <= most:
        faults["refund"] = f"You can refund at most {amounts.written(most, studio.currency, studio.locale)}."
    elif refund != amounts.rounded(refund, studio.currency):
        faults["refund"] = f"{studio.currency} has {amounts.minor_digits(studio.currency) or 'no'} decimals."
    if not words.strip():
        faults["words"] = "Enter a reason. It is printed on the credit note."
    return faults


def settle(event_id: int, *, refund: Decimal, words: str, key: str) -> list[Invoice]:
    """Credit what is unpaid and ``refund`` of what was paid, the newest invoice first; gives the credit notes.

    That the rest is kept, or all of it, is stored as decided.
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
        if not refund and _is_kept_already(event, found):
            return []
        _refuse_refund(refund, sum((_kept(each) for _, each in found), NOTHING), words)
        notes = _credit(found, refund, words, key)
        earlier = find_decision(event)
        refunded = refund + (earlier.refund if earlier else NOTHING)
        _decide(event, PaymentChoice.REFUND if refunded else PaymentChoice.KEEP, refund=refunded, words=words)
        written = amounts.written(refund, entered_studio().currency, entered_studio().locale)
        log.record(event, f"Payments settled: {written} to be refunded.")
    return notes


def keep_for_new_date(event_id: int) -> PaymentDecision:
    """Decide that what was paid counts for another date; the invoices stay as they are. Twice is once.

    Raises :class:`CannotInvoice`, ``Http404``.
    """
    require(Right.EDIT_INVOICES)
    with transaction.atomic():
        list(Offer.objects.select_for_update(no_key=True).filter(quote__event=event_id).values_list("pk"))
        event = find_event(event_id)
        if not event.is_off:
            raise CannotInvoice("This event isn't called off.")
        standing_one = find_decision(event)
        if standing_one and standing_one.choice == PaymentChoice.MOVE:
            return standing_one
        log.record(event, "What was paid is kept for a new date.")
        return _decide(event, PaymentChoice.MOVE)


def find_decision(event: Event) -> PaymentDecision | None:
    """What was decided about the payments of a called-off event. One query."""
    return PaymentDecision.objects.filter(event=event, ended_at=None).first()


def end_decision(event: Event) -> None:
    """The event is on again: the decision doesn't stand any more. What was credited is said in the history."""
    ended = PaymentDecision.objects.filter(event=event, ended_at=None)
    for decision in ended:
        if decision.choice != PaymentChoice.MOVE:
            log.record(event, "Its payments were settled when it was called off. Check its invoices.")
    ended.update(ended_at=timezone.now())


def payments_to_decide(span: Window) -> Iterable[DueItem]:
    """Called-off events whose payments nobody has decided about, that wait for their new date or for their refund.

    They are shown whichever week is looked at. Two queries.
    """
    if not may(tenancy.current().role, Right.EDIT_INVOICES):
        return []
    decisions = PaymentDecision.objects.filter(ended_at=None, event__status=Status.CANCELLED)
    decided = {
        event_id: (PaymentChoice(choice), title)
        for event_id, choice, title in decisions.values_list("event_id", "choice", "event__title")
    }
    invoices = _unsettled_invoices(decided)
    asked = {
        invoice.event_id: invoice.event.title
        for invoice, stands in invoices
        if invoice.event_id not in decided and (_kept(stands) or stands.left > 0)
    }
    return [
        *(_ask_item(event_id, title) for event_id, title in asked.items()),
        *(
            _date_item(event_id, title)
            for event_id, (choice, title) in decided.items()
            if choice == PaymentChoice.MOVE
        ),
        *(_pay_back_item(invoice, stands.back) for invoice, stands in invoices if stands.back),
    ]


# Private


def _is_kept_already(event: Event, found: Iterable[tuple[Invoice, Standing]]) -> bool:
    """Whether that was decided before and nothing is left to credit."""
    decision = find_decision(event)
    is_kept = decision is not None and decision.choice == PaymentChoice.KEEP
    return is_kept and not any(stands.left > 0 for _, stands in found)


def _unsettled_invoices(decided: Iterable[int]) -> list[tuple[Invoice, Standing]]:
    """Invoices of called-off events that nobody has decided about, or of which a part is to be paid back. One query."""
    rows = Invoice.objects.filter(event__status=Status.CANCELLED).exclude(kind=InvoiceKind.CREDIT)
    read = rows.select_related("event").only("kind", "total", "due_on", "currency", "event__title")
    rows = with_sums(read).filter(
        ~Q(event__in=list(decided)) | Q(paid_sum__gt=F("total") - F("credited_sum"))
    )
    today = today_at(entered_studio())
    return [(invoice, standing(invoice, today)) for invoice in rows.order_by("number")]


def _ask_item(event_id: int, title: str) -> DueItem:
    what = "Waits for you: decide about the payments of a called-off event"
    address = links.to("quoting:event-settle-payments", event_id)
    return DueItem(timezone.now(), what, title, address, event_id)


def _date_item(event_id: int, title: str) -> DueItem:
    what = "Waits for you: set the new date; what was paid is kept for it"
    return DueItem(timezone.now(), what, title, links.to("events:event", event_id), event_id)


def _pay_back_item(invoice: Invoice, amount: Decimal) -> DueItem:
    what = f"Pay back {amounts.written(amount, invoice.currency, entered_studio().locale)}"
    address = links.to("quoting:invoice", invoice.pk)
    return DueItem(timezone.now(), what, invoice.event.title, address, invoice.event_id)


def _decide(
    event: Event, choice: PaymentChoice, *, refund: Decimal = NOTHING, words: str = ""
) -> PaymentDecision:
    """Store the decision in place of the one that stands."""
    now = timezone.now()
    PaymentDecision.objects.filter(event=event, ended_at=None).update(ended_at=now)
    return PaymentDecision.objects.create(
        event=event,
        choice=choice,
        refund=refund,
        words=words.strip(),
        decided_at=now,
        decided_by_id=tenancy.current().person_id,
    )


def _standings(event: Event) -> list[tuple[Invoice, Standing]]:
    today = today_at(entered_studio())
    rows = with_sums(Invoice.objects.filter(event=event).exclude(kind=InvoiceKind.CREDIT)).order_by("-number")
    return [(invoice, standing(invoice, today)) for invoice in rows]


def _kept(stands: Standing) -> Decimal:
    """What was paid, without what is owed back already."""
    return max(min(stands.paid, stands.total - stands.credited), NOTHING)


def _refuse_refund(refund: Decimal, most: Decimal, words: str) -> None:
    if faults := refund_faults(refund, most, words):
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
