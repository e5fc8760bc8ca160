"""Form fields and form parts that every feature of the stock room uses."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction

from stock.catalogue.items import MAX_QUANTITY
from stock.models import Item

if TYPE_CHECKING:
    # At run time Django's fields take no type in brackets.
    ItemChoices = forms.ModelChoiceField[Item]
else:
    ItemChoices = forms.ModelChoiceField


class KeyedForm(forms.Form):
    """A form with a key of its own, so that a double click counts once."""

    keeps_draft = True
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, data: Mapping[str, object] | None = None, *, prefix: str | None = None) -> None:
        super().__init__(data, prefix=prefix)
        self.fields["key"].initial = secrets.token_urlsafe(12)

    def clean(self) -> None:
        """Refuse a form without its key: it was cut off or tampered with."""
        super().clean()
        if "key" in self.errors:
            self.add_error(None, "This form was incomplete. Reload the page and try again.")


class DecimalField(forms.DecimalField):
    """A number that accepts a decimal comma."""

    def to_python(self, value: object) -> Any:  # the stub says int
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)


def quantity_field(label: str, *, least: int = 1, required: bool = True) -> forms.IntegerField:
    """A number of pieces, typed on a phone's number pad."""
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=MAX_QUANTITY,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        required=required,
    )


class ItemChoiceField(ItemChoices):
    """A choice among the items in use, by name, consumables first."""

    def __init__(self, label: str = "", *, required: bool = True) -> None:
        offered = Item.objects.filter(retired_at=None).order_by("nature", "kind", "size_in", "name")
        super().__init__(offered, empty_label="choose", label=label, required=required)


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
