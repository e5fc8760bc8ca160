"""What to buy, and from whom."""

from __future__ import annotations

import secrets

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from stock import buying
from stock.views.request import StudioRequest
from studio import links
from studio.access import Right, studio_page


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_COSTS)
def buy(request: StudioRequest) -> HttpResponse:
    """What lacks by when, and the cheapest orders; a POST writes them down."""
    chosen = request.POST if request.method == "POST" else request.GET
    pencilled, fill_up = bool(chosen.get("pencilled")), bool(chosen.get("fill_up"))
    suggestion = buying.suggest(with_pencilled=pencilled, fill_up=fill_up)
    if request.method == "POST":
        key = request.POST.get("key", "")[:60] or secrets.token_urlsafe(12)
        try:
            with transaction.atomic():
                written = buying.write_orders(suggestion, key=f"buy-{key}")
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
            return redirect(links.to("stock:buy"))
        if written:
            orders = "order is" if len(written) == 1 else "orders are"
            messages.success(request, f"{len(written)} {orders} written. Look at them, then send them.")
            if len(written) == 1:
                return redirect(links.to("stock:order", written[0].pk))
        return redirect(links.to("stock:orders"))
    context = {
        "suggestion": suggestion,
        "pencilled": pencilled,
        "fill_up": fill_up,
        "key": secrets.token_urlsafe(12),
    }
    return render(request, "stock/buy.html", context)
