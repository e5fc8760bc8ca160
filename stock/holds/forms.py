"""Forms of a hold."""

from __future__ import annotations

from django import forms

from stock.catalogue.fields import KeyedForm


class SwapForm(KeyedForm):
    """One item for another."""

    out = forms.CharField(max_length=80)
    into = forms.CharField(max_length=80)
    sure = forms.BooleanField(required=False)
