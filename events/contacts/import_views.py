"""Clients out of a table or address cards."""

from __future__ import annotations

from typing import Final

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from events.contacts import importing
from events.contacts.import_forms import ClientsFileForm
from studio.people import table_import
from studio.people.body_limits import TABLE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.people.table_import import TableImport
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.columns_form import ColumnsForm

CLIENTS: Final = TableImport(
    page="events/contacts/import.html",
    file_form=ClientsFileForm,
    most_bytes=importing.MOST_BYTES,
    read=importing.read_clients_table,
    columns_form=lambda data, table, text: ColumnsForm(
        data, table=table, text=text, fields=importing.FIELDS, most_bytes=importing.MOST_BYTES
    ),
    look=lambda table, form: importing.preview(table, form.columns()),
    add=lambda table, form: importing.import_clients(table, form.columns()),
    said=lambda added: f"{added} client{'' if added == 1 else 's'} added.",
    leads_to=lambda: links.to("events:clients"),
)


@takes_bodies_of(TABLE_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def import_clients(request: StudioRequest) -> HttpResponse:
    """Show the form for a file; a POST of a file shows what it would add, one of its columns adds it."""
    return table_import.answer(request, CLIENTS)
