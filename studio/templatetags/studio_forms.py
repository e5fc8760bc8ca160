"""Forms in templates: how a field is laid out, and the parts of a control that would else take a template each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeAlias, TypedDict

from django import template
from django.forms import BoundField
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

register = template.Library()

Attributes: TypeAlias = Mapping[str, object]


class Widget(TypedDict):
    """What Django's input and choice widgets say of themselves to a template, as far as it is read here."""

    type: str
    name: str
    value: object
    attrs: Attributes


class Option(TypedDict):
    """One option of a select."""

    value: object
    label: str
    attrs: Attributes


OptionGroup: TypeAlias = tuple[str | None, Iterable[Option], int]
"""A name, or None for what stands in no group; its options; its place. As Django's choice widgets give them."""


@register.simple_tag
def field_group(field: BoundField) -> SafeString:
    """A field with everything about it: label, hint, control with its unit, and errors.

    Written without a template, as a page shows dozens of them.
    """
    grouped, shape, errors = field.use_fieldset, _shape(field), field.errors
    described = {"aria-describedby": field.aria_describedby} if grouped and field.aria_describedby else {}
    box = {"class": _classes(field, shape), **described}
    parts = (_label(field, shape), _hint(field), _control(field, shape), str(errors) if errors else "")
    tag = "fieldset" if grouped else "div"
    inside = "\n".join(part for part in parts if part)
    return mark_safe(f"<{tag}{_attributes(box)}>\n{inside}\n</{tag}>")  # noqa: S308 -- every part is escaped


@register.simple_tag
def attributes(attrs: Attributes) -> SafeString:
    """The attributes of a control, each after a space; one that is True stands by its name alone."""
    return mark_safe(_attributes(attrs))  # noqa: S308 -- every value is escaped


@register.simple_tag
def input_element(widget: Widget) -> SafeString:
    """The input of one line, of a tick or of a hidden value."""
    value = "" if widget["value"] is None else _attributes({"value": str(widget["value"])})
    begins = _attributes({"type": widget["type"], "name": widget["name"]})
    return mark_safe(f"<input{begins}{value}{_attributes(widget['attrs'])}>")  # noqa: S308 -- every value is escaped


@register.simple_tag
def options(groups: Iterable[OptionGroup]) -> SafeString:
    """The options of a select. A list of time zones has hundreds: they are written without a template each."""
    return mark_safe("".join(map(_group, groups)))  # noqa: S308 -- every value is escaped


# --- Private ---


def _shape(field: BoundField) -> str:
    """How a field is laid out: ``tick`` beside its label, ``choices`` in a list, else ``line``."""
    kind = field.widget_type
    if kind == "checkbox":
        return "tick"
    return "choices" if kind in {"radioselect", "checkboxselectmultiple"} else "line"


def _classes(field: BoundField, shape: str) -> str:
    """The classes of its box: its shape, that it has errors, that it takes the whole width."""
    said = {
        "field": True,
        "field-tick": shape == "tick",
        "field-wrong": bool(field.errors),
        "field-wide": getattr(field.field, "wide", False),
    }
    return " ".join(name for name, holds in said.items() if holds)


def _label(field: BoundField, shape: str) -> str:
    if not field.label:
        return ""
    plain = field.field.required or getattr(field.field, "unmarked", False) or shape != "line"
    optional = "" if plain else ' <span class="optional">{}</span>'.format(conditional_escape(_("optional")))
    words = f"{conditional_escape(field.label)}{optional}"
    if field.use_fieldset:
        return f"<legend>{words}</legend>"
    about = {"for": field.id_for_label} if field.id_for_label else {}
    return f"<label{_attributes(about)}>{words}</label>"


def _hint(field: BoundField) -> str:
    """What helps to fill it in; it is our own text and may hold tags, as Django's forms take it."""
    if not field.help_text:
        return ""
    named = {"class": "hint"} | ({"id": f"{field.auto_id}_helptext"} if field.auto_id else {})
    return f"<div{_attributes(named)}>{field.help_text}</div>"


def _control(field: BoundField, shape: str) -> str:
    unit = getattr(field.field, "unit", "") or getattr(field.field, "currency", "")
    after = f'<span class="unit">{conditional_escape(unit)}</span>' if unit else ""
    choices = " choices" if shape == "choices" else ""
    return f'<div class="control{choices}">{field}{after}</div>'


def _group(group: OptionGroup) -> str:
    name, members = group[:2]
    written = "".join(map(_option, members))
    return f'<optgroup label="{conditional_escape(name)}">{written}</optgroup>' if name else written


def _option(option: Option) -> str:
    value = conditional_escape(str(option["value"]))
    return f'<option value="{value}"{_attributes(option["attrs"])}>{conditional_escape(option["label"])}</option>'


def _attributes(attrs: Attributes) -> str:
    return "".join(
        f" {conditional_escape(name)}"
        if value is True
        else f' {conditional_escape(name)}="{conditional_escape(str(value))}"'
        for name, value in attrs.items()
        if value is not False
    )
