"""What of a quote the client may switch on and off, as fields of the quote page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from django import forms

from quoting.models import Choice
from quoting.quotes.options import FLORALS, SIGN, has_part
from quoting.quotes.sheet import Sheet


class OptionsForm(forms.Form):
    """One box for each set piece, its florals, its sign, and each free line: part of the offer, or an option."""

    def __init__(self, data: Mapping[str, object] | None = None, *, sheet: Sheet) -> None:
        super().__init__(data)
        for name, label, choice in candidates(sheet):
            self.fields[name] = forms.ChoiceField(
                choices=Choice.choices, initial=choice, required=False, label=label
            )
            self.fields[name].widget.attrs["id"] = f"option-{name}"
        self.marked = sum(bool(choice) for _, _, choice in candidates(sheet))

    @property
    def choices(self) -> dict[str, Choice]:
        """What was chosen for each."""
        return {name: Choice(value) for name, value in self.cleaned_data.items()}


def candidates(sheet: Sheet) -> Iterator[tuple[str, str, str]]:
    """Name of the field, what it is called, and how it stands."""
    for piece in sheet.pieces:
        yield f"piece-{piece.pk}", piece.name, piece.choice
        for part, choice in ((FLORALS, piece.florals_choice), (SIGN, piece.sign_choice)):
            if has_part(piece, part):
                of = f" of {piece.name}" if len(sheet.pieces) > 1 else ""
                yield f"{part}-{piece.pk}", f"{part.capitalize()}{of}", choice
    for line in sheet.free_lines:
        yield f"line-{line.pk}", line.label, line.choice
