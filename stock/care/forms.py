"""What people type about a piece with a tag."""

from __future__ import annotations

from django import forms

from stock.catalogue.fields import KeyedForm
from stock.models import MovementKind
from studio.ui.forms import DayField


class TagForm(forms.Form):
    """What is written on a piece, and what to know about it."""

    tag = forms.CharField(label="Tag", max_length=30, help_text="What is written on it, such as B or 3.")
    note = forms.CharField(
        label="What to know", required=False, max_length=160, help_text="Such as: dent at the left foot."
    )


class RepairForm(KeyedForm):
    """When a piece that is mended counts again."""

    until = DayField(label="Counts again on")
    why = forms.CharField(label="What is the matter", required=False, max_length=100)


class RetireForm(KeyedForm):
    """Why a piece doesn't come back."""

    kind = forms.ChoiceField(
        label="What happened",
        choices=[(MovementKind.BROKEN.value, "broken"), (MovementKind.LOST.value, "lost")],
    )
    reason = forms.CharField(label="Why", required=False, max_length=150)
