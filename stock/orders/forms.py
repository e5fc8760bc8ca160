"""Forms of purchase orders and deliveries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django import forms

from stock.catalogue.fields import ItemChoiceField, KeyedForm, quantity_field
from stock.models import Nature, OrderLine
from stock.orders.orders import MOST_BAGS, Delivered
from stock.suppliers.forms import money_field
from studio.models import Studio
from studio.ui.field_layout import set_choices
from studio.ui.forms import DayField

MARK_LENGTH = 40


class OrderLineForm(forms.Form):
    """Bags of an item on a draft order."""

    on_page_as = "line_form"

    item = ItemChoiceField(label="Item")
    bag_size = quantity_field("Pieces per bag")
    bags = forms.IntegerField(label="Bags", min_value=0, max_value=MOST_BAGS)

    def __init__(self, data: Mapping[str, object] | None = None, *, studio: Studio) -> None:
        super().__init__(data)
        self.fields["price"] = money_field("Price per bag", studio)
        self.fields["bags"].widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})


class SendForm(forms.Form):
    """When an order is expected."""

    on_page_as = "send_form"

    expected_on = DayField(
        label="Expected on", required=False, help_text="Leave empty for the usual delivery time."
    )


class DeliveryForm(KeyedForm):
    """A delivery of an order: pieces and batch number for each line."""

    note = forms.CharField(
        label="Delivery note", required=False, max_length=200, help_text="Its number, if there is one."
    )

    def __init__(self, data: Mapping[str, object] | None = None, *, lines: Sequence[OrderLine]) -> None:
        super().__init__(data)
        self.lines = [line for line in lines if line.due or self._named(line)]
        for line in self.lines:
            self.fields[f"came_{line.pk}"] = quantity_field(
                f"{line.item.name}: pieces received", least=0, required=False
            )
            if line.item.nature == Nature.CONSUMABLE:
                self.fields[f"batch_{line.pk}"] = forms.CharField(
                    label=f"{line.item.name}: batch number", required=False, max_length=MARK_LENGTH
                )

    def _named(self, line: OrderLine) -> bool:
        return bool(self.data.get(f"came_{line.pk}"))

    def rows(self) -> list[tuple[OrderLine, forms.BoundField, forms.BoundField | None]]:
        """Each open line with its fields."""
        names = self.fields
        return [
            (line, self[f"came_{line.pk}"], self[f"batch_{line.pk}"] if f"batch_{line.pk}" in names else None)
            for line in self.lines
        ]

    def delivered(self) -> dict[int, Delivered]:
        """The delivered pieces by line; call when valid."""
        data = self.cleaned_data
        return {
            line.pk: Delivered(data.get(f"came_{line.pk}") or 0, data.get(f"batch_{line.pk}") or "")
            for line in self.lines
        }


class SendBackForm(KeyedForm):
    """Pieces that go back to the supplier."""

    on_page_as = "back"

    line = forms.ChoiceField(label="Item")
    pieces = quantity_field("Pieces")
    reason = forms.CharField(label="Reason", max_length=200, help_text="Such as wrong shade or torn bags.")

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        lines: Sequence[OrderLine],
        prefix: str | None = None,
    ) -> None:
        super().__init__(data, prefix=prefix)
        offered = [(str(line.pk), line.item.name) for line in lines if line.received > line.sent_back]
        set_choices(self.fields["line"], offered)
