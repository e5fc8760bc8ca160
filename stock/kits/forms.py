"""The form of a kit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, TypedDict

from django import forms

from stock.catalogue.fields import ItemChoiceField, quantity_field
from stock.models import Kit

EMPTY_ROWS: Final = 3


class KitFacts(TypedDict):
    """What a kit is saved with; the parts are quantities by item id."""

    name: str
    note: str
    parts: Mapping[int, int]


class KitForm(forms.Form):
    """A kit's name, note and parts: a row for each part and some empty rows."""

    name = forms.CharField(max_length=100, help_text="Such as arch 7 ft with oat cover.")
    note = forms.CharField(
        label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, data: Mapping[str, object] | None = None, *, kit: Kit | None = None) -> None:
        parts = list(kit.parts.all()) if kit else []
        initial: dict[str, object] = {"name": kit.name, "note": kit.note} if kit else {}
        for row, part in enumerate(parts):
            initial |= {f"item_{row}": part.item_id, f"quantity_{row}": part.quantity}
        super().__init__(data, initial=initial)
        # Asked once for all rows.
        offered = [("", "choose"), *((item.pk, item.name) for item in ItemChoiceField().queryset or ())]
        for row in range(self._rows(len(parts))):
            choice = ItemChoiceField(f"Part {row + 1}", required=False)
            choice.choices = offered
            self.fields[f"item_{row}"] = choice
            self.fields[f"quantity_{row}"] = quantity_field("Quantity", required=False)

    @property
    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """Item and quantity fields, row by row."""
        return [(self[f"item_{row}"], self[f"quantity_{row}"]) for row in range(self.row_count)]

    def clean(self) -> None:
        """Each part once, with its quantity; at least one part."""
        super().clean()
        cleaned = self.cleaned_data
        seen: dict[int, int] = {}
        for row in range(self.row_count):
            item, quantity = cleaned.get(f"item_{row}"), cleaned.get(f"quantity_{row}")
            if item is None and quantity and f"item_{row}" not in self.errors:
                self.add_error(f"item_{row}", "Choose an item.")
            elif item and item.pk in seen:
                self.add_error(
                    f"item_{row}", "This item is already in the kit. Enter the total quantity once."
                )
            elif item:
                seen[item.pk] = quantity or 1
        if not self.errors and not seen:
            self.add_error("item_0", "Choose at least one part.")
        cleaned["parts"] = seen

    def facts(self) -> KitFacts:
        """Name, note and parts; call when valid."""
        data = self.cleaned_data
        return {"name": data["name"], "note": data["note"], "parts": data["parts"]}

    def _rows(self, kept: int) -> int:
        sent = [int(name[5:]) + 1 for name in self.data if name.startswith("item_") and name[5:].isdecimal()]
        self.row_count = min(max(kept + EMPTY_ROWS, *sent, 0), 40)
        return self.row_count
