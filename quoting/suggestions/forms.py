"""The forms of suggestions: the version that was chosen, and the room to fill."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from decimal import Decimal
from typing import Final

from django import forms

from quoting.craft.design.records import Site
from quoting.suggestions.budget import LEAST_FULL, MOST_FULL, Change
from quoting.suggestions.into_room import Room
from studio.ui.forms import LengthField

LABELS: Final = {
    "width_m": "Clear width",
    "height_m": "Clear height",
    "depth_m": "Clear depth",
    "ceiling_m": "Ceiling",
    "wall_gap_m": "Gap to the wall",
    "sides_m": "Keep free on each side",
    "above_m": "Keep free below the ceiling",
    "front_m": "Keep free in front",
}
MOST_FREE: Final = Decimal(5)
MAY_BE_NOTHING: Final = ("wall_gap_m", "sides_m", "above_m", "front_m")


class VersionForm(forms.Form):
    """The change that a version makes, as the page sent it out."""

    fullness = forms.IntegerField(min_value=LEAST_FULL, max_value=MOST_FULL, required=False)
    width_m = forms.DecimalField(min_value=Decimal("0.2"), max_value=60, decimal_places=2, required=False)
    height_m = forms.DecimalField(min_value=Decimal("0.2"), max_value=20, decimal_places=2, required=False)
    bare = forms.BooleanField(required=False)

    @property
    def change(self) -> Change:
        """The change that was chosen."""
        return Change(**self.cleaned_data)


class GapField(LengthField):
    """A length that may be nothing: empty or 0 is nothing."""

    def prepare_value(self, value: object) -> object:
        """Nothing is shown as 0."""
        return "0" if isinstance(value, Decimal) and not value else super().prepare_value(value)

    def to_python(self, value: object) -> Decimal | None:
        return Decimal(0) if str(value or "").strip() in ("", "0") else super().to_python(value)


class RoomForm(forms.Form):
    """Width, height, depth and ceiling of the site, and what stays free around the piece."""

    two_columns = True

    def __init__(self, data: Mapping[str, object] | None = None, *, room: Room, units: str) -> None:
        super().__init__(data, initial={field.name: getattr(room, field.name) for field in fields(Room)})
        limits = {field.name: field.metadata["rule"] for field in fields(Site)}
        for name, label in LABELS.items():
            if name in MAY_BE_NOTHING:
                most = Decimal(str(limits[name].high)) if name in limits else MOST_FREE
                self.fields[name] = GapField(units=units, most=most, label=label, required=False)
            else:
                least, most = (Decimal(str(end)) for end in (limits[name].low, limits[name].high))
                self.fields[name] = LengthField(units=units, least=least, most=most, label=label)

    def clean(self) -> dict[str, object]:
        found = super().clean() or {}
        width, sides = found.get("width_m"), found.get("sides_m")
        if width is not None and sides is not None and width - 2 * sides < Decimal("0.2"):
            self.add_error("sides_m", "That leaves no width.")
        ceiling, above = found.get("ceiling_m"), found.get("above_m")
        if ceiling is not None and above is not None and ceiling - above < Decimal("0.2"):
            self.add_error("above_m", "That leaves no height.")
        depth, front = found.get("depth_m"), found.get("front_m")
        if depth is not None and front is not None and depth - front < Decimal("0.1"):
            self.add_error("front_m", "That leaves no depth.")
        return found

    @property
    def room(self) -> Room:
        """The room as typed."""
        return Room(**{name: self.cleaned_data[name] for name in LABELS})
