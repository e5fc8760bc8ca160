"""Forms of the room: where a piece stands, and the marks on a photo of the venue."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from django import forms

from events.models import Enclosure
from quoting.models import RoomPhoto
from quoting.room_scene.scene import Marks
from studio.ui.forms import LengthField, PlaceField

FARTHEST_M: Final = Decimal(30)
PERCENT: Final = 100
MIDDLE: Final[Mapping[str, float]] = {
    "mark_x1": 25.0, "mark_y1": 80.0, "mark_x2": 75.0, "mark_y2": 80.0, "floor": 80.0, "horizon": 45.0,
}  # fmt: skip
"""Where the marks lie on a photo that nobody has marked yet, in per cent."""


class PlaceForm(forms.Form):
    """Where one piece stands: to the right of the middle of the room, and how far behind the front of all."""

    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput)

    def __init__(self, *args: Any, units: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["x_m"] = PlaceField(units=units, most=FARTHEST_M, label="Right of the middle")
        self.fields["back_m"] = PlaceField(
            units=units, most=FARTHEST_M, label="Behind the front", both_ways=False
        )


class PhotoForm(forms.Form):
    """A photo, a length in it that somebody knows, the floor line and the horizon. Places in per cent."""

    def __init__(self, *args: Any, photos: Sequence[Enclosure], units: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["photo"] = forms.TypedChoiceField(
            choices=[(one.pk, one.name) for one in photos], coerce=int, label="Photo"
        )
        self.fields["mark_m"] = LengthField(
            units=units, least=Decimal("0.1"), most=Decimal(60), label="Length of the mark",
            help_text="A door, a table, a wall that you measured.",
        )  # fmt: skip
        self.fields["distance_m"] = LengthField(
            units=units, least=Decimal("0.3"), most=Decimal(200), label="From the camera to the mark",
            help_text="About is enough: it says how fast things get smaller further back.",
        )  # fmt: skip
        for name, label in (
            ("mark_x1", "Mark begins, from the left"),
            ("mark_y1", "Mark begins, from the top"),
            ("mark_x2", "Mark ends, from the left"),
            ("mark_y2", "Mark ends, from the top"),
            ("floor", "Floor line under the mark, from the top"),
            ("horizon", "Horizon (camera height), from the top"),
        ):
            self.fields[name] = forms.FloatField(min_value=0, max_value=PERCENT, label=f"{label}, %")

    @property
    def marks(self) -> Marks:
        """What was marked, places as shares."""
        at = {name: self.cleaned_data[name] / PERCENT for name in MIDDLE}
        return Marks(
            start=(at["mark_x1"], at["mark_y1"]),
            end=(at["mark_x2"], at["mark_y2"]),
            length_m=self.cleaned_data["mark_m"],
            floor=at["floor"],
            horizon=at["horizon"],
            distance_m=self.cleaned_data["distance_m"],
        )

    def take_refusal(self, faults: Mapping[str, Sequence[str]]) -> None:
        """Show at its field what can't be right."""
        for key, messages in faults.items():
            for message in messages:
                self.add_error({"mark": "mark_x2"}.get(key, key if key in self.fields else None), message)


def marked(photo: RoomPhoto | None) -> dict[str, object]:
    """What the form shows at first: the photo's marks, or marks in its middle."""
    if photo is None:
        return {**MIDDLE, "mark_m": Decimal(2), "distance_m": Decimal(4)}
    at = {name: round(PERCENT * float(getattr(photo, name)), 1) for name in MIDDLE}
    return {**at, "photo": photo.photo_id, "mark_m": photo.mark_m, "distance_m": photo.distance_m}
