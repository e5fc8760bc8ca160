"""Versions of a quote: added, named, left out, put back. Each is then changed on its own quote page."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from quoting.quotes import sheet
from quoting.variants import variants
from quoting.variants.forms import AddForm, NameForm
from quoting.variants.variants import Way
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_POST
@studio_page(Right.EDIT_QUOTES)
def add(request: StudioRequest, quote_id: int) -> HttpResponse:
    """One more version, copied from this one; leads to it."""
    form = AddForm(request.POST)
    if not form.is_valid():
        return _again(request, quote_id, form, "quoting:variant-add")
    try:
        made = variants.add_variant(
            quote_id, name=form.cleaned_data["name"], way=Way(form.cleaned_data["way"])
        )
    except ValidationError as fault:
        _put(form, fault)
        return _again(request, quote_id, form, "quoting:variant-add")
    return redirect(links.to("quoting:quote", made.pk))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def rename(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Call this version something else."""
    form = NameForm(request.POST)
    if not form.is_valid():
        return _again(request, quote_id, form, "quoting:variant-rename")
    try:
        variants.rename(quote_id, form.cleaned_data["name"])
    except ValidationError as fault:
        _put(form, fault)
        return _again(request, quote_id, form, "quoting:variant-rename")
    return redirect(links.to("quoting:quote", quote_id))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def leave_out(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Take this version out of the next offer; leads to the quote."""
    try:
        lead = variants.leave_out(quote_id)
    except ValidationError as fault:
        messages.error(request, " ".join(fault.messages))
        return redirect(links.to("quoting:quote", quote_id))
    messages.success(request, "Left out. An offer that was sent already stays as it is.")
    return redirect(links.to("quoting:quote", lead.pk))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def put_back(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Bring a left-out version back."""
    try:
        variants.put_back(quote_id)
    except ValidationError as fault:
        messages.error(request, " ".join(fault.messages))
    return redirect(links.to("quoting:quote", quote_id))


# Private


def _again(request: StudioRequest, quote_id: int, form: Form, address: str) -> HttpResponse:
    """The form with what was typed and what is wrong with it."""
    context = {"quote": sheet.find_quote(quote_id), "form": form, "address": links.to(address, quote_id)}
    return render(request, "quoting/variants/name.html", context, status=422)


def _put(form: Form, fault: ValidationError) -> None:
    """Put what can't be at its field, or over the form."""
    by_field = fault.message_dict if hasattr(fault, "error_dict") else {"__all__": fault.messages}
    for field, said in by_field.items():
        for words in said:
            form.add_error(field if field in form.fields else None, words)
