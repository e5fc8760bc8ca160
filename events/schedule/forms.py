"""The form of a shift's times."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms

from events.booking.forms import MomentField, aware
from events.models import Shift


class ShiftTimesForm(forms.Form):
    """Times of one shift, in the time zone of the venue."""

    starts_at = MomentField(label="From")
    ends_at = MomentField(label="Until")

    def __init__(self, data: Mapping[str, str] | None = None, *, shift: Shift) -> None:
        self.zone = shift.event.tz
        initial = {
            name: getattr(shift, name).astimezone(self.zone).replace(tzinfo=None)
            for name in ("starts_at", "ends_at")
        }
        super().__init__(data, initial=initial)

    def clean(self) -> dict[str, object]:
        """Aware moments."""
        cleaned = super().clean() or self.cleaned_data
        for name in ("starts_at", "ends_at"):
            if cleaned.get(name):
                cleaned[name] = aware(self, name, cleaned[name], self.zone)
        return cleaned
