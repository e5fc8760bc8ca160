"""The form of a lifelike picture: what stands around the piece, and from where it is seen."""

from __future__ import annotations

from typing import Any, Final

from django import forms

from quoting.models import StillRoom

ANGLES: Final = (
    (-30, "From the left"), (-15, "A little from the left"), (0, "From the front"), (15, "A little from the right"),
    (30, "From the right"),
)  # fmt: skip


class LookForm(forms.Form):
    """Room and angle. The venue is a choice where its photo stands marked behind the quote."""

    room = forms.ChoiceField(label="Place")
    turn_deg = forms.TypedChoiceField(choices=ANGLES, coerce=int, label="Seen")

    def __init__(self, *args: Any, has_photo: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.has_photo = has_photo
        room = self.fields["room"]
        assert isinstance(room, forms.ChoiceField)
        room.choices = [one for one in StillRoom.choices if has_photo or one[0] != StillRoom.VENUE]
