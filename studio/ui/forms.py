"""Form fields that parse what people type."""

from __future__ import annotations

import re
import zoneinfo
from datetime import date, datetime, time
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from django import forms
from django.core.exceptions import ValidationError

from studio.measures import lengths, times
from studio.measures.times import Window
from studio.money import amounts

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

MINUS: Final = ("-", "−", "–")
MILLIMETRE: Final = Decimal("0.001")
NOTHING: Final = re.compile(
    r"(0+[.,]?0*|[.,]0+)\s*(m|cm|mm|ft|feet|foot|in|inch|inches|['\"′″’”])?", re.IGNORECASE
)
"""A length of nothing, in any unit."""


class LengthField(forms.Field):
    """A length as people type it; cleans to metres (:class:`~decimal.Decimal`, 0.1 mm)."""

    widget = forms.TextInput

    def __init__(
        self,
        *,
        units: str,
        least: Decimal | None = None,
        most: Decimal | None = None,
        label: StrOrPromise | None = None,
        required: bool = True,
        help_text: StrOrPromise = "",
        initial: Decimal | None = None,
    ) -> None:
        super().__init__(label=label, required=required, help_text=help_text, initial=initial)
        self.units, self.least, self.most = units, least, most
        self.widget.attrs.update({"inputmode": "text", "autocomplete": "off", "data-kind": "length"})

    def prepare_value(self, value: object) -> object:
        """What is shown in the box: a stored length as the studio writes it, typed text as it was typed."""
        return lengths.written(value, self.units) if isinstance(value, Decimal | float) else value

    def to_python(self, value: object) -> Decimal | None:
        if value in self.empty_values:
            return None
        try:
            metres = lengths.parsed(str(value), self.units)
        except lengths.NotALength as fault:
            raise ValidationError(str(fault), code="length") from None
        if self.least is not None and metres < self.least:
            raise ValidationError(f"At least {lengths.written(self.least, self.units)}.", code="short")
        if self.most is not None and metres > self.most:
            raise ValidationError(f"At most {lengths.written(self.most, self.units)}.", code="long")
        return metres

    def has_changed(self, initial: object, data: object) -> bool:
        return bool(self.prepare_value(initial) != data)


class PlaceField(LengthField):
    """How far something stands from a line: a length that may be nothing and, where it goes ``both_ways``, less than
    nothing on the other side; cleans to whole millimetres."""

    def __init__(
        self,
        *,
        units: str,
        most: Decimal | None = None,
        label: StrOrPromise | None = None,
        both_ways: bool = True,
    ) -> None:
        super().__init__(units=units, most=most, label=label)
        self.both_ways = both_ways

    def prepare_value(self, value: object) -> object:
        """``−1 ft 4 in`` for what lies on the other side."""
        if not isinstance(value, Decimal | float):
            return value
        metres = Decimal(str(value))
        if abs(metres) < lengths.INCH / 8:
            return "0"
        return f"{'−' if metres < 0 else ''}{lengths.written(abs(metres), self.units)}"

    def to_python(self, value: object) -> Decimal | None:
        text = str(value if value is not None else "").strip()
        is_less = self.both_ways and text.startswith(MINUS)
        typed = text[1:].strip() if is_less else text
        if NOTHING.fullmatch(typed):
            return Decimal(0)
        found = super().to_python(typed)
        if found is None:
            return None
        return (-found if is_less else found).quantize(MILLIMETRE)


class MoneyField(forms.Field):
    """An amount as people type it; cleans to :class:`~decimal.Decimal` in whole minor units."""

    widget = forms.TextInput

    def __init__(
        self,
        *,
        currency: str,
        locale: str,
        least: Decimal | None = Decimal(0),
        label: StrOrPromise | None = None,
        required: bool = True,
        help_text: StrOrPromise = "",
        initial: Decimal | None = None,
    ) -> None:
        super().__init__(label=label, required=required, help_text=help_text, initial=initial)
        self.currency, self.locale, self.least = currency, locale, least
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "data-kind": "money"})

    def prepare_value(self, value: object) -> object:
        """A stored amount as the studio writes it, typed text as it was typed."""
        return amounts.written(value, self.currency, self.locale) if isinstance(value, Decimal) else value

    def to_python(self, value: object) -> Decimal | None:
        if value in self.empty_values:
            return None
        try:
            amount = amounts.parsed(str(value), self.currency, self.locale)
        except amounts.NotMoney as fault:
            raise ValidationError(str(fault), code="money") from None
        if self.least is not None and amount < self.least:
            raise ValidationError(
                f"At least {amounts.written(self.least, self.currency, self.locale)}.", code="negative"
            )
        return amount


class DayField(forms.DateField):
    """A calendar day, by the browser's own picker."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class ClockField(forms.TimeField):
    """A time of day, by the browser's own picker."""

    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")


def moment(
    form: forms.Form, field: str, day: date | None, at: time | None, zone: zoneinfo.ZoneInfo
) -> datetime | None:
    """The aware moment of two cleaned fields; a skipped daylight-saving hour becomes an error at ``field``."""
    if day is None or at is None:
        return None
    try:
        return times.local(day, at, zone)
    except times.NoSuchTime as fault:
        form.add_error(field, str(fault))
        return None


def window(form: forms.Form, field: str, start: datetime | None, end: datetime | None) -> Window | None:
    """The window between two moments; an end that isn't later becomes an error at ``field``."""
    if start is None or end is None:
        return None
    if end <= start:
        form.add_error(field, "The end must be after the start.")
        return None
    return Window(start, end)
