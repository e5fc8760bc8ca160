"""Pages of the catalogue: colours, CSV export and import, the shelf rules."""

from __future__ import annotations

import base64
import binascii
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from stock.catalogue import import_export, items
from stock.catalogue.fields import add_refusal
from stock.catalogue.forms import ColourForm, ImportForm, RulesForm
from stock.catalogue.import_export import MOST_BYTES, NotATable
from stock.catalogue.shelf_rules import change_rules, rules
from stock.models import Colour
from studio.people.body_limits import TABLE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

SHOWN_ROWS = 300


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def show_colours(request: HttpRequest) -> HttpResponse:
    """All of them; a POST adds one."""
    form = ColourForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            added = items.add_colour(**form.cleaned_data)
        except ValidationError as refusal:
            form.add_error("name", refusal.messages)
        else:
            messages.success(request, f"{added.name} is among the colours.")
            return redirect(links.to("stock:colours"))
    context = {"form": form, "colours": items.colours()}
    return render(request, "stock/catalogue/colours.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def change_colour(request: HttpRequest, colour_id: int) -> HttpResponse:
    """Another name, look or finish for a colour."""
    found = get_object_or_404(Colour, pk=colour_id)
    form = ColourForm(request.POST) if request.method == "POST" else ColourForm.of(found)
    if request.method == "POST" and form.is_valid():
        try:
            items.change_colour(found, **form.cleaned_data)
        except ValidationError as refusal:
            form.add_error("name", refusal.messages)
        else:
            messages.success(request, f"{found.name} is changed.")
            return redirect(links.to("stock:colours"))
    context = {"form": form, "colour": found}
    return render(request, "stock/catalogue/colour_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def change_shelf_rules(request: StudioRequest) -> HttpResponse:
    """Show and change them."""
    form = RulesForm(request.POST or None, kept=rules())
    if request.method == "POST" and form.is_valid():
        try:
            change_rules(**form.cleaned_data)
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "The rules are kept.")
            return redirect(links.to("stock:shelf-rules"))
    return render(
        request, "stock/catalogue/shelf_rules.html", {"form": form}, status=422 if form.errors else 200
    )


@require_safe
@studio_page(Right.SEE_QUOTES)
def export_items(request: StudioRequest) -> HttpResponse:
    """Everything in use as CSV."""
    response = HttpResponse(
        import_export.written().encode("utf-8-sig"), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = f'attachment; filename="shelf-{request.tenant.studio.slug}.csv"'
    return response


@takes_bodies_of(TABLE_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def import_items(request: StudioRequest) -> HttpResponse:
    """Look at a file, then take it: the second press sends what was looked at."""
    form = ImportForm()
    context: dict[str, Any] = {"form": form}
    status = 200
    if request.method == "POST":
        looked_at = request.POST.get("looked_at", "")
        content = _kept(looked_at) if looked_at else _sent(request)
        if content is None:
            form = ImportForm(request.POST, request.FILES)
            form.is_valid()
            return render(request, "stock/catalogue/import.html", {"form": form}, status=422)
        try:
            table = import_export.take(content) if looked_at else import_export.read(content)
        except NotATable as refusal:
            return render(
                request,
                "stock/catalogue/import.html",
                {"form": form, "refused": refusal.messages},
                status=422,
            )
        if looked_at and table.is_good:
            words = f"{table.count('add')} added, {table.count('change')} changed."
            messages.success(request, words)
            return redirect(links.to("stock:shelf"))
        status = 200 if table.is_good else 422
        rows = [row for row in table.rows if row.deed != "same"]
        context |= {
            "table": table,
            "rows": sorted(rows, key=lambda row: row.deed != "wrong")[:SHOWN_ROWS],
            "more": max(0, len(rows) - SHOWN_ROWS),
            "looked_at": base64.b64encode(content).decode(),
            "counts": {deed: table.count(deed) for deed in ("add", "change", "same", "wrong")},
        }
    return render(request, "stock/catalogue/import.html", context, status=status)


def _sent(request: StudioRequest) -> bytes | None:
    upload = request.FILES.get("file")
    if upload is None or not upload.size:
        return None
    return bytes(upload.read(MOST_BYTES + 1))


def _kept(text: str) -> bytes | None:
    try:
        return base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        return None
