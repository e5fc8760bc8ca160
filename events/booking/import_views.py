"""Bookings out of a table or a calendar."""

from __future__ import annotations

from typing import Final

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from events.booking import importing
from events.booking.import_forms import BookingColumnsForm, BookingsFileForm
from events.booking.importing import Booking
from studio.paper.csv_table import CsvTable
from studio.paper.table_preview import Preview
from studio.people import table_import
from studio.people.body_limits import TABLE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.people.table_import import TableImport
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.columns_form import ColumnsForm


def _look(table: CsvTable, form: ColumnsForm) -> Preview[Booking]:
    assert isinstance(form, BookingColumnsForm), "the form of this import"
    return importing.preview(table, form.columns(), form.usual_time())


def _add(table: CsvTable, form: ColumnsForm) -> int:
    assert isinstance(form, BookingColumnsForm), "the form of this import"
    return importing.import_bookings(table, form.columns(), form.usual_time())


BOOKINGS: Final = TableImport(
    page="events/booking/import.html",
    file_form=BookingsFileForm,
    most_bytes=importing.MOST_BYTES,
    read=importing.read_bookings_table,
    columns_form=lambda data, table, text: BookingColumnsForm(data, table=table, text=text),
    look=_look,
    add=_add,
    said=lambda added: f"{added} enquir{'y' if added == 1 else 'ies'} added.",
    leads_to=lambda: links.to("events:events"),
)


@takes_bodies_of(TABLE_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def import_bookings(request: StudioRequest) -> HttpResponse:
    """Show the form for a file; a POST of a file shows what it would add, one of its columns adds it."""
    return table_import.answer(request, BOOKINGS)
