"""Pages of the catalogue: colours, CSV export and import, the shelf rules."""

from __future__ import annotations

import base64
import binascii

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from stock.catalogue import import_export, items
from stock.catalogue.fields import add_refusal
from stock.catalogue.forms import ColourForm, ImportForm, RulesForm
from stock.catalogue.import_export import MOST_BYTES, ImportTable, UnreadableFile
from stock.catalogue.shelf_rules import change_rules, find_rules
from stock.models import Colour
from studio.people.body_limits import TABLE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.fair_share import TooMuch
from studio.tenancy.rights import Right

SHOWN_ROWS = 300


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def show_colours(request: StudioRequest) -> HttpResponse:
    """List the colours; a POST adds one."""
    form = ColourForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            added = items.add_colour(**form.cleaned_data)
        except ValidationError as refusal:
            form.add_error("name", refusal.messages)
        else:
            messages.success(request, f"{added.name} added.")
            return redirect(links.to("stock:colours"))
    context = {"form": form, "colours": items.list_colours()}
    return render(request, "stock/catalogue/colours.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def change_colour(request: StudioRequest, colour_id: int) -> HttpResponse:
    """Change the name, screen colour or finish."""
    found = get_object_or_404(Colour, pk=colour_id)
    form = ColourForm(request.POST) if request.method == "POST" else ColourForm.of(found)
    if request.method == "POST" and form.is_valid():
        try:
            items.change_colour(found, **form.cleaned_data)
        except ValidationError as refusal:
            form.add_error("name", refusal.messages)
        else:
            messages.success(request, f"{found.name} saved.")
            return redirect(links.to("stock:colours"))
    context = {"form": form, "colour": found}
    return render(request, "stock/catalogue/colour_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def change_shelf_rules(request: StudioRequest) -> HttpResponse:
    """Show and change the stock rules."""
    form = RulesForm(request.POST or None, saved=find_rules())
    if request.method == "POST" and form.is_valid():
        try:
            change_rules(**form.cleaned_data)
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "Stock rules saved.")
            return redirect(links.to("stock:shelf-rules"))
    return render(
        request, "stock/catalogue/shelf_rules.html", {"form": form}, status=422 if form.errors else 200
    )


@require_safe
@studio_page(Right.SEE_QUOTES)
def export_items(request: StudioRequest) -> HttpResponse:
    """Export the items in use as CSV."""
    response = HttpResponse(
        import_export.export_csv().encode("utf-8-sig"), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = f'attachment; filename="shelf-{request.tenant.studio.slug}.csv"'
    return response


@takes_bodies_of(TABLE_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def import_items(request: StudioRequest) -> HttpResponse:
    """Check a CSV file, then import it: the second form sends the file that was checked."""
    if request.method != "POST":
        return render(request, "stock/catalogue/import.html", {"form": ImportForm()})
    checked_file = request.POST.get("checked_file", "")
    content = _decoded_file(checked_file) if checked_file else _uploaded_file(request)
    if content is None:
        form = ImportForm(request.POST, request.FILES)
        form.is_valid()
        return render(request, "stock/catalogue/import.html", {"form": form}, status=422)
    try:
        table = import_export.import_csv(content) if checked_file else import_export.preview_csv(content)
    except UnreadableFile as refusal:
        context = {"form": ImportForm(), "refused": refusal.messages}
        return render(request, "stock/catalogue/import.html", context, status=422)
    except TooMuch as refusal:
        context = {"form": ImportForm(), "refused": refusal.messages, "checked_file": checked_file}
        return render(request, "stock/catalogue/import.html", context, status=429)
    if checked_file and table.is_good:
        messages.success(request, f"{table.count('add')} items added, {table.count('change')} changed.")
        return redirect(links.to("stock:shelf"))
    context = {"form": ImportForm(), **_preview(table, content)}
    return render(request, "stock/catalogue/import.html", context, status=200 if table.is_good else 422)


# --- Private ---


def _preview(table: ImportTable, content: bytes) -> dict[str, object]:
    """What the page shows of a file that was checked, rows with errors first."""
    rows = [row for row in table.rows if row.action != "same"]
    return {
        "table": table,
        "rows": sorted(rows, key=lambda row: row.action != "wrong")[:SHOWN_ROWS],
        "more": max(0, len(rows) - SHOWN_ROWS),
        "checked_file": base64.b64encode(content).decode(),
        "counts": {action: table.count(action) for action in ("add", "change", "same", "wrong")},
    }


def _uploaded_file(request: StudioRequest) -> bytes | None:
    upload = request.FILES.get("file")
    if upload is None or not upload.size:
        return None
    return bytes(upload.read(MOST_BYTES + 1))


def _decoded_file(text: str) -> bytes | None:
    try:
        return base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        return None
