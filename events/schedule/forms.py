"""The form of a shift's times."""

from __future__ import annotations

from typing import Any

from django import forms

from events.booking.forms import MomentField, aware
from events.models import Shift


class ShiftTimesForm(forms.Form):
    """Times of one shift, in the time zone of the venue."""

    starts_at = MomentField(label="From")
    ends_at = MomentField(label="Until")

    # Django's forms take whatever arguments they like; their own types say Any.
    def __init__(self, *args: Any, shift: Shift, **kwargs: Any) -> None:
        self.zone = shift.event.tz
        kwargs["initial"] = {
            name: getattr(shift, name).astimezone(self.zone).replace(tzinfo=None)
            for name in ("starts_at", "ends_at")
        }
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        """Aware moments."""
        cleaned = super().clean() or self.cleaned_data
        for name in ("starts_at", "ends_at"):
            if cleaned.get(name):
                cleaned[name] = aware(self, name, cleaned[name], self.zone)
        return cleaned
