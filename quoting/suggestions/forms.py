"""The forms of fitting: a budget, and the version or the swaps that were chosen."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from quoting.suggestions.budget import LEAST_FULL, MOST_FULL, Change
from studio.models import Studio
from studio.ui.forms import MoneyField


class BudgetForm(forms.Form):
    """What the client wants to pay, tax included."""

    def __init__(self, data: Any = None, *, studio: Studio, initial: Decimal | None = None) -> None:
        super().__init__(data, initial={"budget": initial})
        self.fields["budget"] = MoneyField(
            currency=studio.currency, locale=studio.locale, least=Decimal(1), label="Budget, tax included"
        )
        self.fields["budget"].widget.attrs |= {"id": "fit-budget", "data-key": "B"}


class VersionForm(forms.Form):
    """The change that a version makes, as the page sent it out."""

    fullness = forms.IntegerField(min_value=LEAST_FULL, max_value=MOST_FULL, required=False)
    width_m = forms.DecimalField(min_value=Decimal("0.2"), max_value=60, decimal_places=2, required=False)
    height_m = forms.DecimalField(min_value=Decimal("0.2"), max_value=20, decimal_places=2, required=False)
    bare = forms.BooleanField(required=False)

    @property
    def change(self) -> Change:
        """The change that was chosen."""
        return Change(**self.cleaned_data)
