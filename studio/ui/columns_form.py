"""The forms of a table that somebody brings: the file, and which of its columns says what."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django import forms

from studio.paper.csv_table import CsvTable


@dataclass(frozen=True, slots=True)
class TableFields:
    """What the columns of a table may say, and how tables usually name them."""

    labels: Mapping[str, str]
    headers: Mapping[str, Sequence[str]]
    """Lower-case names of a column, the surest first."""
    required: frozenset[str] = field(default_factory=frozenset)

    def guess(self, names: Sequence[str]) -> dict[str, int]:
        """Which column says which field, by its name.

        >>> TableFields({"name": "Name"}, {"name": ("name", "client")}).guess(["Size", "Client "])
        {'name': 1}
        """
        plain = [name.strip().casefold() for name in names]
        found = {
            said: next((plain.index(word) for word in words if word in plain), None)
            for said, words in self.headers.items()
        }
        return {said: column for said, column in found.items() if column is not None}


class ColumnsForm(forms.Form):
    """Which column of the table says what; the table itself travels along as text."""

    two_columns = True

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        table: CsvTable,
        fields: TableFields,
        most_bytes: int,
        text: str = "",
    ) -> None:
        guessed = {said: str(column) for said, column in fields.guess(table.names).items()}
        super().__init__(data, initial={**guessed, "table": text})
        self.fields["table"] = forms.CharField(
            widget=forms.HiddenInput, strip=False, max_length=2 * most_bytes
        )
        self.said = tuple(fields.labels)
        choices = [("", "no column"), *((str(place), name or "–") for place, name in enumerate(table.names))]
        for said, label in fields.labels.items():
            self.fields[said] = forms.ChoiceField(
                choices=choices, required=said in fields.required, label=label
            )

    def columns(self) -> dict[str, int]:
        """The columns that were chosen, once the form is valid; before, those that the names suggest."""
        source = self.cleaned_data if self.is_bound else self.initial
        return {said: int(source[said]) for said in self.said if source.get(said)}
