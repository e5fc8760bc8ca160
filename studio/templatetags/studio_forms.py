"""Forms in templates: how a field is laid out, and the parts of a control that would else take a template each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeAlias, TypedDict

from django import template
from django.forms import BoundField
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

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


@register.filter
def drawn_as(field: BoundField) -> str:
    """How a field is laid out: ``tick`` beside its label, ``choices`` in a list, else ``line``."""
    kind = field.widget_type
    if kind == "checkbox":
        return "tick"
    return "choices" if kind in {"radioselect", "checkboxselectmultiple"} else "line"


@register.filter
def layout_classes(field: BoundField) -> str:
    """Further classes of a field's box: it has errors, it takes the whole width."""
    wrong = " field-wrong" if field.errors else ""
    return f"{wrong} field-wide" if getattr(field.field, "wide", False) else wrong


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


def _group(group: OptionGroup) -> str:
    name, members, _ = group
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
