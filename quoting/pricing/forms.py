"""The form of the studio's rates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import partial

from django import forms

from quoting.models import ClientView, DeliveryBy, DistanceUnit, Rates
from quoting.pricing.inputs import Band
from quoting.pricing.rates import WITHOUT_MINOR_UNIT
from studio.models import Studio
from studio.models.spelling import spelled
from studio.money import amounts
from studio.ui.field_layout import lay_out, set_choices
from studio.ui.forms import MoneyField

MOST_BANDS = 6
"""Rows of the table of delivery prices."""
STEPS = (Decimal(1), Decimal(5), Decimal(10))


def steps_unit(currency: str) -> Decimal:
    """What the steps are counted in: the currency, or a hundred of it where it has no cents."""
    return Decimal(1) if amounts.minor_digits(currency) else Decimal(WITHOUT_MINOR_UNIT)


class RatesForm(forms.ModelForm):  # type: ignore[type-arg] # at run time it takes none
    """The studio's own rates."""

    two_columns = True

    class Meta:
        model = Rates
        fields = [
            "prep_hour", "install_hour", "strike_hour", "drive_hour", "minimum_call_hours", "van_distance",
            "distance_unit", "van_hour", "frame_care", "cover_care", "print_m2", "loss_percent",
            "service_percent", "latex_by", "overhead_percent", "price_by", "markup_percent", "margin_percent",
            "margin_floor_percent", "rush_percent", "minimum_order",
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


class ClientTermsForm(forms.ModelForm):  # type: ignore[type-arg] # at run time it takes none
    """What clients see of a price, how it is rounded, what is asked at once, and what delivery costs them."""

    two_columns = True

    class Meta:
        model = Rates
        fields = [
            "client_view", "clients_see_counts", "clients_see_hours", "rounding_step", "deposit_amount", "delivery_by",
        ]  # fmt: skip
        widgets = {"client_view": forms.RadioSelect, "delivery_by": forms.RadioSelect}

    def __init__(
        self,
        data: Mapping[str, str] | None = None,
        *,
        instance: Rates,
        studio: Studio,
        bands: Sequence[Band] = (),
    ) -> None:
        super().__init__(data, instance=instance, initial=_rows(bands))
        money = partial(MoneyField, currency=studio.currency, locale=studio.locale, required=False)
        views = [
            (ClientView(value), spelled(label[:1].upper() + label[1:])) for value, label in ClientView.choices
        ]
        set_choices(self.fields["client_view"], views)
        self.fields["client_view"].label = "Clients read"
        ways = [(value, label[:1].upper() + label[1:]) for value, label in DeliveryBy.choices]
        set_choices(self.fields["delivery_by"], ways)
        self.fields["delivery_by"].label = "Its price comes"
        self.fields["clients_see_hours"].help_text = spelled("Beside labor, where prices are in full.")
        self.fields["clients_see_counts"].help_text = "On the page, in the PDF and in the lines of the price."
        self.fields["rounding_step"] = _step_field(instance.rounding_step, studio)
        self.fields["deposit_amount"] = money(
            label="Deposit as an amount",
            help_text=f"With tax. Leave empty for your share of {studio.deposit_percent.normalize():f} %.",
        )  # fmt: skip
        unit = "miles" if instance.distance_unit == DistanceUnit.MILE else "km"
        for place in range(1, MOST_BANDS + 1):
            self.fields[f"up_to_{place}"] = forms.DecimalField(
                required=False, max_digits=7, decimal_places=1, label="Up to", min_value=0, localize=False,
                widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            )  # fmt: skip
            self.fields[f"price_{place}"] = money(label="Price")
            lay_out(self.fields[f"up_to_{place}"], unit=unit, unmarked=True)
            lay_out(self.fields[f"price_{place}"], unmarked=True)

    def clean(self) -> dict[str, object]:
        """A band has a distance and a price, or neither."""
        cleaned: dict[str, object] = super().clean() or self.cleaned_data
        for place in range(1, MOST_BANDS + 1):
            end, price = f"up_to_{place}", f"price_{place}"
            if cleaned.get(end) is not None and cleaned.get(price) is None and price not in self.errors:
                self.add_error(price, "Enter the price up to this distance. 0 if you charge none.")
            if cleaned.get(price) is not None and cleaned.get(end) is None and end not in self.errors:
                self.add_error(end, "Enter up to how far this price holds.")
        return cleaned

    @property
    def bands(self) -> list[tuple[int, Band]]:
        """Those that were filled in, each with its row. Call it on a valid form."""
        said = self.cleaned_data
        rows = ((place, said[f"up_to_{place}"], said[f"price_{place}"]) for place in range(1, MOST_BANDS + 1))
        return [(place, Band(end, price)) for place, end, price in rows if end is not None]

    @property
    def band_rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """The fields of the table, a row each."""
        return [(self[f"up_to_{place}"], self[f"price_{place}"]) for place in range(1, MOST_BANDS + 1)]


# Private


def _rows(bands: Sequence[Band]) -> dict[str, object]:
    initial: dict[str, object] = {}
    for place, band in enumerate(bands, start=1):
        initial |= {f"up_to_{place}": f"{band.up_to.normalize():f}", f"price_{place}": band.price}
    return initial


def _step_field(step: Decimal, studio: Studio) -> forms.TypedChoiceField:
    """To which multiples prices are brought up; a step that was kept before stays on offer."""
    steps = [each * steps_unit(studio.currency) for each in STEPS]
    steps += [step.normalize()] if step and step not in steps else []
    choices = [("0", "not rounded")] + [
        (f"{each:f}", f"up to the next {amounts.written(each, studio.currency, studio.locale)}")
        for each in sorted(steps)
    ]
    return forms.TypedChoiceField(
        choices=choices, coerce=Decimal, label="Round prices", initial=f"{step.normalize():f}",
        help_text="Each price that clients read goes up, never down. The quote shows the difference as a line.",
    )  # fmt: skip
