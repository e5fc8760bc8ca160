"""The page of the purchase list."""

from __future__ import annotations

import secrets
from typing import Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from stock.buying import purchase_list
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

SOLVED_WITH_THE_PAGE: Final = 12
"""Up to so many missing items, the page works out the orders itself; for more, it asks for them afterwards."""


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_COSTS)
def show_purchase_list(request: StudioRequest) -> HttpResponse:
    """The missing items and the cheapest orders; a POST writes the orders."""
    chosen = request.POST if request.method == "POST" else request.GET
    wanted = {"with_tentative": bool(chosen.get("tentative")), "fill_up": bool(chosen.get("fill_up"))}
    if request.method == "POST":
        suggestion = purchase_list.suggest_orders(**wanted)
        key = request.POST.get("key", "")[:60] or secrets.token_urlsafe(12)
        try:
            with transaction.atomic():
                written = purchase_list.write_orders(suggestion, key=f"buy-{key}")
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
            return redirect(links.to("stock:purchase-list"))
        if written:
            orders = "order" if len(written) == 1 else "orders"
            messages.success(
                request, f"{len(written)} {orders} created. Check them, then mark them as ordered."
            )
            if len(written) == 1:
                return redirect(links.to("stock:order", written[0].pk))
        return redirect(links.to("stock:orders"))
    template = "stock/buying/purchase_list.html"
    if request.GET.get("orders") and request.htmx:
        template += "#orders"
    at_most = None if request.GET.get("orders") else SOLVED_WITH_THE_PAGE
    context = {
        "suggestion": purchase_list.suggest_orders(**wanted, at_most=at_most),
        "tentative": wanted["with_tentative"],
        "fill_up": wanted["fill_up"],
        "orders_address": f"{request.path}?{QueryDict(chosen.urlencode() + '&orders=1').urlencode()}",
        "key": secrets.token_urlsafe(12),
    }
    return render(request, template, context)
