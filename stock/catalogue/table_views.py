"""The catalogue as a file, out and in."""

from __future__ import annotations

import base64
import binascii
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from stock.catalogue import table as catalogue_table
from stock.catalogue.import_export import MOST_BYTES, NotATable
from studio.people.access import Right, studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

SHOWN_ROWS = 300


class TableForm(forms.Form):
    """A file to look at first."""

    file = forms.FileField(
        label="CSV file",
        help_text="As it comes out of here. Nothing changes before you have seen what would.",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
    )


@require_safe
@studio_page(Right.SEE_QUOTES)
def export(request: StudioRequest) -> HttpResponse:
    """Everything in use as CSV."""
    response = HttpResponse(
        catalogue_table.written().encode("utf-8-sig"), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = f'attachment; filename="shelf-{request.tenant.studio.slug}.csv"'
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def bring_in(request: StudioRequest) -> HttpResponse:
    """Look at a file, then take it: the second press sends what was looked at."""
    form = TableForm()
    context: dict[str, Any] = {"form": form}
    status = 200
    if request.method == "POST":
        looked_at = request.POST.get("looked_at", "")
        content = _kept(looked_at) if looked_at else _sent(request)
        if content is None:
            form = TableForm(request.POST, request.FILES)
            form.is_valid()
            return render(request, "stock/catalogue/import.html", {"form": form}, status=422)
        try:
            table = catalogue_table.take(content) if looked_at else catalogue_table.read(content)
        except NotATable as refusal:
            return render(
                request, "stock/catalogue/import.html", {"form": form, "refused": refusal.messages}, status=422
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
