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


class Asked(forms.Form):
    name = forms.CharField(required=False, help_text="As on the <b>door</b>")
    length = forms.CharField(label="Length & width")
    ticked = forms.BooleanField(required=False)
    sort = forms.ChoiceField(choices=[(1, "one"), (2, TAGS)], widget=forms.RadioSelect)
    bare = forms.CharField(label="", required=False)


def group(name: str, data: dict[str, str] | None = None, **said: object) -> str:
    """A field as the page shows it; ``said`` of it are what our own fields say."""
    field = Asked(data)[name]
    for each, value in said.items():
        setattr(field.field, each, value)
    return re.sub(r"\s*\n\s*", "", field.as_field_group())


def test_a_field_has_its_label_hint_and_control() -> None:
    assert group("name") == (
        '<div class="field"><label for="id_name">Name <span class="optional">optional</span></label>'
        '<div class="hint" id="id_name_helptext">As on the <b>door</b></div><div class="control"><input type="text" '
        'name="name" aria-describedby="id_name_helptext" id="id_name"></div></div>'
    )
    assert group("length", unit="m", wide=True) == (
        '<div class="field field-wide"><label for="id_length">Length &amp; width</label><div class="control"><input '
        'type="text" name="length" required id="id_length"><span class="unit">m</span></div></div>'
    )
    assert group("bare", unmarked=True) == (
        '<div class="field"><div class="control"><input type="text" name="bare" id="id_bare"></div></div>'
    )


def test_a_field_that_need_not_be_filled_in_is_marked_unless_its_form_says_no() -> None:
    assert "optional" not in group("name", unmarked=True)
    assert "optional" not in group("length")
    assert "optional" not in group("ticked")


def test_a_tick_and_a_choice_are_laid_out_by_their_shape() -> None:
    assert group("ticked").startswith('<div class="field field-tick"><label for="id_ticked">Ticked</label>')
    choice = group("sort")
    assert choice.startswith('<fieldset class="field"><legend>Sort</legend><div class="control choices"><div')
    assert choice.endswith("</div></fieldset>")


def test_a_fault_stands_with_its_field_and_a_fieldset_is_described_by_it() -> None:
    wrong = group("length", {"length": ""})
    assert wrong.startswith('<div class="field field-wrong">')
    assert '<ul class="error errorlist"id="id_length_error"><li><span>This field is required.</span>' in wrong
    assert 'aria-describedby="id_sort_error"' in group("sort", {}).partition("<legend>")[0]


def test_the_unit_of_a_field_is_escaped() -> None:
    assert '<span class="unit">&lt;b&gt;</span>' in group("length", currency="<b>")
