"""The parts of a control that are written without a template say what Django's own templates say."""

from __future__ import annotations

import re

import pytest
from django import forms
from django.forms.renderers import BaseRenderer, DjangoTemplates, get_default_renderer
from django.utils.functional import lazystr
from django.utils.safestring import SafeString

TAGS = 'A & <b>"bold"</b>'
WIDGETS: list[tuple[forms.Widget, object]] = [
    (forms.TextInput(attrs={"maxlength": 40, "required": True, "disabled": False}), TAGS),
    (forms.NumberInput(attrs={"min": 0, "step": "any"}), 1234567),
    (forms.TextInput(), None),
    (forms.TextInput(), ""),
    (forms.HiddenInput(attrs={"data-x": TAGS}), 0),
    (forms.CheckboxInput(), True),
    (forms.DateInput(attrs={"type": "date"}), "2026-12-05"),
    (forms.Textarea(attrs={"rows": 3, "class": lazystr("wide")}), TAGS),
    (forms.Select(choices=[("", "---------"), ("a", TAGS), (TAGS, "b"), (3, lazystr("three"))]), "a"),
    (forms.Select(choices=[("a", SafeString("<i>safe</i>"))], attrs={"autofocus": True}), None),
    (forms.Select(choices=[(TAGS, [(1, "one"), (2, "two")]), ("Alone", [])]), 2),
    (forms.SelectMultiple(choices=[(1, "one"), (2, "two"), (3, "three")]), [1, 3]),
    (forms.NullBooleanSelect(), True),
    (forms.RadioSelect(choices=[(1, "one"), (2, TAGS)]), 2),
]


@pytest.mark.parametrize("widget", WIDGETS, ids=lambda each: type(each[0]).__name__)
def test_a_control_is_as_django_writes_it(widget: tuple[forms.Widget, object]) -> None:
    ours, djangos = (written(widget, renderer) for renderer in (get_default_renderer(), DjangoTemplates()))
    assert ours == djangos


def written(widget: tuple[forms.Widget, object], renderer: BaseRenderer) -> str:
    """The control, less the space between its tags and at their ends."""
    control, value = widget
    html = control.render("name", value, attrs={"id": "id_name"}, renderer=renderer)
    return re.sub(r"\s+(?=/?>)|(?<=>)\s+(?=<)|\s+\Z", "", html)
