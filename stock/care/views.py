"""Pages of a tagged item: its tag, its repair, taking it out of use."""

from __future__ import annotations

from datetime import datetime

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from stock.care import tagged_items
from stock.care.forms import RepairForm, RetireForm, TagForm
from stock.catalogue.fields import is_saved
from stock.models import MovementKind, Piece
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.EDIT_SHELF)
def show_tagged_item(request: StudioRequest, tagged_id: int) -> HttpResponse:
    """The tagged item's page."""
    return _render_tagged_item(request, tagged_items.find_tagged_item(tagged_id))


@require_POST
@studio_page(Right.EDIT_SHELF)
def rename_tagged_item(request: StudioRequest, tagged_id: int) -> HttpResponse:
    """Change the tag or the note."""
    tagged = tagged_items.find_tagged_item(tagged_id)
    form = TagForm(request.POST, prefix="tag")
    if form.is_valid() and is_saved(form, lambda: tagged_items.rename_tag(tagged.pk, **form.cleaned_data)):
        return _back_to_item(request, tagged, f"{form.cleaned_data['tag']} is saved.")
    return _render_tagged_item(request, tagged, tag=form)


@require_POST
@studio_page(Right.EDIT_SHELF)
def repair_tagged_item(request: StudioRequest, tagged_id: int) -> HttpResponse:
    """Send it to repair."""
    tagged = tagged_items.find_tagged_item(tagged_id)
    form = RepairForm(request.POST, prefix="mend")
    if form.is_valid():
        data = form.cleaned_data
        until = datetime.combine(data["until"], datetime.min.time(), tzinfo=request.tenant.studio.tz)
        if is_saved(
            form,
            lambda: tagged_items.send_to_repair(tagged.pk, until=until, why=data["why"], key=data["key"]),
        ):
            return _back_to_item(request, tagged, f"{tagged.tag} is in repair.")
    return _render_tagged_item(request, tagged, mend=form)


@require_POST
@studio_page(Right.EDIT_SHELF)
def return_tagged_item(request: StudioRequest, tagged_id: int) -> HttpResponse:
    """End its repair."""
    tagged = tagged_items.find_tagged_item(tagged_id)
    try:
        with transaction.atomic():
            tagged_items.return_from_repair(tagged.pk)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(links.to("stock:tagged-item", tagged.pk))
    return _back_to_item(request, tagged, f"{tagged.tag} is back in service.")


@require_POST
@studio_page(Right.EDIT_SHELF)
def retire_tagged_item(request: StudioRequest, tagged_id: int) -> HttpResponse:
    """Write it off."""
    tagged = tagged_items.find_tagged_item(tagged_id)
    form = RetireForm(request.POST, prefix="retire")
    if form.is_valid():
        data = form.cleaned_data
        kind = MovementKind(data["kind"])
        if is_saved(
            form,
            lambda: tagged_items.retire_tagged_item(
                tagged.pk, kind=kind, reason=data["reason"], key=data["key"]
            ),
        ):
            return _back_to_item(request, tagged, f"{tagged.tag} is out of use, and there is one fewer.")
    return _render_tagged_item(request, tagged, retire=form)


# --- Private ---


def _back_to_item(request: StudioRequest, tagged: Piece, words: str) -> HttpResponse:
    messages.success(request, words)
    return redirect(links.to("stock:item", tagged.item_id))


def _render_tagged_item(request: StudioRequest, tagged: Piece, **bound: forms.Form) -> HttpResponse:
    context = {
        "tagged": tagged,
        "tag": TagForm(prefix="tag", initial={"tag": tagged.tag, "note": tagged.note}),
        "mend": RepairForm(prefix="mend"),
        "retire": RetireForm(prefix="retire"),
        **bound,
    }
    return render(request, "stock/care/tagged_item.html", context, status=422 if bound else 200)
