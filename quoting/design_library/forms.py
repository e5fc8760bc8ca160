"""The name of a design, as a form asks for it."""

from __future__ import annotations

from django import forms

from quoting.design_library.library import LONGEST_NAME


class NameForm(forms.Form):
    """What a design is called."""

    name = forms.CharField(max_length=LONGEST_NAME, label="Name")
