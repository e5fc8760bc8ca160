"""The form of a quote's supplies: for each thing that isn't in the stock list, what is done for it and by when."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from django import forms

from quoting.models import SupplyKind
from quoting.supplies.supplies import Choice, Missing
from studio.models import Studio
from studio.ui.field_layout import lay_out
from studio.ui.forms import DayField, MoneyField

UNDECIDED = ("", "Choose")


class SupplyForm(forms.Form):
    """One row; its prefix is the code."""

    kind = forms.ChoiceField(choices=[UNDECIDED, *SupplyKind.choices], required=False, label="How you get it")
    due_on = DayField(label="By", required=False)

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        missing: Missing,
        usual_day: date,
        studio: Studio,
    ) -> None:
        supply = missing.supply
        super().__init__(
            data,
            prefix=missing.code,
            initial={
                "kind": supply.kind if supply else "",
                "due_on": supply.due_on if supply else usual_day,
                "cost": supply.cost if supply else None,
            },
        )
        self.missing = missing
        self.fields["cost"] = MoneyField(
            currency=studio.currency, locale=studio.locale, required=False, label="Cost of one"
        )
        for field in self.fields.values():
            lay_out(field, unmarked=True)

    def clean(self) -> dict[str, object]:
        """What is chosen needs its day."""
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("kind") and not cleaned.get("due_on") and "due_on" not in self.errors:
            self.add_error("due_on", "Enter the day.")
        return cleaned

    @property
    def choice(self) -> Choice | None:
        """What was chosen; nothing where the row was left open."""
        kind, day = self.cleaned_data.get("kind"), self.cleaned_data.get("due_on")
        return Choice(SupplyKind(kind), day, self.cleaned_data.get("cost")) if kind and day else None


def supply_forms(
    missing: Sequence[Missing],
    usual_day: date,
    studio: Studio,
    data: Mapping[str, object] | None = None,
) -> list[SupplyForm]:
    """A row for each thing that is missing."""
    return [SupplyForm(data, missing=one, usual_day=usual_day, studio=studio) for one in missing]
