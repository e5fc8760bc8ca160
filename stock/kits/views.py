"""Kits: all of them, one to write down or change, and taken apart."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stock.kits import kits
from stock.kits.forms import KitForm
from stock.models import Kit
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_SHELF)
def show_kits(request: StudioRequest) -> HttpResponse:
    """All of them, and how many are whole now."""
    return render(request, "stock/kits/kits.html", {"kits": kits.kits()})


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def add_kit(request: StudioRequest) -> HttpResponse:
    """A new kit."""
    return _form(request, None)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def change_kit(request: StudioRequest, kit_id: int) -> HttpResponse:
    """Another name or other parts."""
    return _form(request, kits.find(kit_id).kit)


@require_POST
@studio_page(Right.EDIT_SHELF)
def delete_kit(request: StudioRequest, kit_id: int) -> HttpResponse:
    """Forget the kit, not its parts."""
    found = kits.find(kit_id).kit
    name = found.name
    kits.take_apart(found)
    messages.success(request, f"{name} is no kit any more. Its parts are where they were.")
    return redirect(links.to("stock:kits"))


# --- Private ---


def _form(request: StudioRequest, kit: Kit | None) -> HttpResponse:
    form = KitForm(request.POST or None, kit=kit)
    if request.method == "POST" and form.is_valid():
        try:
            kept = kits.keep(kit, **form.facts())
        except ValidationError as refusal:
            for field, errors in getattr(refusal, "error_dict", {None: refusal}).items():
                form.add_error(field if field in form.fields else None, errors)
        else:
            messages.success(request, f"{kept.name} is kept.")
            return redirect(links.to("stock:kits"))
    context = {"form": form, "kit": kit}
    return render(request, "stock/kits/kit_form.html", context, status=422 if form.errors else 200)
