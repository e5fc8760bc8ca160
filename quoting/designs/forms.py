"""The forms of the designs: a name, and a design file."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from quoting.craft.change.edit import Editable, editable
from quoting.craft.design.records import Design
from quoting.design_library.files import MOST_BYTES
from quoting.design_library.forms import NameForm
from studio.ui.forms import LengthField

HUNDRED: Final = Decimal(100)
PALETTE: Final = "share."
MOST_TAGS, LONGEST_TAG = 12, 30
"""As the design file has them."""


class ChangeForm(NameForm):
    """Everything of a design that may be changed without its file, keyed as ``craft.edit`` takes it."""

    two_columns = True

    def __init__(self, data: Mapping[str, object] | None = None, *, design: Design, units: str) -> None:
        super().__init__(data, initial={"name": design.name, "tags": ", ".join(design.tags)})
        self.fields["tags"] = forms.CharField(
            required=False, max_length=400, label="Tags",
            help_text="Words to find it by, with commas between them: wedding, entrance.",
        )  # fmt: skip
        self.rows = {row.key: row for row in editable(design)}
        for key, row in self.rows.items():
            self.fields[key] = _field(row, units)
            self.initial[key] = _shown(row)

    def clean_tags(self) -> tuple[str, ...]:
        words = (
            " ".join(word.replace("\x00", "").split()) for word in str(self.cleaned_data["tags"]).split(",")
        )
        tags = tuple({word.casefold(): word for word in words if word}.values())
        if len(tags) > MOST_TAGS:
            raise ValidationError(f"At most {MOST_TAGS} tags (this has {len(tags)}).")
        if too_long := next((tag for tag in tags if len(tag) > LONGEST_TAG), None):
            raise ValidationError(f"“{too_long}” is too long: a tag has at most {LONGEST_TAG} characters.")
        return tags

    @property
    def changes(self) -> dict[str, object]:
        """What was changed. Shares of the palette go together: they are taken in proportion."""
        moved = set(self.changed_data)
        if any(key.startswith(PALETTE) for key in moved):
            moved |= {key for key in self.rows if key.startswith(PALETTE)}
        return {key: _meant(row, self.cleaned_data[key]) for key, row in self.rows.items() if key in moved}

    def take_refusal(self, refusal: ValidationError) -> None:
        """Show at its field what the design can't be."""
        for key, messages in refusal.message_dict.items():
            for message in messages:
                self.add_error(key if key in self.fields else None, message)


class DesignFileForm(forms.Form):
    """A design file, chosen or pasted. What was read stays in the box, to be mended there."""

    file = forms.FileField(
        required=False, label="Design file", help_text="A JSON file from Billowbook, up to 600 kB.",
        widget=forms.FileInput(attrs={"accept": ".json,application/json"}),
    )  # fmt: skip
    text = forms.CharField(
        required=False, strip=False, label="Or paste its text",
        widget=forms.Textarea(attrs={"rows": 14, "spellcheck": "false", "class": "code", "wrap": "off"}),
    )  # fmt: skip

    def clean(self) -> dict[str, object]:
        found = super().clean() or {}
        file, text = found.get("file"), found.get("text", "")
        if not file and not text.strip() and "file" not in self.errors:
            self.add_error("file", "Choose a file or paste its text below.")
        return found

    @property
    def content(self) -> bytes | str:
        """What is to be read: the file where one was chosen. Never more than a byte above what is allowed."""
        file = self.cleaned_data.get("file")
        if isinstance(file, UploadedFile):
            return bytes(file.read(MOST_BYTES + 1))
        return str(self.cleaned_data["text"])


# Private


def _field(row: Editable, units: str) -> forms.Field:
    low, high = Decimal(str(row.low)), Decimal(str(row.high))
    if row.unit == "m":
        return LengthField(units=units, least=low, most=high, label=row.label)
    if row.unit == "share":
        return _share_field(row, low * HUNDRED, high * HUNDRED)
    if row.unit == "count":
        return forms.IntegerField(min_value=int(row.low), max_value=int(row.high), label=row.label)
    if row.unit == "flag":
        return forms.BooleanField(required=False, label=row.label)
    return forms.CharField(min_length=int(row.low), max_length=int(row.high), label=row.label)


def _share_field(row: Editable, least: Decimal, most: Decimal) -> forms.Field:
    field = forms.DecimalField(min_value=least, max_value=most, decimal_places=1, label=f"{row.label}, %")
    if row.at_most is not None:
        field.help_text = f"At most {100 * row.at_most:.0f}."
        field.widget.attrs["max"] = f"{100 * row.at_most:.0f}"
    return field


def _shown(row: Editable) -> object:
    if row.unit == "m":
        return Decimal(str(round(float(row.value), 4)))
    if row.unit == "share":
        return round(Decimal(str(row.value)) * HUNDRED, 1).normalize() + 0
    return row.value


def _meant(row: Editable, value: object) -> object:
    if not isinstance(value, Decimal):
        return value
    return float(value) / 100 if row.unit == "share" else float(value)
