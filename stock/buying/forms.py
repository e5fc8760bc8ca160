"""What people type about suppliers, orders and deliveries."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from stock.orders.orders import MOST_BAGS, Delivered
from stock.catalogue.forms import DecimalField, KeyedForm, pieces
from stock.models import Item, Nature, OrderLine, Supplier
from studio.models import Studio
from studio.ui.forms import DayField, MoneyField

MARK_LENGTH = 40


def _amount(label: str, studio: Studio, **kwargs: Any) -> MoneyField:
    return MoneyField(label=label, currency=studio.currency, locale=studio.locale, **kwargs)


class SupplierForm(forms.Form):
    """A supplier's facts."""

    two_columns = True

    name = forms.CharField(max_length=80)
    lead_days = forms.IntegerField(label="From order to door", min_value=0, max_value=365, initial=5)
    lead_spread_days = DecimalField(
        label="Give or take", min_value=0, max_value=180, max_digits=4, decimal_places=1, required=False
    )
    email = forms.EmailField(label="E-mail address", required=False)
    phone = forms.CharField(max_length=40, required=False)
    customer_number = forms.CharField(label="Your number with them", max_length=40, required=False)
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

    def __init__(self, *args: Any, studio: Studio, supplier: Supplier | None = None, **kwargs: Any) -> None:
        if supplier:
            kwargs["initial"] = {name: getattr(supplier, name) for name in self.FACTS}
        super().__init__(*args, **kwargs)
        self.fields["minimum_order"] = _amount("Smallest order", studio, required=False)
        self.fields["delivery_charge"] = _amount("Delivery of an order", studio, required=False)
        for name in ("lead_days", "lead_spread_days"):
            self.fields[name].unit = "days"  # type: ignore[attr-defined]
            self.fields[name].widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        self.fields["note"].wide = True  # type: ignore[attr-defined]
        self.order_fields(self.FACTS)

    def facts(self) -> dict[str, Any]:
        """The cleaned facts; call when valid."""
        data = dict(self.cleaned_data)
        data["lead_spread_days"] = data["lead_spread_days"] or Decimal(0)
        data["delivery_charge"] = data["delivery_charge"] or Decimal(0)
        return data

    def refuse(self, refusal: Any) -> None:
        """Show what was refused, at its field where the form has it."""
        for field, errors in getattr(refusal, "error_dict", {None: refusal}).items():
            self.add_error(field if field in self.fields else None, errors)


class ItemChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """One of the things in use, by name."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Item.objects.none(), empty_label="choose", **kwargs)

    def offer(self) -> None:
        """Offer what is in use now, what is used up first."""
        self.queryset = Item.objects.filter(retired_at=None).order_by("nature", "kind", "size_in", "name")


class PriceForm(forms.Form):
    """What a supplier asks for a bag of something."""

    item = ItemChoice(label="What")
    bag_size = pieces("Pieces in a bag")
    from_bags = pieces("From so many bags on", required=False)
    their_code = forms.CharField(label="Their number for it", max_length=60, required=False)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["price"] = _amount("A bag costs", studio)
        self.fields["item"].offer()  # type: ignore[attr-defined]
        self.order_fields(["item", "bag_size", "price", "from_bags", "their_code"])


class OrderLineForm(forms.Form):
    """So many bags of something on an order that isn't sent yet."""

    on_page_as = "line_form"

    item = ItemChoice(label="What")
    bag_size = pieces("Pieces in a bag")
    bags = forms.IntegerField(label="Bags", min_value=0, max_value=MOST_BAGS)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["price"] = _amount("A bag costs", studio)
        self.fields["item"].offer()  # type: ignore[attr-defined]
        self.fields["bags"].widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})


class SendForm(forms.Form):
    """When a sent order is expected."""

    on_page_as = "send_form"

    expected_on = DayField(label="Expected on", required=False, help_text="Empty: after their usual days.")


class DeliveryForm(KeyedForm):
    """What came of an order: pieces and the maker's mark for each line."""

    note = forms.CharField(
        label="Delivery note", required=False, max_length=200, help_text="Its number, if there is one."
    )

    def __init__(self, *args: Any, lines: Sequence[OrderLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lines = [line for line in lines if line.due or self._named(line)]
        for line in self.lines:
            self.fields[f"came_{line.pk}"] = pieces(
                f"{line.item.name}: pieces that came", least=0, required=False
            )
            if line.item.nature == Nature.CONSUMABLE:
                self.fields[f"batch_{line.pk}"] = forms.CharField(
                    label=f"{line.item.name}: mark on the bags", required=False, max_length=MARK_LENGTH
                )

    def _named(self, line: OrderLine) -> bool:
        return bool(self.data.get(f"came_{line.pk}"))

    def rows(self) -> list[tuple[OrderLine, Any, Any]]:
        """Each line that is still open with its boxes."""
        names = self.fields
        return [
            (line, self[f"came_{line.pk}"], self[f"batch_{line.pk}"] if f"batch_{line.pk}" in names else None)
            for line in self.lines
        ]

    def delivered(self) -> dict[int, Delivered]:
        """What came by line; call when valid."""
        data = self.cleaned_data
        return {
            line.pk: Delivered(data.get(f"came_{line.pk}") or 0, data.get(f"batch_{line.pk}") or "")
            for line in self.lines
        }


class SendBackForm(KeyedForm):
    """What goes back to the supplier, and why."""

    on_page_as = "back"

    line = forms.ChoiceField(label="What")
    pieces = pieces("Pieces")
    reason = forms.CharField(label="Why", max_length=200, help_text="Such as: wrong shade, torn bags.")

    def __init__(self, *args: Any, lines: Sequence[OrderLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["line"].choices = [  # type: ignore[attr-defined]
            (str(line.pk), line.item.name) for line in lines if line.received > line.sent_back
        ]
