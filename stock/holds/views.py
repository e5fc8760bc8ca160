"""The page of a hold, and swapping an item."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from stock.holds import holds
from stock.holds.forms import SwapForm
from stock.holds.presenter import HoldPage, hold_page
from stock.models import Item
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_SHELF)
def show_hold(request: StudioRequest, hold_id: int) -> HttpResponse:
    """The page of a hold."""
    return _render_hold(request, hold_page(hold_id))


@require_POST
@studio_page(Right.HOLD_STOCK)
def swap_item(request: StudioRequest, hold_id: int) -> HttpResponse:
    """Replace one item by a substitute, in the same quantity."""
    page = hold_page(hold_id)
    form = SwapForm(request.POST)
    if form.is_valid() and not form.cleaned_data["sure"]:
        return _ask_swap(request, page, form)
    if form.is_valid():
        data = form.cleaned_data
        try:
            with transaction.atomic():
                holds.swap(page.hold.pk, out=data["out"], into=data["into"], key=data["key"])
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
            return _render_hold(request, hold_page(hold_id), status=422)
        messages.success(request, "Swapped. Tell the crew.")
        return redirect(links.to("stock:hold", page.hold.pk))
    messages.error(request, "The swap was incomplete. Reload the page and try again.")
    return _render_hold(request, page, status=422)


def _ask_swap(request: StudioRequest, page: HoldPage, form: SwapForm) -> HttpResponse:
    """Ask before one item replaces another on everything that goes by the hold."""
    typed = form.cleaned_data
    items = {item.code: item for item in Item.objects.filter(code__in=[typed["out"], typed["into"]])}
    out, into = items.get(typed["out"]), items.get(typed["into"])
    held = {line.available.code: line.available.needed for line in page.lines}
    if out is None or into is None or out == into or out.code not in held:
        messages.error(request, "The swap was incomplete. Reload the page and try again.")
        return _render_hold(request, page, status=422)
    context = {"hold": page.hold, "out": out, "into": into, "quantity": held[out.code], "key": typed["key"]}
    return render(request, "stock/holds/swap.html", context)


def _render_hold(request: StudioRequest, page: HoldPage, *, status: int = 200) -> HttpResponse:
    context = {"page": page, "hold": page.hold, "swap": SwapForm()}
    return render(request, "stock/holds/hold.html", context, status=status)
