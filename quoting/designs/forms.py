"""The forms of the designs: a name, and a design file."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from quoting.designs.files import MOST_BYTES
from quoting.designs.templates import LONGEST_NAME


class NameForm(forms.Form):
    """What a design is called."""

    name = forms.CharField(max_length=LONGEST_NAME, label="Name")


class DesignFileForm(forms.Form):
    """A design file, chosen or pasted. What was read stays in the box, to be mended there."""

    file = forms.FileField(
        required=False, label="Design file", help_text="JSON, as Billowbook writes it; up to 200 kB.",
        widget=forms.FileInput(attrs={"accept": ".json,application/json"}),
    )  # fmt: skip
    text = forms.CharField(
        required=False, strip=False, label="Or its text",
        widget=forms.Textarea(attrs={"rows": 14, "spellcheck": "false", "class": "code", "wrap": "off"}),
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        file, text = found.get("file"), found.get("text", "")
        if not file and not text.strip() and "file" not in self.errors:
            self.add_error("file", "Choose a file, or paste its text below.")
        return found

    @property
    def content(self) -> bytes | str:
        """What is to be read: the file where one was chosen. Never more than a byte above what is allowed."""
        file = self.cleaned_data.get("file")
        if isinstance(file, UploadedFile):
            return bytes(file.read(MOST_BYTES + 1))
        return str(self.cleaned_data["text"])
