"""Reminding of what is overdue: by the worker as often as the studio says, or by hand."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.utils import timezone

from events.models import Status
from quoting.invoices.settling import Paid, standing, today_at, with_sums
from quoting.models import Invoice, InvoiceKind, Reminder
from studio import tenancy
from studio.models import entered_studio
from studio.outbox import entries
from studio.tenancy.access import require
from studio.tenancy.fair_share import MAILS
from studio.tenancy.rights import Right

MOST: Final = 3
"""Letters that go out by themselves; after that a person should ring up. Common practice, no source."""


class CannotRemind(ValidationError):
    """Nothing to remind of, or nobody to write to."""


def remind_due() -> int:
    """Write about every invoice of the entered studio that has been overdue long enough; gives how many letters.

    The first goes out so many days after the due day, each further one as many days after the one before.
    """
    require(Right.EDIT_INVOICES)
    studio = entered_studio()
    if not studio.remind_days:
        return 0
    today, wait = today_at(studio), timedelta(days=studio.remind_days)
    late = (
        Invoice.objects.filter(due_on__lte=today - wait)
        .exclude(kind=InvoiceKind.CREDIT)
        .exclude(event__status=Status.CANCELLED)
        .exclude(client_email="")
    )
    sent = 0
    for invoice in with_sums(late.prefetch_related("reminders")):
        letters = list(invoice.reminders.all())
        last_on = max((letter.sent_at for letter in letters), default=None)
        waited = last_on is None or last_on.astimezone(studio.tz).date() <= today - wait
        if len(letters) < MOST and waited and standing(invoice, today).state == Paid.OVERDUE:
            _remind(invoice.pk)
            sent += 1
    return sent


def remind(invoice_id: int) -> Reminder:
    """Write now. Raises :class:`CannotRemind`, ``Http404``."""
    require(Right.EDIT_INVOICES)
    found = with_sums(Invoice.objects.all()).filter(pk=invoice_id).first()
    if found is None:
        raise Http404
    studio = entered_studio()
    if standing(found, today_at(studio)).state != Paid.OVERDUE:
        raise CannotRemind("This invoice isn't overdue.")
    if not found.client_email:
        raise CannotRemind("No e-mail address was known for this client.")
    return _remind(found.pk)


# Private


def _remind(invoice_id: int) -> Reminder:
    """One letter more; two sweeps at once, or a second press within the minute, write one."""
    with transaction.atomic():
        list(Invoice.objects.select_for_update(no_key=True).filter(pk=invoice_id).values_list("pk"))
        invoice = with_sums(Invoice.objects.all()).get(pk=invoice_id)
        last = Reminder.objects.filter(invoice=invoice).order_by("-number").first()
        now = timezone.now()
        if last and last.sent_at > now - timedelta(minutes=1):
            return last
        made = Reminder.objects.create(
            invoice=invoice,
            number=last.number + 1 if last else 1,
            left=standing(invoice, now.date()).left,
            sent_at=now,
            sent_by_id=tenancy.current().person_id,
        )
        entries.write(
            "quoting.mail_reminder", share=MAILS, key=f"invoice-reminder-{made.pk}", invoice_id=invoice_id
        )
    return made
