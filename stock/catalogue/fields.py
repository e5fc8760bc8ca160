"""Form fields and form parts that every feature of the stock room uses."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction

from stock.catalogue.items import MAX_QUANTITY
from stock.models import Item


class KeyedForm(forms.Form):
    """A form with a key of its own, so that a double click counts once."""

    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"].initial = secrets.token_urlsafe(12)

    def clean(self) -> dict[str, Any]:
        """Refuse a form without its key: it was cut off or tampered with."""
        cleaned = super().clean() or self.cleaned_data
        if "key" in self.errors:
            self.add_error(None, "This form was incomplete. Reload the page and try again.")
        return cleaned


class DecimalField(forms.DecimalField):
    """A number that accepts a decimal comma."""

    def to_python(self, value: Any) -> Any:
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)


def quantity_field(label: str, *, least: int = 1, **kwargs: Any) -> forms.IntegerField:
    """A number of pieces, typed on a phone's number pad."""
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=MAX_QUANTITY,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        **kwargs,
    )


class ItemChoiceField(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A choice among the items in use, by name."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Item.objects.none(), empty_label="choose", **kwargs)

    def load_items(self) -> None:
        """Offer the items in use now, consumables first."""
        self.queryset = Item.objects.filter(retired_at=None).order_by("nature", "kind", "size_in", "name")


def add_refusal(form: forms.BaseForm, refusal: ValidationError) -> None:
    """Show a refusal at its fields, or above the form where it has no such field."""
    if not hasattr(refusal, "error_dict"):
        form.add_error(None, refusal)
        return
    for field, errors in refusal.error_dict.items():
        form.add_error(field if field in form.fields else None, errors)


def is_saved(form: forms.BaseForm, save: Callable[[], object]) -> bool:
    """Save in one transaction; whether that was accepted. A refusal is shown on the form."""
    try:
        with transaction.atomic():
            save()
    except ValidationError as refusal:
        add_refusal(form, refusal)
        return False
    return True
