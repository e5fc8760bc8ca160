"""Forms of the stocktake."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django import forms
from django.http import QueryDict

from stock.catalogue.fields import KeyedForm, quantity_field
from stock.counting.stocktake import DONT_KNOW, REASONS, Difference, Expectation


class PlaceCountForm(KeyedForm):
    """The counts of one place: a number for each item, or nothing where an item wasn't counted."""

    reviewed = forms.CharField(required=False, widget=forms.HiddenInput)
    """The differences that were shown, so that the reason is given for exactly those."""
    reason = forms.ChoiceField(
        label="Reason for the differences",
        choices=[(reason, reason) for reason in REASONS],
        initial=DONT_KNOW,
        required=False,
    )

    def __init__(self, data: QueryDict | None = None, *, expected: Sequence[Expectation]) -> None:
        if data is not None and not data.get("reason"):
            data = data.copy()
            data["reason"] = DONT_KNOW
        super().__init__(data)
        self.expected = expected
        for each in expected:
            field = quantity_field(each.item.name, least=0, required=False)
            field.widget.attrs["class"] = "count-box"
            self.fields[self._name(each.item.pk)] = field

    @property
    def asks_reason(self) -> bool:
        """Whether differences were shown before, and with them the reason."""
        return bool(self.data.get("reviewed"))

    def clean(self) -> None:
        """At least one item was counted."""
        super().clean()
        if not self.errors and not self.counted():
            self.add_error(None, "Enter at least one count.")

    def counted(self) -> dict[int, int]:
        """The counts by item id; call when valid."""
        numbers = {each.item.pk: self.cleaned_data.get(self._name(each.item.pk)) for each in self.expected}
        return {pk: number for pk, number in numbers.items() if number is not None}

    def rows(
        self, differences: Sequence[Difference] = ()
    ) -> list[tuple[Expectation, forms.BoundField, Difference | None]]:
        """Each item with its box, and its difference."""
        by_item = {each.item.pk: each for each in differences}
        return [(each, self[self._name(each.item.pk)], by_item.get(each.item.pk)) for each in self.expected]

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
