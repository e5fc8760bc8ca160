"""Forms of purchase orders and deliveries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django import forms

from stock.catalogue.fields import ItemChoiceField, KeyedForm, quantity_field
from stock.models import Nature, OrderLine
from stock.orders.orders import MOST_BAGS, Delivered
from stock.suppliers.forms import money_field
from studio.models import Studio
from studio.ui.field_layout import lay_out, set_choices
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


@dataclass(frozen=True, slots=True)
class DeliveryRow:
    """An open line of an order with its boxes; the unit stands at each."""

    line: OrderLine
    bags: forms.BoundField | None
    pieces: forms.BoundField
    batch: forms.BoundField | None

    @property
    def errors(self) -> list[str]:
        """What is wrong in any of its boxes."""
        boxes = (self.bags, self.pieces, self.batch)
        return [str(error) for box in boxes if box for error in box.errors]


class DeliveryForm(KeyedForm):
    """A delivery of an order: for each line whole bags, loose pieces and the batch number."""

    sure = forms.BooleanField(label="I counted again: receive this many", required=False)
    asks_again = False
    """Whether far more came than is due, so that the page asks."""
    note = forms.CharField(
        label="Delivery note", required=False, max_length=200, help_text="Its number, if there is one."
    )

    def __init__(self, data: Mapping[str, object] | None = None, *, lines: Sequence[OrderLine]) -> None:
        super().__init__(data)
        self.lines = [line for line in lines if line.due or self._named(line)]
        for line in self.lines:
            if line.bag_size > 1:
                self.fields[f"bags_{line.pk}"] = self._number(line, "bags", f"bags of {line.bag_size}")
            self.fields[f"came_{line.pk}"] = self._number(line, "pieces", "pieces")
            if line.item.nature == Nature.CONSUMABLE:
                self.fields[f"batch_{line.pk}"] = forms.CharField(
                    label=f"{line.item.name}: batch number", required=False, max_length=MARK_LENGTH
                )

    def _named(self, line: OrderLine) -> bool:
        return bool(self.data.get(f"came_{line.pk}") or self.data.get(f"bags_{line.pk}"))

    @staticmethod
    def _number(line: OrderLine, what: str, unit: str) -> forms.IntegerField:
        field = quantity_field(f"{line.item.name}: {what} received", least=0, required=False)
        lay_out(field, unit=unit)
        return field

    def rows(self) -> list[DeliveryRow]:
        """Each open line with its fields."""
        return [
            DeliveryRow(
                line,
                self._box(f"bags_{line.pk}"),
                self[f"came_{line.pk}"],
                self._box(f"batch_{line.pk}"),
            )
            for line in self.lines
        ]

    def ask_again(self, by_line: Mapping[int, str]) -> None:
        """Show at each line that far more came than is due, and ask."""
        self.asks_again = True
        for pk, words in by_line.items():
            self.add_error(f"came_{pk}", words)

    def _box(self, name: str) -> forms.BoundField | None:
        return self[name] if name in self.fields else None

    def delivered(self) -> dict[int, Delivered]:
        """The delivered pieces by line; call when valid."""
        data = self.cleaned_data
        return {
            line.pk: Delivered(
                (data.get(f"bags_{line.pk}") or 0) * line.bag_size + (data.get(f"came_{line.pk}") or 0),
                data.get(f"batch_{line.pk}") or "",
            )
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


class ReceiptForm(KeyedForm):
    """How many pieces a receipt really was, and why it was written down otherwise."""

    pieces = quantity_field("Pieces really received", least=0)
    reason = forms.CharField(label="Reason", max_length=200, help_text="Such as bags were typed as pieces.")
