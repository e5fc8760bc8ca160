"""The form of one text of e-mails to clients."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms

from quoting.letters.texts import KNOWN, Text
from quoting.models import LetterKind


class TextForm(forms.Form):
    """Subject and text; the rules are kept with the text."""

    subject = forms.CharField(max_length=160, label="Subject")
    body = forms.CharField(
        max_length=4000, label="Text", widget=forms.Textarea(attrs={"rows": 16, "spellcheck": "true"})
    )

    def __init__(self, data: Mapping[str, str] | None = None, *, kind: LetterKind, text: Text) -> None:
        super().__init__(data, initial={"subject": text.subject, "body": text.body})
        named = ", ".join(f"{{{name}}}" for name in KNOWN[kind])
        self.fields["body"].help_text = f"An empty line begins a paragraph. You can use {named}."
