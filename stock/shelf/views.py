"""The shelf, and the shelf on paper."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe
from django_htmx.http import HttpResponseClientRedirect

from stock.models import Kind
from stock.shelf.presenter import count_sheet, scanned, shelf
from studio.people.gates import studio_page
from studio.tenancy import links
from studio.tenancy.rights import Right

LONGEST_SEARCH = 60


@require_safe
@studio_page(Right.SEE_SHELF)
def show_shelf(request: HttpRequest) -> HttpResponse:
    """Rounds and lists; htmx gets the part below the search alone. A scanned number leads straight to its item."""
    sought = request.GET.get("q", "").replace("\x00", "").strip()[:LONGEST_SEARCH]
    if under_bars := scanned(sought):
        address = links.to("stock:item", under_bars.pk)
        by_htmx = getattr(request, "htmx", False)
        return HttpResponseClientRedirect(address) if by_htmx else redirect(address)
    kind = request.GET.get("only", "")
    only = Kind(kind) if kind in Kind.values else None
    template = "stock/shelf/shelf.html"
    if getattr(request, "htmx", False) and not request.htmx.boosted:  # type: ignore[attr-defined]
        template += "#things"
    return render(request, template, {"shelf": shelf(sought, only=only)})


@require_safe
@studio_page(Right.SEE_SHELF)
def show_count_sheet(request: HttpRequest) -> HttpResponse:
    """Everything by its place, with a blank to write what was counted."""
    return render(request, "stock/shelf/count_sheet.html", {"sheet": count_sheet()})
