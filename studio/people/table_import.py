"""Importing a table: choose the file, say which column says what, look at what would come of it, then add it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render

from studio.paper.csv_table import CsvTable
from studio.paper.table_preview import Entry, Preview
from studio.people.page_request import StudioRequest
from studio.tenancy import fair_share
from studio.ui.columns_form import ColumnsForm

SHOWN: Final = 100


@dataclass(frozen=True, slots=True)
class TableImport:
    """One kind of thing that comes out of tables. The functions raise ``ValidationError``."""

    page: str
    """A template that extends ``studio/people/table_import.html``."""
    file_form: type[forms.Form]
    most_bytes: int
    read: Callable[[bytes], CsvTable]
    columns_form: Callable[[Mapping[str, object] | None, CsvTable, str], ColumnsForm]
    look: Callable[[CsvTable, ColumnsForm], Preview[Entry]]
    add: Callable[[CsvTable, ColumnsForm], int]
    said: Callable[[int], str]
    """What the next page says of so many that were added."""
    leads_to: Callable[[], str]
    """The page that lists what there is; whoever adds nothing goes back to it as well."""


def answer(request: StudioRequest, what: TableImport) -> HttpResponse:
    """Show the form for a file; a POST of a file shows what it would add, one of its columns adds it."""
    if request.method != "POST":
        return render(request, what.page, {"form": what.file_form(), "back": what.leads_to()})
    try:
        content = _content(request, what.most_bytes)
        table = what.read(content)
        fair_share.ask(fair_share.TABLE_ROWS, len(table.rows))
    except fair_share.TooMuch:
        raise
    except ValidationError as refusal:
        context = {"form": what.file_form(), "back": what.leads_to(), "refused": refusal.messages}
        return render(request, what.page, context, status=422)
    return _columns(request, what, table, content.decode("utf-8-sig"))


# --- Private ---


def _content(request: StudioRequest, most_bytes: int) -> bytes:
    upload = request.FILES.get("file")
    if upload:
        return bytes(upload.read(most_bytes + 1))
    if text := request.POST.get("table", ""):
        return text.replace("\r\n", "\n").encode()  # as it was before a browser sent it
    raise ValidationError("Choose a file.")


def _columns(request: StudioRequest, what: TableImport, table: CsvTable, text: str) -> HttpResponse:
    """What the table would add with the columns that were chosen, or at first with those that its names suggest."""
    chosen = "file" not in request.FILES
    form = what.columns_form(request.POST if chosen else None, table, text)
    if chosen and not form.is_valid():
        return render(request, what.page, {"columns": form}, status=422)
    if "import" in request.POST:
        try:
            added = what.add(table, form)
        except ValidationError as refusal:
            context = {"columns": form, "refused": refusal.messages}
            return render(request, what.page, context, status=422)
        messages.success(request, what.said(added))
        return redirect(what.leads_to())
    found = what.look(table, form)
    context = {"columns": form, "found": found, "rows": found.rows[:SHOWN], "more": len(found.rows) - SHOWN}
    return render(request, what.page, context)
