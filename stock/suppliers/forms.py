"""Forms of suppliers and their prices."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from stock.catalogue.fields import DecimalField, ItemChoiceField, add_refusal, quantity_field
from stock.models import Supplier
from studio.models import Studio
from studio.ui.field_layout import lay_out
from studio.ui.forms import MoneyField


def money_field(label: str, studio: Studio, *, required: bool = True) -> MoneyField:
    return MoneyField(label=label, currency=studio.currency, locale=studio.locale, required=required)


class SupplierForm(forms.Form):
    """The details of a supplier."""

    two_columns = True

    name = forms.CharField(max_length=80)
    lead_days = forms.IntegerField(label="Delivery time", min_value=0, max_value=365, initial=5)
    lead_spread_days = DecimalField(
        label="Varies by", min_value=0, max_value=180, max_digits=4, decimal_places=1, required=False
    )
    email = forms.EmailField(label="E-mail address", required=False)
    phone = forms.CharField(max_length=40, required=False)
    customer_number = forms.CharField(label="Your customer number", max_length=40, required=False)
    note = forms.CharField(max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}))

    FACTS = (
        "name",
        "lead_days",
        "lead_spread_days",
        "minimum_order",
        "delivery_charge",
        "email",
        "phone",
        "customer_number",
        "note",
    )

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        studio: Studio,
        supplier: Supplier | None = None,
    ) -> None:
        saved = {name: getattr(supplier, name) for name in self.FACTS} if supplier else None
        super().__init__(data, initial=saved)
        self.fields["minimum_order"] = money_field("Minimum order", studio, required=False)
        self.fields["delivery_charge"] = money_field("Delivery charge", studio, required=False)
        for name in ("lead_days", "lead_spread_days"):
            lay_out(self.fields[name], unit="days")
            self.fields[name].widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        lay_out(self.fields["note"], wide=True)
        self.order_fields(self.FACTS)

    def facts(self) -> dict[str, object]:
        """The cleaned details; call when valid."""
        data = dict(self.cleaned_data)
        data["lead_spread_days"] = data["lead_spread_days"] or Decimal(0)
        data["delivery_charge"] = data["delivery_charge"] or Decimal(0)
        return data

    def refuse(self, refusal: ValidationError) -> None:
        """Show a refusal at its fields."""
        add_refusal(self, refusal)


class PriceForm(forms.Form):
    """A supplier's price for a bag of an item."""

    item = ItemChoiceField(label="Item")
    bag_size = quantity_field("Pieces per bag")
    from_bags = quantity_field("Minimum bags", required=False)
    their_code = forms.CharField(label="Their code", max_length=60, required=False)

    def __init__(self, data: Mapping[str, object] | None = None, *, studio: Studio) -> None:
        super().__init__(data)
        self.fields["price"] = money_field("Price per bag", studio)
        self.order_fields(["item", "bag_size", "price", "from_bags", "their_code"])
