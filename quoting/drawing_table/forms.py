"""Acts as forms: text to typed values. Every act is one, whether a hand on the picture sends it or somebody types."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields as fields_of_record
from decimal import Decimal
from typing import Final, TypeAlias

from django import forms
from django.core.exceptions import ValidationError

from quoting.craft.design.records import Design
from quoting.craft.design.schema import HEX, Rule
from quoting.craft.table.things import LISTS
from quoting.drawing_table.stretches import StretchField
from quoting.drawing_table.words import FIELD_LABELS, PERCENTS
from studio.ui.forms import LengthField, PlaceField

Choices: TypeAlias = Iterable[tuple[str, str]]
MOST_POINTS: Final = 2000
MOST_JSON: Final = 60_000
HUNDRED: Final = Decimal(100)


class PointsField(forms.Field):
    """Points of a stroke as the picture sends them: a JSON list of places in metres."""

    widget = forms.HiddenInput

    def to_python(self, value: object) -> list[list[float]] | None:
        if value in self.empty_values:
            return None
        found = _from_json(str(value))
        if not isinstance(found, list) or len(found) > MOST_POINTS or not all(map(_is_point, found)):
            raise ValidationError("Draw the line again.", code="points")
        return [[float(number) for number in point] for point in found]


class PercentField(forms.Field):
    """A share as people write it, in per cent; cleans to 0 to 1."""

    unit = "%"
    widget = forms.TextInput

    def prepare_value(self, value: object) -> object:
        """0.92 is shown as 92."""
        return round(value * 100) if isinstance(value, float) else value

    def to_python(self, value: object) -> Decimal | None:
        found = forms.DecimalField(max_digits=9, required=False).clean(value)
        return None if found is None else found / HUNDRED


Maker: TypeAlias = Callable[[str], forms.Field]


def _place(units: str) -> forms.Field:
    return PlaceField(units=units)


def _length(units: str) -> forms.Field:
    return LengthField(units=units)


def _number(_units: str) -> forms.Field:
    return forms.DecimalField(max_digits=12)


def _whole(_units: str) -> forms.Field:
    return forms.IntegerField()


def _text(_units: str) -> forms.Field:
    return forms.CharField(max_length=120)


def _percent(_units: str) -> forms.Field:
    return PercentField(widget=forms.TextInput(attrs={"inputmode": "decimal"}))


def _flag(_units: str) -> forms.Field:
    return forms.BooleanField(required=False)


def _points(_units: str) -> forms.Field:
    return PointsField()


def _upload(_units: str) -> forms.Field:
    """A picture that is sent along; what is wrong with it is said when it is kept."""
    widget = forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"})
    return forms.FileField(required=False, widget=widget, help_text="PNG, JPEG or WebP, up to 12 MB.")


def _stretch(units: str) -> forms.Field:
    return StretchField(units=units)


UPLOAD: Final = "upload"
MAKERS: Final[Mapping[str, Maker]] = {
    **dict.fromkeys(("x_m", "y_m", "z_m", "door_x_m", "bleed_m"), _place),
    **dict.fromkeys(
        (
            "width_m",
            "height_m",
            "flat_m",
            "length_m",
            "ceiling_m",
            "depth_m",
            "door_width_m",
            "door_height_m",
        ),
        _length,
    ),
    **dict.fromkeys(("deg", "at"), _number),
    **dict.fromkeys(("index", "size_in", "count"), _whole),
    **dict.fromkeys(("factor", "start", "end", "x_share", "y_share"), _percent),
    **dict.fromkeys(("points",), _points),
    **dict.fromkeys(("exact",), _flag),
    **dict.fromkeys(("station_m",), _stretch),
    UPLOAD: _upload,
}
"""How a field of an act is typed; every other one is text."""
SHARE: Final = "share-"
ZONE_COLOUR: Final = "zone-colour-"
ZONE_LENGTH: Final = "zone-length-"
STEMS: Final[Mapping[str, Maker]] = {SHARE: _percent, ZONE_COLOUR: _text, ZONE_LENGTH: _stretch}
"""Fields that come once for each color or zone, by what their names begin with."""
TEXTS: Final = (
    "item",
    "shape",
    "look",
    "text",
    "colour",
    "which",
    "how",
    "field",
    "along",
    "then",
    "add",
    "finish",
    "inner",
    "word",
    "on_top",
    "image",
    "fit",
)
KNOWN: Final = (frozenset(MAKERS) | frozenset(TEXTS)) - {UPLOAD}
EMPTY_SAYS_SOMETHING: Final = ("cover", "set", "on-top", "site")
"""Acts for which an empty field means none of it."""
WAIT: Final = (
    "thickness", "move-point", "add-point", "remove-point", "move-corner", "add-corner", "remove-corner", "move-tie",
    "remove-tie", "zones", "print",
)  # fmt: skip
"""Acts whose fields belong together: they are sent by their button, not as soon as one of them is left."""


class ActForm(forms.Form):
    """One act with the fields that it takes.

    ``ref`` is the thing that it is done to; ``fixed`` go along unseen. ``choices`` make a field a choice among these;
    ``key`` tells forms of one act apart; ``waits``: only the button sends it, also where a script sends others at once.
    """

    def __init__(
        self, act: str, *, units: str, names: Iterable[str], thing: str = "", fixed: Mapping[str, str] | None = None,
        choices: Mapping[str, Choices] | None = None, data: Mapping[str, str] | None = None,
        initial: Mapping[str, object] | None = None, verb: str = "Apply", key: str = "",
    ) -> None:  # fmt: skip
        self.act, self.ref, self.fixed, self.verb, self.key = (
            act,
            thing,
            dict(fixed or {}),
            verb,
            key or act,
        )
        self.waits = verb in ("Add", "Set finish") or act in WAIT
        super().__init__(data, initial=dict(initial or {}), auto_id=f"{self.key}-%s")
        for name in names:
            found = (choices or {}).get(name)
            field = field_named(name, units) if found is None else forms.ChoiceField(choices=list(found))
            field.label = str(FIELD_LABELS.get((act, name), FIELD_LABELS.get(("", name), name)))
            self.fields[name] = field


class SentAct(forms.Form):
    """An act as it was sent, whatever form or hand sent it; ``values`` are its fields as plain typed values."""

    def __init__(self, sent: Mapping[str, str], units: str) -> None:
        super().__init__(sent)
        self.act, self.thing = sent.get("act", ""), sent.get("thing", "")
        for name in sent:
            if name in KNOWN or name.startswith(tuple(STEMS)):
                self.fields[name] = field_named(name, units)
                self.fields[name].required = False
        if self.act == "set":
            self.fields["value"] = value_field(self.thing.partition(":")[0], sent.get("field", ""), units)

    @property
    def values(self) -> dict[str, object]:
        """What was filled in: metres and shares as numbers."""
        typed = {name: _plain(value) for name, value in self.cleaned_data.items()}
        left_out = () if self.act in EMPTY_SAYS_SOMETHING else (None, "")
        filled = {name: value for name, value in typed.items() if value not in left_out}
        return {**({"thing": self.thing} if self.thing else {}), **filled}


def field_named(name: str, units: str) -> forms.Field:
    """The field of an act by its name."""
    of_many = next((maker for stem, maker in STEMS.items() if name.startswith(stem)), None)
    return (of_many or MAKERS.get(name, _text))(units)


def value_field(kind: str, name: str, units: str) -> forms.Field:
    """The field for the value of a thing's field, by the rule of its record; plain text where there is none such."""
    record = LISTS[kind][1] if kind in LISTS else Design
    rule = next((each.metadata["rule"] for each in fields_of_record(record) if each.name == name), None)
    return _field_of(rule, name, units) if rule else _text(units)


# Private


def _field_of(rule: Rule, name: str, units: str) -> forms.Field:
    if rule.kind == "number":
        maker = _percent if name in PERCENTS else _place if name.endswith("_m") else _number
        return maker(units)
    if rule.kind == "whole":
        return forms.IntegerField()
    if rule.kind == "flag":
        return forms.BooleanField(required=False)
    if rule.kind in ("pairs", "numbers", "parts", "part"):
        return forms.JSONField()
    if rule.pattern == HEX:
        return forms.CharField(widget=forms.TextInput(attrs={"type": "color"}))
    return forms.CharField(required=False, max_length=200)


def _plain(value: object) -> object:
    return float(value) if isinstance(value, Decimal) else value


def _from_json(text: str) -> object:
    try:
        return json.loads(text) if len(text) <= MOST_JSON else None
    except (ValueError, RecursionError):
        return None


def _is_point(point: object) -> bool:
    """Two or three finite numbers."""
    return (
        isinstance(point, list)
        and len(point) in (2, 3)
        and all(type(number) in (int, float) and abs(number) < 1e6 for number in point)
    )
