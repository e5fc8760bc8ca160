"""A share that is typed and shown in per cent."""

from __future__ import annotations

from decimal import Decimal

from django import forms


class PercentField(forms.DecimalField):
    """A share, typed and shown in per cent; cleans to per cent."""

    def __init__(
        self,
        *,
        most: int,
        places: int = 0,
        unit: str = "",
        label: str = "",
        required: bool = True,
        help_text: str = "",
    ) -> None:
        super().__init__(
            min_value=0,
            max_value=most,
            decimal_places=places,
            label=label,
            required=required,
            help_text=help_text,
        )
        self.unit = unit
        self.widget = forms.TextInput(
            attrs={"inputmode": "decimal", "autocomplete": "off", "data-kind": "percent"}
        )
        self.error_messages["invalid"] = f"Enter a percentage from 0 to {most}."

    def to_python(self, value: object) -> Decimal | None:  # type: ignore[override] # the stubs say whole numbers
        text = str(value).strip().removesuffix("%").strip().replace(",", ".") if value is not None else None
        number = super().to_python(text)
        return number if number is None else Decimal(number)
