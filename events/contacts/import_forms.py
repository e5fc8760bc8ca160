"""The forms of a table of clients: the file, and which column says what."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms

from events.contacts.importing import FIELDS, MOST_BYTES, guess_columns
from studio.paper.csv_table import CsvTable

LABELS = {
    "name": "Name or first name",
    "surname": "Last name",
    "email": "E-mail address",
    "phone": "Telephone",
    "bill_to": "Address for invoices",
    "notes": "Notes",
}


class TableForm(forms.Form):
    """A file that is looked at before anything is written."""

    file = forms.FileField(
        label="CSV or vCard file",
        help_text="The first line of a CSV file names its columns. Nothing changes until you confirm.",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv,.vcf,text/vcard"}),
    )


class ColumnsForm(forms.Form):
    """Which column of the table says what; the table itself travels along."""

    two_columns = True
    table = forms.CharField(widget=forms.HiddenInput, max_length=2 * MOST_BYTES, strip=False)

    def __init__(self, data: Mapping[str, object] | None = None, *, table: CsvTable, text: str = "") -> None:
        guessed = {field: str(column) for field, column in guess_columns(table.names).items()}
        super().__init__(data, initial={**guessed, "table": text})
        choices = [("", "no column"), *((str(place), name or "–") for place, name in enumerate(table.names))]
        for field in FIELDS:
            self.fields[field] = forms.ChoiceField(
                choices=choices, required=field == "name", label=LABELS[field]
            )

    def columns(self) -> dict[str, int]:
        """The columns that were chosen, once the form is valid."""
        return {field: int(self.cleaned_data[field]) for field in FIELDS if self.cleaned_data[field]}

    def guessed(self) -> dict[str, int]:
        """The columns that the names of the table suggest."""
        return {field: int(self.initial[field]) for field in FIELDS if field in self.initial}
