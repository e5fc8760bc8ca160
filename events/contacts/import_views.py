"""Clients out of a table: choose the file, say which column says what, look, then add."""

from __future__ import annotations

from typing import Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from events.contacts import importing
from events.contacts.import_forms import ColumnsForm, TableForm
from studio.paper.csv_table import CsvTable
from studio.people.body_limits import TABLE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import fair_share, links
from studio.tenancy.rights import Right

PAGE: Final = "events/contacts/import.html"
SHOWN: Final = 100


@takes_bodies_of(TABLE_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def import_clients(request: StudioRequest) -> HttpResponse:
    """Show the form for a file; a POST of a file shows what it would add, one of its columns adds it."""
    if request.method != "POST":
        return render(request, PAGE, {"form": TableForm()})
    try:
        content = _content(request)
        table = importing.read_clients_table(content)
        fair_share.ask(fair_share.TABLE_ROWS, len(table.rows))
    except fair_share.TooMuch:
        raise
    except ValidationError as refusal:
        form = TableForm()
        return render(request, PAGE, {"form": form, "refused": refusal.messages}, status=422)
    return _columns(request, table, content.decode("utf-8-sig"))


# --- Private ---


def _content(request: StudioRequest) -> bytes:
    upload = request.FILES.get("file")
    if upload:
        return bytes(upload.read(importing.MOST_BYTES + 1))
    if text := request.POST.get("table", ""):
        return text.replace("\r\n", "\n").encode()  # as it was before a browser sent it
    raise ValidationError("Choose a file.")


def _columns(request: StudioRequest, table: CsvTable, text: str) -> HttpResponse:
    """What the table would add with the columns that were chosen, or at first with those that its names suggest."""
    chosen = "file" not in request.FILES
    form = ColumnsForm(request.POST if chosen else None, table=table, text=text)
    if chosen and not form.is_valid():
        return render(request, PAGE, {"columns": form}, status=422)
    columns = form.columns() if chosen else form.guessed()
    if "import" in request.POST:
        try:
            added = importing.import_clients(table, columns)
        except ValidationError as refusal:
            return render(request, PAGE, {"columns": form, "refused": refusal.messages}, status=422)
        messages.success(request, f"{added} client{'' if added == 1 else 's'} added.")
        return redirect(links.to("events:clients"))
    found = importing.preview(table, columns)
    context = {"columns": form, "found": found, "rows": found.rows[:SHOWN], "more": len(found.rows) - SHOWN}
    return render(request, PAGE, context)
