"""Forms of the catalogue: colours, the CSV import, the shelf rules."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from stock.catalogue.fields import DecimalField
from stock.models import Colour, Finish, ShelfRules


class ColourForm(forms.Form):
    """A colour's name and look."""

    name = forms.CharField(max_length=60, help_text="A plain name: oat, sage, ink.")
    hex = forms.RegexField(
        r"^#[0-9A-Fa-f]{6}$",
        label="On screen",
        widget=forms.TextInput(attrs={"type": "color"}),
        initial="#E2CFA6",
        error_messages={"invalid": "Write a colour like #E2CFA6."},
    )
    finish = forms.ChoiceField(choices=Finish.choices)

    @classmethod
    def of(cls, colour: Colour) -> ColourForm:
        """The form as it is shown for a colour."""
        return cls(initial={"name": colour.name, "hex": colour.hex, "finish": colour.finish})


class ImportForm(forms.Form):
    """A CSV file that is checked before anything is written."""

    file = forms.FileField(
        label="CSV file",
        help_text="As it comes out of here. Nothing changes before you have seen what would.",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
    )


class RulesForm(forms.Form):
    """A studio's own rules of the shelf."""

    latex_life_days = forms.IntegerField(
        label="Latex keeps", min_value=7, max_value=3650, help_text="Past that it is named to be used first."
    )
    never_short_percent = DecimalField(
        label="Not to run short while waiting",
        min_value=50,
        max_value=Decimal("99.9"),
        max_digits=4,
        decimal_places=1,
        help_text="So many of a hundred deliveries come before the shelf is empty. More means more on the shelf.",
    )
    look_back_weeks = forms.IntegerField(label="Learn from the use of the last", min_value=4, max_value=156)

    def __init__(self, *args: Any, kept: ShelfRules, **kwargs: Any) -> None:
        kwargs["initial"] = {name: getattr(kept, name) for name in self.base_fields}
        super().__init__(*args, **kwargs)
        for name, unit in (
            ("latex_life_days", "days"),
            ("never_short_percent", "%"),
            ("look_back_weeks", "weeks"),
        ):
            self.fields[name].unit = unit  # type: ignore[attr-defined]
            self.fields[name].widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
