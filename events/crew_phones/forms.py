"""The form that gives an event to one more phone."""

from __future__ import annotations

from django import forms


class PhoneForm(forms.Form):
    """The owner of the phone."""

    whose = forms.CharField(
        label="Whose phone",
        max_length=40,
        help_text="Such as Rosa, or van phone: what is ticked there carries the name.",
        error_messages={"required": "Say whose phone it is: its ticks carry the name."},
    )
