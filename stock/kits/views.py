"""Pages of the kits."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stock.catalogue.fields import add_refusal
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
    """All kits, and how many are complete now."""
    return render(request, "stock/kits/kits.html", {"kits": kits.list_kits()})


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def add_kit(request: StudioRequest) -> HttpResponse:
    """Add a kit."""
    return _save_kit(request, None)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def change_kit(request: StudioRequest, kit_id: int) -> HttpResponse:
    """Change a kit."""
    return _save_kit(request, kits.find_kit(kit_id).kit)


@require_POST
@studio_page(Right.EDIT_SHELF)
def delete_kit(request: StudioRequest, kit_id: int) -> HttpResponse:
    """Delete a kit, not its parts."""
    found = kits.find_kit(kit_id).kit
    name = found.name
    kits.delete_kit(found)
    messages.success(request, f"Kit {name} deleted. Its parts stay.")
    return redirect(links.to("stock:kits"))


# --- Private ---


def _save_kit(request: StudioRequest, kit: Kit | None) -> HttpResponse:
    form = KitForm(request.POST or None, kit=kit)
    if request.method == "POST" and form.is_valid():
        try:
            kept = kits.save_kit(kit, **form.facts())
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, f"Kit {kept.name} saved.")
            return redirect(links.to("stock:kits"))
    context = {"form": form, "kit": kit}
    return render(request, "stock/kits/kit_form.html", context, status=422 if form.errors else 200)
