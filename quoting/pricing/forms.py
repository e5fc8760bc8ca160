"""The form of the studio's rates."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms

from quoting.models import DistanceUnit, Rates
from studio.models import Studio
from studio.models.spelling import spelled
from studio.ui.field_layout import lay_out, set_choices
from studio.ui.forms import MoneyField


class RatesForm(forms.ModelForm):  # type: ignore[type-arg] # at run time it takes none
    """The studio's own rates."""

    two_columns = True

    class Meta:
        model = Rates
        fields = [
            "prep_hour", "install_hour", "strike_hour", "drive_hour", "minimum_call_hours", "van_distance",
            "distance_unit", "van_hour", "frame_care", "cover_care", "print_m2", "loss_percent",
            "service_percent", "latex_by", "overhead_percent", "price_by", "markup_percent", "margin_percent",
            "margin_floor_percent", "rush_percent", "minimum_order", "rounding_step",
        ]  # fmt: skip

    def __init__(self, data: Mapping[str, str] | None = None, *, instance: Rates, studio: Studio) -> None:
        super().__init__(data, instance=instance)
        for name in (
            "prep_hour",
            "install_hour",
            "strike_hour",
            "drive_hour",
            "van_distance",
            "van_hour",
            "frame_care",
            "cover_care",
            "print_m2",
            "minimum_order",
            "rounding_step",
        ):
            old = self.fields[name]
            self.fields[name] = MoneyField(
                currency=studio.currency, locale=studio.locale, label=old.label, help_text=old.help_text
            )
        self.fields["van_distance"].help_text = spelled("For each mile or kilometer driven, fuel and wear.")
        self.fields["cover_care"].help_text = "After each use, as at a laundry. 0: your own time is charged."
        self.fields["print_m2"].label = spelled("Printed cover, a square meter")
        set_choices(
            self.fields["distance_unit"],
            [(DistanceUnit.MILE, "mile"), (DistanceUnit.KILOMETRE, spelled("kilometer"))],
        )
        for name, unit in (
            ("minimum_call_hours", "h"),
            ("overhead_percent", "%"),
            ("markup_percent", "%"),
            ("margin_percent", "%"),
            ("margin_floor_percent", "%"),
            ("rush_percent", "%"),
            ("loss_percent", "%"),
            ("service_percent", "%"),
        ):
            lay_out(self.fields[name], unit=unit)
