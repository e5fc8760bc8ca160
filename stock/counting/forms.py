"""What people type while they count."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from stock.catalogue.fields import KeyedForm, quantity_field
from stock.counting.stocktake import REASONS, Difference
from stock.shelf.presenter import Stand


class PlaceCountForm(KeyedForm):
    """What was counted at one place: a number for each item, or nothing where nobody looked."""

    reviewed = forms.CharField(required=False, widget=forms.HiddenInput)
    """The differences that were shown, so that a reason is given for those very ones."""
    reason = forms.ChoiceField(
        label="Where does the difference come from?",
        choices=[(reason, reason) for reason in REASONS],
        initial=REASONS[-1],
        required=False,
    )

    def __init__(self, *args: Any, stands: Sequence[Stand], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stands = stands
        for stand in stands:
            field = quantity_field(stand.item.name, least=0, required=False)
            field.widget.attrs["class"] = "count-box"
            self.fields[self._name(stand.item.pk)] = field

    def clean(self) -> dict[str, Any]:
        """At least one thing was counted."""
        cleaned = super().clean()
        if not self.errors and not self.counted():
            self.add_error(None, "Write down at least one count.")
        return cleaned

    def counted(self) -> dict[int, int]:
        """What was counted by item id; call when valid."""
        numbers = {stand.item.pk: self.cleaned_data.get(self._name(stand.item.pk)) for stand in self.stands}
        return {pk: number for pk, number in numbers.items() if number is not None}

    def rows(self, differences: Sequence[Difference] = ()) -> list[tuple[Stand, Any, Difference | None]]:
        """Each item with its box, and what is different about it."""
        by_item = {each.item.pk: each for each in differences}
        return [(stand, self[self._name(stand.item.pk)], by_item.get(stand.item.pk)) for stand in self.stands]

    def refuse(self, by_item: Mapping[int, str]) -> None:
        """Show what was refused at its box."""
        for pk, words in by_item.items():
            name = self._name(pk)
            self.add_error(name if name in self.fields else None, words)

    @staticmethod
    def _name(item_id: int) -> str:
        return f"count_{item_id}"


def shown(differences: Sequence[Difference]) -> str:
    """The differences as one word, to tell whether those that were reviewed are those of now."""
    return ".".join(f"{each.item.pk}:{each.by}" for each in differences)
