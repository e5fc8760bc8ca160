"""The name of a version, and what a new one starts as."""

from __future__ import annotations

from typing import Final

from django import forms

from quoting.variants.variants import LONGEST_NAME, Way

WAYS: Final = (
    (Way.SAME.value, "As this one"),
    (Way.SIMPLER.value, "Simpler: less full, no florals"),
    (Way.FULLER.value, "Fuller: fuller, more greenery"),
)


class NameForm(forms.Form):
    """What a version is called."""

    prefix = "version"
    name = forms.CharField(
        label="Name",
        max_length=LONGEST_NAME,
        error_messages={"required": "Give it a name.", "max_length": f"At most {LONGEST_NAME} characters."},
    )


class AddForm(NameForm):
    """A further version. Without a name it gets the next usual one."""

    prefix = "added"
    way = forms.ChoiceField(label="Starts", choices=WAYS, initial=Way.SAME.value)

    def __init__(self, *args: object, **facts: object) -> None:
        super().__init__(*args, **facts)  # type: ignore[arg-type] # handed on as they are
        self.fields["name"].required = False
