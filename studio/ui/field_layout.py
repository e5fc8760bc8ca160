"""What the field template reads from a form's field: its unit and its width. Choices that are known late."""

from __future__ import annotations

from collections.abc import Iterable
from typing import cast

from django import forms


def lay_out(field: forms.Field, *, unit: str = "", wide: bool = False, unmarked: bool = False) -> None:
    """Show ``unit`` behind the input; a ``wide`` field takes both columns of a form. An ``unmarked`` one doesn't say
    that it is optional: it is wanted, only not at once."""
    if unit:
        vars(field)["unit"] = unit
    if wide:
        vars(field)["wide"] = True
    if unmarked:
        vars(field)["unmarked"] = True


def set_choices(field: forms.Field, choices: Iterable[tuple[object, str]]) -> None:
    """Give a choice field of a form its choices."""
    cast("forms.ChoiceField", field).choices = list(choices)
