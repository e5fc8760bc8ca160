"""The form of a lifelike picture: what stands around the piece, and from where it is seen."""

from __future__ import annotations

from typing import Final

from django import forms

from quoting.models import StillRoom

ANGLES: Final = (
    (-30, "From the left"), (-15, "A little from the left"), (0, "From the front"), (15, "A little from the right"),
    (30, "From the right"),
)  # fmt: skip


class LookForm(forms.Form):
    """Room and angle."""

    room = forms.ChoiceField(choices=StillRoom.choices, label="Place")
    turn_deg = forms.TypedChoiceField(choices=ANGLES, coerce=int, label="Seen")
