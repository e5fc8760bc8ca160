"""A stretch of a garland as people write it: a length, or a share of the whole in per cent."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final

from django import forms
from django.core.exceptions import ValidationError

from studio.measures import lengths

HUNDRED: Final = Decimal(100)
LONGEST: Final = 40


@dataclass(frozen=True, slots=True)
class Stretch:
    """A share of a garland, or a length [m]."""

    share: float | None = None
    metres: float | None = None

    def share_of(self, length_m: float) -> float:
        """Which share of a garland of that length it is [m]; more than 1 where it is longer.

        >>> Stretch(metres=1.5).share_of(6.0), Stretch(share=0.4).share_of(6.0)
        (0.25, 0.4)
        """
        return self.share if self.share is not None else (self.metres or 0.0) / length_m


class StretchField(forms.Field):
    """A length or a percentage; cleans to a :class:`Stretch`."""

    widget = forms.TextInput

    def __init__(self, *, units: str, required: bool = True) -> None:
        super().__init__(required=required)
        self.units = units
        self.widget.attrs.update({"inputmode": "text", "autocomplete": "off", "data-kind": "length"})

    def prepare_value(self, value: object) -> object:
        """A number of metres as the studio writes lengths; typed text as it was typed."""
        return (
            lengths.written(Decimal(str(round(value, 4))), self.units) if isinstance(value, float) else value
        )

    def to_python(self, value: object) -> Stretch | None:
        if value in self.empty_values:
            return None
        text = str(value).strip()[:LONGEST]
        if text.endswith("%"):
            return Stretch(share=_percent(text[:-1]))
        try:
            return Stretch(metres=float(lengths.parsed(text, self.units)))
        except lengths.NotALength as fault:
            raise ValidationError(f"{fault} Or a percentage, such as 40 %.", code="length") from None


# Private


def _percent(text: str) -> float:
    try:
        found = Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        found = Decimal("NaN")
    if not found.is_finite() or not 0 <= found <= HUNDRED:
        raise ValidationError("Between 0 and 100 %.", code="percent")
    return float(found / HUNDRED)
