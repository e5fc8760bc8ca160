"""Forms of a tagged item."""

from __future__ import annotations

from django import forms

from stock.catalogue.fields import KeyedForm
from stock.models import MovementKind
from studio.ui.forms import DayField


class TagForm(forms.Form):
    """A tag, and a note about the tagged item."""

    tag = forms.CharField(label="Tag", max_length=30, help_text="The label on the item, such as B or 3.")
    note = forms.CharField(
        label="Note", required=False, max_length=160, help_text="Such as: left foot dented."
    )


class RepairForm(KeyedForm):
    """When a tagged item is back from repair, and what is wrong with it."""

    until = DayField(label="Back on")
    why = forms.CharField(label="Problem", required=False, max_length=100)


class RetireForm(KeyedForm):
    """Why a tagged item is taken out of use."""

    kind = forms.ChoiceField(
        label="What happened",
        choices=[(MovementKind.BROKEN.value, "broken"), (MovementKind.LOST.value, "lost")],
    )
    reason = forms.CharField(label="Reason", required=False, max_length=150)
