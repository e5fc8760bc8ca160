"""The form of planning: which days."""

from __future__ import annotations

from datetime import date, timedelta

from django import forms
from django.utils import timezone

from studio.models import Studio
from studio.ui.forms import DayField

FRIDAY = 4


class SpanForm(forms.Form):
    """Which days are planned."""

    first = DayField(label="From")
    last = DayField(label="Until, that day included")


def next_weekend(studio: Studio) -> dict[str, date]:
    """Friday to Sunday of this week or the next, by the studio's clock."""
    today = timezone.now().astimezone(studio.tz).date()
    friday = today + timedelta(days=(FRIDAY - today.weekday()) % 7)
    return {"first": friday, "last": friday + timedelta(days=2)}
