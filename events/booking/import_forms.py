"""The forms of a file with bookings."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import time
from typing import Final

from django import forms

from events.booking.importing import FIELDS, MOST_BYTES
from studio.paper.csv_table import CsvTable
from studio.ui.columns_form import ColumnsForm
from studio.ui.forms import ClockField

USUAL_READY_BY: Final = time(16)
"""Common practice, no source: where the file doesn't say when an event must be ready."""


class BookingsFileForm(forms.Form):
    """A file that is looked at before anything is written."""

    file = forms.FileField(
        label="CSV or iCalendar file",
        help_text="The first line of a CSV file names its columns. Nothing changes until you confirm.",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv,.ics,text/calendar"}),
    )


class BookingColumnsForm(ColumnsForm):
    """Which column says what, and when events must be ready where the file doesn't say."""

    def __init__(self, data: Mapping[str, object] | None, *, table: CsvTable, text: str) -> None:
        super().__init__(data, table=table, text=text, fields=FIELDS, most_bytes=MOST_BYTES)
        if "remark" not in FIELDS.guess(table.names):
            del self.fields["remark"]  # only calendars have entries that are no bookings
        self.fields["usual_time"] = ClockField(
            label="Ready by, where no time is said", initial=USUAL_READY_BY
        )

    def usual_time(self) -> time:
        """The time that was typed, or at first ours."""
        typed = self.cleaned_data["usual_time"] if self.is_bound else USUAL_READY_BY
        assert isinstance(typed, time), "the field cleans to a time"
        return typed
