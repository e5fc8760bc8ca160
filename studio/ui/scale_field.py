"""A form field for wind, warmth or elevation: typed and shown in the studio's units, cleaned to SI."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django import forms
from django.core.exceptions import ValidationError

from studio.measures import air


@dataclass(frozen=True, slots=True)
class Scale:
    """How a quantity is shown and read: unit, into it and out of it, by the studio's units."""

    unit: Callable[[str], str]
    shown: Callable[[float, str], float]
    read: Callable[[float, str], float]
    least: float
    most: float


WARMTH: Final = Scale(air.warmth_unit, air.in_warmth, air.from_warmth, -20, 50)
RISE: Final = Scale(air.rise_unit, air.in_rise, air.from_rise, -400, 4500)
GUST: Final = Scale(air.speed_unit, air.in_speed, air.from_speed, 0, 60)


class ScaleField(forms.Field):
    """A whole number in the studio's unit, with or without the unit's name; cleans to SI."""

    def __init__(
        self, *, scale: Scale, units: str, label: str = "", help_text: str = "", required: bool = True
    ) -> None:
        super().__init__(label=label, help_text=help_text, required=required)
        self.scale, self.units = scale, units
        self.unit = scale.unit(units)
        self.widget = forms.TextInput(
            attrs={"inputmode": "text", "autocomplete": "off", "data-kind": "scale"}
        )

    def prepare_value(self, value: object) -> object:
        """A kept value as the studio reads it, typed text as it was typed."""
        if not isinstance(value, float | Decimal):
            return value
        return f"{self.scale.shown(float(value), self.units):.0f}"

    def to_python(self, value: object) -> float | None:
        if value in self.empty_values:
            return None
        text = str(value).strip().removesuffix(self.unit).strip().replace("−", "-").replace(",", "")
        least, most = (
            f"{self.scale.shown(end, self.units):,.0f}" for end in (self.scale.least, self.scale.most)
        )
        try:
            number = self.scale.read(float(text), self.units)
        except ValueError:
            raise ValidationError(
                f"Enter a number in {self.unit}, {least} to {most}.", code="number"
            ) from None
        if not self.scale.least - 1e-9 <= number <= self.scale.most + 1e-9:
            raise ValidationError(f"From {least} to {most} {self.unit}.", code="range")
        return min(max(number, self.scale.least), self.scale.most)

    def has_changed(self, initial: object, data: object) -> bool:
        return bool(self.prepare_value(initial) != data)
