"""Forms of the stocktake."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django import forms

from stock.catalogue.fields import KeyedForm, quantity_field
from stock.counting.stocktake import REASONS, Difference
from stock.shelf.stock_levels import StockLevel


class PlaceCountForm(KeyedForm):
    """The counts of one place: a number for each item, or nothing where an item wasn't counted."""

    reviewed = forms.CharField(required=False, widget=forms.HiddenInput)
    """The differences that were shown, so that the reason is given for exactly those."""
    reason = forms.ChoiceField(
        label="Reason for the differences",
        choices=[(reason, reason) for reason in REASONS],
        initial=REASONS[-1],
        required=False,
    )

    def __init__(self, data: Mapping[str, object] | None = None, *, levels: Sequence[StockLevel]) -> None:
        super().__init__(data)
        self.levels = levels
        for level in levels:
            field = quantity_field(level.item.name, least=0, required=False)
            field.widget.attrs["class"] = "count-box"
            self.fields[self._name(level.item.pk)] = field

    def clean(self) -> None:
        """At least one item was counted."""
        super().clean()
        if not self.errors and not self.counted():
            self.add_error(None, "Enter at least one count.")

    def counted(self) -> dict[int, int]:
        """The counts by item id; call when valid."""
        numbers = {level.item.pk: self.cleaned_data.get(self._name(level.item.pk)) for level in self.levels}
        return {pk: number for pk, number in numbers.items() if number is not None}

    def rows(
        self, differences: Sequence[Difference] = ()
    ) -> list[tuple[StockLevel, forms.BoundField, Difference | None]]:
        """Each item with its box, and its difference."""
        by_item = {each.item.pk: each for each in differences}
        return [(level, self[self._name(level.item.pk)], by_item.get(level.item.pk)) for level in self.levels]

    def add_errors(self, by_item: Mapping[int, str]) -> None:
        """Show each error at its box."""
        for pk, words in by_item.items():
            name = self._name(pk)
            self.add_error(name if name in self.fields else None, words)

    @staticmethod
    def _name(item_id: int) -> str:
        return f"count_{item_id}"


def difference_code(differences: Sequence[Difference]) -> str:
    """The differences as one string, to compare the reviewed ones with those of now."""
    return ".".join(f"{each.item.pk}:{each.by}" for each in differences)
