"""The build sheet: on the page, to print, and as a PDF."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from quoting.build_sheet import sheets as build_sheets
from quoting.turning import turned
from studio.paper.pdf import on_screen
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.trade.cautions import DEFER


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=build_sheets.event_of)
def build_sheet(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Sizes, recipes, order, places and steps of every set piece."""
    return render(request, "quoting/build_sheet/build_sheet.html", _context(request, quote_id))


@require_POST
@studio_page(Right.SEE_LOAD_OUT, linked_to=build_sheets.event_of)
def make_paper(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Have the PDF made; the page shows it as soon as it is there."""
    context = _context(request, quote_id)
    if not context["sheets"]:
        messages.error(request, "There is no set piece to put on paper yet.")
        return redirect(links.to("quoting:build-sheet", quote_id))
    build_sheets.order_paper(context["quote"], context["sheets"], context["swapped"], context["studio"])
    if request.htmx:
        return render(request, "quoting/build_sheet/_paper.html", context | {"ordered": True})
    return redirect(links.to("quoting:build-sheet", quote_id) + "?paper=ordered")


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=build_sheets.event_of)
def paper(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Whether the PDF is there yet: the part of the page that asks again by itself."""
    return render(request, "quoting/build_sheet/_paper.html", _context(request, quote_id) | {"ordered": True})


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=build_sheets.event_of)
def build_sheet_pdf(request: StudioRequest, quote_id: int) -> HttpResponse:
    """The PDF; back to the page while there is none of the sheet as it stands."""
    context = _context(request, quote_id)
    file = context["paper"].file
    if file is None:
        return redirect(links.to("quoting:build-sheet", quote_id))
    name = slugify(context["quote"].title)[:60] or "quote"
    return on_screen(file, f"build-sheet-{name}.pdf")


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=build_sheets.event_of)
def model(request: StudioRequest, quote_id: int, place: int) -> HttpResponse:
    """A set piece to turn and to step through, by its place on the sheet from 1."""
    quote = build_sheets.find(quote_id)
    return turned.model_response(*build_sheets.model(quote, place, request.tenant.studio.units))


# Private


# Each value has the type of the function that makes it; two views hand some of them on.
def _context(request: StudioRequest, quote_id: int) -> dict[str, Any]:
    studio = request.tenant.studio
    quote = build_sheets.find(quote_id)
    swapped = build_sheets.swapped_items(quote)
    sheets = build_sheets.pieces(quote, studio.units, swapped)
    return {
        "quote": quote,
        "event": quote.event,
        "studio": studio,
        "sheets": sheets,
        "swapped": swapped,
        "cautions": build_sheets.cautions(sheets, studio),
        "deferring": DEFER,
        "paper": build_sheets.paper(quote, sheets, swapped, studio),
        "ordered": request.GET.get("paper") == "ordered",
    }
