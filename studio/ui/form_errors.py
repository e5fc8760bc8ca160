"""Errors of domain functions, shown at the fields of a form."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from django import forms
from django.core.exceptions import ValidationError

Saved = TypeVar("Saved")


def add_errors(form: forms.BaseForm, error: ValidationError) -> None:
    """Put the errors at the fields that they name, the others above the form."""
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for field, errors in error.error_dict.items():
        form.add_error(field if field in form.fields else None, errors)


def save_form(form: forms.BaseForm, save: Callable[[], Saved]) -> Saved | None:
    """Call ``save`` where the form is valid; None, and the errors in the form, where nothing was saved."""
    if not form.is_valid():
        return None
    try:
        return save()
    except ValidationError as error:
        add_errors(form, error)
        return None
