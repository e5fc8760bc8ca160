"""Pieces with tags: named on their item's page, looked after on a page of their own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from stock.care import tagged_items
from stock.care.forms import MendPieceForm, RetirePieceForm, TagForm
from stock.items import views
from stock.models import MovementKind, Piece
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_POST
@studio_page(Right.EDIT_SHELF)
def add(request: StudioRequest, item_id: int) -> HttpResponse:
    """Name one piece of an item."""
    found = views.find(item_id)
    form = TagForm(request.POST, prefix="tag")
    if form.is_valid() and _done(form, lambda: tagged_items.add(found.pk, **form.cleaned_data)):
        messages.success(request, f"{form.cleaned_data['tag']} has its tag.")
        return redirect(links.to("stock:item", found.pk))
    return views.shown(request, found, tag=form)


@require_safe
@studio_page(Right.EDIT_SHELF)
def piece(request: StudioRequest, tagged_id: int) -> HttpResponse:
    """One piece, and what can be done with it."""
    return _shown(request, tagged_items.find(tagged_id))


@require_POST
@studio_page(Right.EDIT_SHELF)
def rename(request: StudioRequest, tagged_id: int) -> HttpResponse:
    """Another tag or note."""
    found = tagged_items.find(tagged_id)
    form = TagForm(request.POST, prefix="tag")
    if form.is_valid() and _done(form, lambda: tagged_items.rename(found.pk, **form.cleaned_data)):
        return _back(request, found, f"{form.cleaned_data['tag']} is kept.")
    return _shown(request, found, tag=form)


@require_POST
@studio_page(Right.EDIT_SHELF)
def mend(request: StudioRequest, tagged_id: int) -> HttpResponse:
    """Send it to mending."""
    found = tagged_items.find(tagged_id)
    form = MendPieceForm(request.POST, prefix="mend")
    if form.is_valid():
        data, tz = form.cleaned_data, request.tenant.studio.tz
        until = datetime.combine(data["until"], datetime.min.time(), tzinfo=tz)
        deed = lambda: tagged_items.mend(found.pk, until=until, why=data["why"], key=data["key"])  # noqa: E731
        if _done(form, deed):
            return _back(request, found, f"{found.tag} is set aside.")
    return _shown(request, found, mend=form)


@require_POST
@studio_page(Right.EDIT_SHELF)
def back(request: StudioRequest, tagged_id: int) -> HttpResponse:
    """It is mended."""
    found = tagged_items.find(tagged_id)
    try:
        with transaction.atomic():
            tagged_items.back(found.pk)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(links.to("stock:piece", found.pk))
    return _back(request, found, f"{found.tag} counts again.")


@require_POST
@studio_page(Right.EDIT_SHELF)
def retire(request: StudioRequest, tagged_id: int) -> HttpResponse:
    """It doesn't come back."""
    found = tagged_items.find(tagged_id)
    form = RetirePieceForm(request.POST, prefix="retire")
    if form.is_valid():
        data = form.cleaned_data
        kind = MovementKind(data["kind"])
        deed = lambda: tagged_items.retire(found.pk, kind=kind, reason=data["reason"], key=data["key"])  # noqa: E731
        if _done(form, deed):
            return _back(request, found, f"{found.tag} is out of use, and there is one fewer.")
    return _shown(request, found, retire=form)


# --- Private ---


def _done(form: forms.Form, deed: Callable[[], Any]) -> bool:
    """Do it; what is refused is said at the form."""
    try:
        with transaction.atomic():
            deed()
    except ValidationError as refusal:
        for field, errors in getattr(refusal, "error_dict", {None: refusal}).items():
            form.add_error(field if field in form.fields else None, errors)
        return False
    return True


def _back(request: StudioRequest, found: Piece, words: str) -> HttpResponse:
    messages.success(request, words)
    return redirect(links.to("stock:item", found.item_id))


def _shown(request: StudioRequest, found: Piece, **bound: forms.Form) -> HttpResponse:
    context = {
        "piece": found,
        "tag": TagForm(prefix="tag", initial={"tag": found.tag, "note": found.note}),
        "mend": MendPieceForm(prefix="mend"),
        "retire": RetirePieceForm(prefix="retire"),
        **bound,
    }
    return render(request, "stock/care/tagged_item.html", context, status=422 if bound else 200)
