"""The shelf page."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe
from django_htmx.http import HttpResponseClientRedirect

from stock.models import Kind
from stock.shelf.presenter import find_scanned_item, find_shelf
from studio.models.spelling import spelled_lazy
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

LONGEST_SEARCH = 60
EMPTY = {
    "title": "Nothing on the shelf yet",
    "text": spelled_lazy(
        "Add what you own and what you use up: latex by size and color, frames, covers, florals."
        " Every quote then shows what is available that day and what to buy."
    ),
    "verb": "Say what you have",
}


@require_safe
@studio_page(Right.SEE_SHELF)
def show_shelf(request: StudioRequest) -> HttpResponse:
    """The shelf; htmx gets only the part below the search. A scanned barcode number opens its item."""
    sought = request.GET.get("q", "").replace("\x00", "").strip()[:LONGEST_SEARCH]
    if item := find_scanned_item(sought):
        address = links.to("stock:item", item.pk)
        return HttpResponseClientRedirect(address) if request.htmx else redirect(address)
    kind = request.GET.get("only", "")
    only = Kind(kind) if kind in Kind.values else None
    template = "stock/shelf/shelf.html"
    if request.htmx and "HX-Boosted" not in request.headers:
        template += "#things"
    return render(request, template, {"shelf": find_shelf(sought, only=only), "empty": EMPTY})
