"""Invoices: the list, one of them with its payments, and what is done with it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.invoices import called_off, deposits, invoiced, issuing, payments, presenter, reminding
from quoting.invoices.document_presenter import present_invoice
from quoting.invoices.forms import (
    INSTALMENT,
    CreditForm,
    FurtherInvoiceForm,
    PayBackForm,
    PaymentForm,
    SettleForm,
)
from quoting.invoices.settling import Paid, standing, today_at
from quoting.models import Invoice, InvoiceKind, PaidBy, PaymentChoice
from quoting.offers import offering
from studio.models import StoredFile, Studio
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

PAGE_LENGTH = 40
Typed: TypeAlias = dict[str, Any]
"""What a form has cleaned: each field's value has a type of its own, which the function that takes it names."""


@require_safe
@studio_page(Right.SEE_INVOICES)
def invoices(request: StudioRequest) -> HttpResponse:
    """What is to come in, the longest overdue first; ``?show=all`` brings everything, newest first."""
    studio = _studio(request)
    everything = request.GET.get("show") == "all"
    page = Paginator(presenter.listed(studio, everything=everything), PAGE_LENGTH).get_page(
        request.GET.get("page")
    )
    context = {
        "page": page,
        "rows": [presenter.row(one, studio) for one in page],
        "everything": everything,
        "sums": presenter.sums(studio),
    }
    return render(request, "quoting/invoices/invoices.html", context)


@require_safe
@studio_page(Right.SEE_INVOICES)
def invoice(request: StudioRequest, invoice_id: int) -> HttpResponse:
    """One invoice as issued, with what was paid and credited on it."""
    return _page(request, issuing.find(invoice_id))


@require_safe
@studio_page(Right.SEE_INVOICES)
def invoice_pdf(request: StudioRequest, invoice_id: int) -> HttpResponse:
    """The PDF; back to the page while it is being made."""
    found = issuing.find(invoice_id)
    return _file(request, found.pdf, links.to("quoting:invoice", invoice_id))


@require_safe
@studio_page(Right.SEE_INVOICES)
def receipt_pdf(request: StudioRequest, payment_id: int) -> HttpResponse:
    """A receipt; back to its invoice while it is being made."""
    found = payments.find(payment_id)
    return _file(request, found.pdf, links.to("quoting:invoice", found.invoice_id))


@require_POST
@studio_page(Right.EDIT_INVOICES)
def pay(request: StudioRequest, invoice_id: int) -> HttpResponse:
    """Record a payment."""
    found = issuing.find(invoice_id)
    form = _payment_form(request, found, PaymentForm, request.POST)

    def deed(said: Typed) -> None:
        recorded = payments.record(invoice_id, **{**said, "paid_by": PaidBy(said["paid_by"])})
        messages.success(request, f"Recorded. Receipt {recorded.payment.written_number} is on its way.")
        if recorded.promised:
            messages.success(request, f"Deposit paid: {found.event.title} is confirmed.")
        for words in recorded.in_the_way:
            messages.error(request, f"The deposit is paid, but the event could not be confirmed: {words}")

    return _did(request, found, form, deed, payment_form=form)


@require_POST
@studio_page(Right.EDIT_INVOICES)
def promise(request: StudioRequest, invoice_id: int) -> HttpResponse:
    """Confirm the event of a deposit without waiting for it."""
    found = issuing.find(invoice_id)
    try:
        payments.promise_now(invoice_id)
    except ValidationError as refusal:
        for words in getattr(refusal, "for_studio", refusal.messages):
            messages.error(request, words)
    else:
        messages.success(request, f"{found.event.title} is confirmed.")
    return redirect(links.to("quoting:invoice", invoice_id))


@require_POST
@studio_page(Right.EDIT_INVOICES)
def pay_back(request: StudioRequest, invoice_id: int) -> HttpResponse:
    """Record money that went back."""
    found = issuing.find(invoice_id)
    form = _payment_form(request, found, PayBackForm, request.POST)

    def deed(said: Typed) -> None:
        payments.pay_back(invoice_id, **{**said, "paid_by": PaidBy(said["paid_by"])})
        messages.success(request, "Recorded: paid back.")

    return _did(request, found, form, deed, pay_back_form=form)


@require_POST
@studio_page(Right.EDIT_INVOICES)
def take_back(request: StudioRequest, payment_id: int) -> HttpResponse:
    """Put a slip right."""
    found = payments.find(payment_id)
    try:
        payments.take_back(payment_id)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(
            request,
            f"Receipt {found.written_number} is reversed. Both entries stay in the books.",
        )
    return redirect(links.to("quoting:invoice", found.invoice_id))


@require_POST
@studio_page(Right.EDIT_INVOICES)
def credit(request: StudioRequest, invoice_id: int) -> HttpResponse:
    """Issue a credit note."""
    found = issuing.find(invoice_id)
    form = CreditForm(request.POST, studio=_studio(request))

    def deed(said: Typed) -> None:
        note = issuing.credit(
            invoice_id, amount=said["amount"], words=said["words"], key=f"credit-{said['key']}"
        )
        messages.success(request, f"Credit note {note.written_number} is issued.")

    return _did(request, found, form, deed, credit_form=form)


@require_POST
@studio_page(Right.EDIT_INVOICES)
def mail(request: StudioRequest, invoice_id: int) -> HttpResponse:
    """The e-mail once more."""
    try:
        issuing.mail_again(invoice_id)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, "The e-mail is on its way again.")
    return redirect(links.to("quoting:invoice", invoice_id))


@require_POST
@studio_page(Right.EDIT_INVOICES)
def remind(request: StudioRequest, invoice_id: int) -> HttpResponse:
    """Write a reminder now."""
    try:
        made = reminding.remind(invoice_id)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, f"Reminder {made.number} is on its way.")
    return redirect(links.to("quoting:invoice", invoice_id))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_INVOICES)
def further_invoice(request: StudioRequest, offer_id: int) -> HttpResponse:
    """Invoice the balance of an agreed offer, or a part of it."""
    offer, studio = offering.find(offer_id), _studio(request)
    try:
        earlier, left = invoiced.earlier_of(offer), invoiced.left_to_invoice(offer)
        planned = invoiced.next_part(offer)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
        return redirect(links.to("quoting:offer", offer_id))
    form = FurtherInvoiceForm(
        request.POST or None,
        studio=studio,
        due_on=invoiced.balance_due_on(offer, studio),
        bill_to=offer.quote.event.client.bill_to,
        planned=planned,
    )
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            if said["kind"] == INSTALMENT:
                made = issuing.issue_instalment(
                    offer, amount=said["amount"], label=said["label"].strip(), due_on=said["due_on"],
                    key=f"part-{said['key']}", bill_to=said["bill_to"],
                )  # fmt: skip
            else:
                made = issuing.issue_balance(offer, bill_to=said["bill_to"], due_on=said["due_on"])
        except ValidationError as refusal:
            _at_fields(form, refusal)
        else:
            messages.success(request, f"Invoice {made.written_number} is issued.")
            return redirect(links.to("quoting:invoice", made.pk))
    context = {"offer": offer, "event": offer.quote.event, "earlier": earlier, "left": left, "form": form}
    return render(
        request, "quoting/invoices/further_invoice.html", context, status=422 if form.errors else 200
    )


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_INVOICES)
def settle_called_off(request: StudioRequest, event_id: int) -> HttpResponse:
    """Decide what happens with what was paid for an event that was called off."""
    event, studio = called_off.find_event(event_id), _studio(request)
    money, decision = called_off.sum_payments(event), called_off.find_decision(event)
    form = SettleForm(request.POST or None, studio=studio, kept=money.kept, decision=decision)
    if request.method == "POST" and form.is_valid():
        try:
            done = _settle(event_id, form.cleaned_data)
        except ValidationError as refusal:
            _at_fields(form, refusal)
        else:
            messages.success(request, done)
            return redirect(links.to("events:event", event_id))
    context = {"event": event, "money": money, "decision": decision, "form": form}
    return render(
        request, "quoting/invoices/settle_called_off.html", context, status=422 if form.errors else 200
    )


# --- Private --------------------------------------------------------------------------------------------------


def _settle(event_id: int, said: Typed) -> str:
    """Do what was chosen; gives what the page says then."""
    if said["choice"] == PaymentChoice.MOVE:
        called_off.keep_for_new_date(event_id)
        return "Saved: what was paid is kept for a new date."
    notes = called_off.settle(event_id, refund=said["refund"], words=said["words"], key=said["key"])
    issued = ", ".join(note.written_number for note in notes)
    return f"Credit notes issued: {issued}." if issued else "Saved: nothing is refunded."


def _studio(request: StudioRequest) -> Studio:
    return request.tenant.studio


def _payment_form(
    request: StudioRequest, found: Invoice, kind: type[PaymentForm], data: Mapping[str, str] | None = None
) -> PaymentForm:
    studio = _studio(request)
    today = today_at(studio)
    return kind(data, studio=studio, today=today, amount=abs(standing(found, today).left))


def _did(
    request: StudioRequest,
    found: Invoice,
    form: forms.Form,
    deed: Callable[[Typed], None],
    **typed: forms.Form,
) -> HttpResponse:
    """Do it and go back to the invoice, or show at the field why it can't be done, with everything typed."""
    if form.is_valid():
        try:
            deed(dict(form.cleaned_data))
        except ValidationError as refusal:
            _at_fields(form, refusal)
        else:
            return redirect(links.to("quoting:invoice", found.pk))
    return _page(request, found, status=422, **typed)


def _at_fields(form: forms.Form, refusal: ValidationError) -> None:
    told = refusal.message_dict if hasattr(refusal, "error_dict") else {"__all__": refusal.messages}
    for field, words in told.items():
        for each in words:
            form.add_error(field if field in form.fields else None, each)


def _page(request: StudioRequest, found: Invoice, *, status: int = 200, **typed: forms.Form) -> HttpResponse:
    studio = _studio(request)
    stands = standing(found, today_at(studio))
    context = {
        "row": found,
        "invoice": present_invoice(found.frozen),
        "stands": stands,
        "state_mark": presenter.MARKS[stands.state],
        "can_pay": not found.is_credit and stands.left > 0,
        "can_pay_back": stands.state == Paid.TO_PAY_BACK,
        "can_credit": not found.is_credit and stands.total > stands.credited,
        "can_promise": found.kind == InvoiceKind.DEPOSIT
        and not found.event.is_agreed
        and not found.event.is_off,
        "payments": presenter.payments_of(found),
        "notes": list(found.credit_notes.order_by("number")),
        "reminders": list(found.reminders.all()),
        "code": deposits.code_of(found, stands.left) if stands.left > 0 and not found.is_credit else "",
        "payment_form": _payment_form(request, found, PaymentForm),
        "pay_back_form": _payment_form(request, found, PayBackForm),
        "credit_form": CreditForm(studio=studio, amount=stands.total - stands.credited),
        "payment_open": "payment_form" in typed,
        "credit_open": "credit_form" in typed,
        **typed,
    }
    return render(request, "quoting/invoices/invoice.html", context, status=status)


def _file(request: StudioRequest, file: StoredFile | None, back: str) -> HttpResponse:
    if file is None:
        messages.info(request, "The PDF is still being made.")
        return redirect(back)
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    response["Content-Disposition"] = f'attachment; filename="{file.name}"'
    return response
