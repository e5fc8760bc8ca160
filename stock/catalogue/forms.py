"""Forms of the catalogue: colours, the CSV import, the shelf rules."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from django import forms

from stock.catalogue.fields import DecimalField
from stock.models import Colour, Finish, ShelfRules
from studio.models.spelling import spelled_lazy
from studio.ui.field_layout import lay_out


class ColourForm(forms.Form):
    """A colour: its name, screen colour and finish."""

    name = forms.CharField(max_length=60, help_text="A plain name, such as oat, sage or ink.")
    hex = forms.RegexField(
        r"^#[0-9A-Fa-f]{6}$",
        label=spelled_lazy("Screen color"),
        widget=forms.TextInput(attrs={"type": "color"}),
        initial="#E2CFA6",
        error_messages={"invalid": spelled_lazy("Enter a color like #E2CFA6.")},
    )
    finish = forms.ChoiceField(choices=Finish.choices)

    @classmethod
    def of(cls, colour: Colour) -> ColourForm:
        """The form filled with a colour."""
        return cls(initial={"name": colour.name, "hex": colour.hex, "finish": colour.finish})


class ImportForm(forms.Form):
    """A CSV file that is checked before anything is written."""

    file = forms.FileField(
        label="CSV file",
        help_text="In the format of the export. Nothing changes until you confirm.",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
    )


class RulesForm(forms.Form):
    """The studio's stock rules."""

    latex_life_days = forms.IntegerField(
        label="Latex shelf life",
        min_value=7,
        max_value=3650,
        help_text="Older latex is listed to be used first.",
    )
    never_short_percent = DecimalField(
        label="Service level",
        min_value=50,
        max_value=Decimal("99.9"),
        max_digits=4,
        decimal_places=1,
        help_text="How often a delivery should arrive before you run out. A higher level means more stock.",
    )
    look_back_weeks = forms.IntegerField(label="Base the forecast on the last", min_value=4, max_value=156)

    def __init__(self, data: Mapping[str, object] | None = None, *, saved: ShelfRules) -> None:
        super().__init__(data, initial={name: getattr(saved, name) for name in self.base_fields})
        for name, unit in (
            ("latex_life_days", "days"),
            ("never_short_percent", "%"),
            ("look_back_weeks", "weeks"),
        ):
            lay_out(self.fields[name], unit=unit)
            self.fields[name].widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
