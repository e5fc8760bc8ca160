"""The form of a kit."""

from __future__ import annotations

from typing import Any, Final

from django import forms

from stock.catalogue.fields import ItemChoiceField, quantity_field
from stock.models import Kit

EMPTY_ROWS: Final = 3


class KitForm(forms.Form):
    """A kit's name, note and parts: a row for each part and some empty rows."""

    name = forms.CharField(max_length=100, help_text="Such as arch 7 ft with oat cover.")
    note = forms.CharField(
        label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, kit: Kit | None = None, **kwargs: Any) -> None:
        parts = list(kit.parts.all()) if kit else []
        initial: dict[str, Any] = {"name": kit.name, "note": kit.note} if kit else {}
        for row, part in enumerate(parts):
            initial |= {f"item_{row}": part.item_id, f"quantity_{row}": part.quantity}
        kwargs["initial"] = initial
        super().__init__(*args, **kwargs)
        offered = ItemChoiceField(required=False)
        offered.load_items()
        for row in range(self._rows(len(parts))):
            choice = ItemChoiceField(label=f"Part {row + 1}", required=False)
            # Asked once for all rows.
            choice.queryset, choice.choices = offered.queryset, self._choices(offered)
            self.fields[f"item_{row}"] = choice
            self.fields[f"quantity_{row}"] = quantity_field("Quantity", required=False)

    @property
    def rows(self) -> list[tuple[Any, Any]]:
        """Item and quantity fields, row by row."""
        return [(self[f"item_{row}"], self[f"quantity_{row}"]) for row in range(self.row_count)]

    def clean(self) -> dict[str, Any]:
        """Each part once, with its quantity; at least one part."""
        cleaned = super().clean() or self.cleaned_data
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
        return cleaned

    def facts(self) -> dict[str, Any]:
        """Name, note and parts; call when valid."""
        return {name: self.cleaned_data[name] for name in ("name", "note", "parts")}

    def _rows(self, kept: int) -> int:
        sent = [int(name[5:]) + 1 for name in self.data if name.startswith("item_") and name[5:].isdecimal()]
        self.row_count = min(max(kept + EMPTY_ROWS, *sent, 0), 40)
        return self.row_count

    def _choices(self, offered: ItemChoiceField) -> list[tuple[Any, Any]]:
        if not hasattr(self, "_offered"):
            assert offered.queryset is not None
            self._offered = [("", "choose"), *((item.pk, item.name) for item in offered.queryset)]
        return self._offered
