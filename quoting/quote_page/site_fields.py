"""Form fields for the air at a place: typed and shown in the studio's units, cleaned to SI."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from django import forms
from django.core.exceptions import ValidationError

from quoting.craft.design.records import Site
from quoting.set_pieces import measures


@dataclass(frozen=True, slots=True)
class Scale:
    """How a quantity is shown and read: unit, into it and out of it, by the studio's units."""

    unit: Callable[[str], str]
    shown: Callable[[float, str], float]
    read: Callable[[float, str], float]
    least: float
    most: float


WARMTH: Final = Scale(measures.warmth_unit, measures.in_warmth, measures.from_warmth, -20, 50)
RISE: Final = Scale(measures.rise_unit, measures.in_rise, measures.from_rise, -400, 4500)
GUST: Final = Scale(measures.speed_unit, measures.in_speed, measures.from_speed, 0, 60)


class ScaleField(forms.Field):
    """A whole number in the studio's unit, with or without the unit's name; cleans to SI."""

    def __init__(self, *, scale: Scale, units: str, label: str = "") -> None:
        super().__init__(label=label)
        self.scale, self.units = scale, units
        self.unit = scale.unit(units)
        self.widget = forms.TextInput(
            attrs={"inputmode": "text", "autocomplete": "off", "data-kind": "scale"}
        )

    def prepare_value(self, value: object) -> object:
        """A kept value as the studio reads it, typed text as it was typed."""
        return f"{self.scale.shown(value, self.units):.0f}" if isinstance(value, float) else value

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


def site_fields(site: Site, units: str) -> dict[str, tuple[forms.Field, object]]:
    """The fields of a site by their keys in :func:`quoting.set_pieces.alter.altered`, each with its present value."""
    found: dict[str, tuple[forms.Field, object]] = {
        "site.prep_temperature_c": (_field(WARMTH, units, "Studio temperature"), site.prep_temperature_c),
        "site.temperature_c": (_field(WARMTH, units, "Site temperature"), site.temperature_c),
        "site.prep_altitude_m": (_field(RISE, units, "Studio elevation"), site.prep_altitude_m),
        "site.altitude_m": (_field(RISE, units, "Site elevation"), site.altitude_m),
        "site.outdoors": (forms.BooleanField(required=False, label="Outdoors"), site.outdoors),
    }
    if site.outdoors:
        found["site.gust_m_s"] = (_field(GUST, units, "Gust to withstand"), site.gust_m_s)
    return found


# Private


def _field(scale: Scale, units: str, label: str) -> ScaleField:
    return ScaleField(scale=scale, units=units, label=label)
