"""Pages of the catalogue: colours, CSV export and import, the shelf rules."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, TypeAlias

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stock.catalogue import import_export, items, table_work
from stock.catalogue.fields import add_refusal
from stock.catalogue.forms import ColourForm, ImportForm, RulesForm
from stock.catalogue.import_export import MOST_BYTES, ImportTable
from stock.catalogue.shelf_rules import change_rules, find_rules
from stock.catalogue.table_work import TableAsked
from stock.models import Colour
from studio.outbox.long_work import Work
from studio.people.body_limits import TABLE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.fair_share import TooMuch
from studio.tenancy.rights import Right
from studio.ui.columns_form import ColumnsForm

SHOWN_ROWS: Final = 300
IMPORT_PAGE: Final = "stock/catalogue/import.html"
TableWork: TypeAlias = Work[TableAsked, ImportTable]


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
    """Choose a CSV file; a POST has the worker check it, and changes nothing.

    Where the file calls its columns otherwise than the export does, the page asks first which is which.
    """
    if request.method != "POST":
        return render(request, IMPORT_PAGE, {"form": ImportForm()})
    if "table" in request.POST:
        return _matched(request, request.POST["table"].replace("\r\n", "\n"))
    content = _uploaded_file(request)
    if content is None:
        form = ImportForm(request.POST, request.FILES)
        form.is_valid()
        return render(request, IMPORT_PAGE, {"form": form}, status=422)
    try:
        if import_export.foreign_names(content):
            return render(request, IMPORT_PAGE, {"columns": _columns_form(None, content.decode("utf-8-sig"))})
        name = table_work.ask_check(content)
    except ValidationError as refusal:
        return _refused(request, refusal)
    return redirect(links.to("stock:import-check", name))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def show_check(request: StudioRequest, name: str) -> HttpResponse:
    """What a file would change; a POST has the worker import it."""
    work = _found(table_work.CHECK.find(name))
    shown = {"result": links.to("stock:import-check", name), "may_import": True, **_preview(work.result)}
    if request.method == "POST" and work.result and work.result.is_good:
        try:
            return redirect(links.to("stock:import-result", table_work.ask_import(work)))
        except ValidationError as refusal:
            return _show(request, work, {**shown, "refused": refusal.messages}, _status(refusal))
    return _show(request, work, shown)


@require_safe
@studio_page(Right.EDIT_SHELF)
def show_import(request: StudioRequest, name: str) -> HttpResponse:
    """What became of an import: how far it is, what was imported, or why nothing was."""
    work = _found(table_work.IMPORT.find(name))
    done = work.result if work.result and work.result.is_good else None
    shown = {"done": done, "counts": _counts(done)} if done else _preview(work.result)
    return _show(request, work, {"result": links.to("stock:import-result", name), **shown})


@require_POST
@studio_page(Right.EDIT_SHELF)
def stop_import(request: StudioRequest, name: str) -> HttpResponse:
    """Stop a check or an import that nobody wants any more; its page says whether it was done by then."""
    for kind, page in ((table_work.CHECK, "stock:import-check"), (table_work.IMPORT, "stock:import-result")):
        if kind.find(name):
            kind.stop(name)
            return redirect(links.to(page, name))
    raise Http404


# --- Private ---


def _columns_form(data: Mapping[str, object] | None, text: str) -> ColumnsForm:
    table = import_export.read_items_table(text.encode())
    return ColumnsForm(
        data, table=table, text=text, fields=import_export.column_fields(), most_bytes=MOST_BYTES
    )


def _matched(request: StudioRequest, text: str) -> HttpResponse:
    """Have the worker check a file by the columns that were chosen."""
    try:
        form = _columns_form(request.POST, text)
        if not form.is_valid():
            return render(request, IMPORT_PAGE, {"columns": form}, status=422)
        name = table_work.ask_check(import_export.renamed(text.encode(), form.columns()))
    except ValidationError as refusal:
        return _refused(request, refusal)
    return redirect(links.to("stock:import-check", name))


def _found(work: TableWork | None) -> TableWork:
    if work is None:
        raise Http404
    return work


def _refused(request: StudioRequest, refusal: ValidationError) -> HttpResponse:
    context = {"form": ImportForm(), "refused": refusal.messages}
    return render(request, IMPORT_PAGE, context, status=_status(refusal))


def _status(refusal: ValidationError) -> int:
    return 429 if isinstance(refusal, TooMuch) else 422


def _show(
    request: StudioRequest, work: TableWork, shown: Mapping[str, object], status: int = 200
) -> HttpResponse:
    page = "stock/catalogue/_import_answer.html" if request.htmx else IMPORT_PAGE
    return render(request, page, {"form": ImportForm(), "work": work, **shown}, status=status)


def _preview(table: ImportTable | None) -> dict[str, object]:
    """What the page shows of a file that was checked, rows with errors first."""
    if table is None:
        return {}
    rows = [row for row in table.rows if row.action != "same"]
    return {
        "table": table,
        "rows": sorted(rows, key=lambda row: row.action != "wrong")[:SHOWN_ROWS],
        "more": max(0, len(rows) - SHOWN_ROWS),
        "counts": _counts(table),
    }


def _counts(table: ImportTable) -> dict[str, int]:
    return {action: table.count(action) for action in ("add", "change", "same", "wrong")}


def _uploaded_file(request: StudioRequest) -> bytes | None:
    upload = request.FILES.get("file")
    if upload is None or not upload.size:
        return None
    return bytes(upload.read(MOST_BYTES + 1))
