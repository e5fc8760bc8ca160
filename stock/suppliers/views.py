"""Pages of the suppliers and their prices."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stock.models import Supplier, SupplierPrice
from stock.suppliers import suppliers
from stock.suppliers.forms import PriceForm, SupplierForm
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_COSTS)
def show_suppliers(request: StudioRequest) -> HttpResponse:
    """List the suppliers; a POST adds one."""
    form = SupplierForm(request.POST or None, studio=request.tenant.studio)
    if request.method == "POST" and form.is_valid():
        try:
            added = suppliers.add_supplier(**form.facts())
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{added.name} added. Now add their prices.")
            return redirect(links.to("stock:supplier", added.pk))
    context = {"form": form, "suppliers": Supplier.objects.order_by("retired_at", "name")}
    return render(request, "stock/suppliers/suppliers.html", context, status=422 if form.errors else 200)


@require_safe
@studio_page(Right.SEE_COSTS)
def show_supplier(request: StudioRequest, supplier_id: int) -> HttpResponse:
    """One supplier: details, prices, newest orders."""
    found = get_object_or_404(Supplier, pk=supplier_id)
    return _render_supplier(request, found, PriceForm(studio=request.tenant.studio))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_COSTS)
def change_supplier(request: StudioRequest, supplier_id: int) -> HttpResponse:
    """Change a supplier."""
    found = get_object_or_404(Supplier, pk=supplier_id)
    form = SupplierForm(request.POST or None, studio=request.tenant.studio, supplier=found)
    if request.method == "POST" and form.is_valid():
        try:
            suppliers.change_supplier(found, **form.facts())
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{found.name} saved.")
            return redirect(links.to("stock:supplier", found.pk))
    context = {"form": form, "supplier": found}
    return render(request, "stock/suppliers/supplier_form.html", context, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.SEE_COSTS)
def set_price(request: StudioRequest, supplier_id: int) -> HttpResponse:
    """Set the price of a bag."""
    found = get_object_or_404(Supplier, pk=supplier_id)
    form = PriceForm(request.POST, studio=request.tenant.studio)
    if form.is_valid():
        data = dict(form.cleaned_data)
        item, data["from_bags"] = data.pop("item"), data["from_bags"] or 1
        try:
            suppliers.set_price(found, item, **data)
        except ValidationError as refusal:
            form.add_error(None, refusal.messages)
        else:
            messages.success(request, f"Price of {item.name} saved.")
            return redirect(links.to("stock:supplier", found.pk))
    return _render_supplier(request, found, form)


@require_POST
@studio_page(Right.SEE_COSTS)
def remove_price(request: StudioRequest, supplier_id: int) -> HttpResponse:
    """Remove a price."""
    found = get_object_or_404(Supplier, pk=supplier_id)
    number = request.POST.get("price", "")
    mine = SupplierPrice.objects.filter(supplier=found).select_related("item")
    price = get_object_or_404(mine, pk=int(number) if number.isdecimal() and len(number) < 18 else 0)
    suppliers.remove_price(price)
    messages.success(request, f"Price of {price.item.name} removed.")
    return redirect(links.to("stock:supplier", found.pk))


@require_POST
@studio_page(Right.SEE_COSTS)
def retire_supplier(request: StudioRequest, supplier_id: int) -> HttpResponse:
    """Stop using a supplier; the notice offers to undo it."""
    found = get_object_or_404(Supplier, pk=supplier_id)
    suppliers.retire_supplier(found)
    back = links.to("stock:supplier-restore", found.pk)
    messages.success(request, f"{found.name} is no longer used.", extra_tags=back)
    return redirect(links.to("stock:suppliers"))


@require_POST
@studio_page(Right.SEE_COSTS)
def restore_supplier(request: StudioRequest, supplier_id: int) -> HttpResponse:
    """Use a supplier again."""
    found = get_object_or_404(Supplier, pk=supplier_id)
    suppliers.restore_supplier(found)
    messages.success(request, f"{found.name} is in use again.")
    return redirect(links.to("stock:supplier", found.pk))


def _render_supplier(request: StudioRequest, found: Supplier, form: PriceForm) -> HttpResponse:
    context: dict[str, object] = {
        "supplier": found,
        "form": form,
        "prices": found.prices.select_related("item__colour"),
        "orders": found.orders.order_by("-number")[:8],
    }
    return render(request, "stock/suppliers/supplier.html", context, status=422 if form.errors else 200)
