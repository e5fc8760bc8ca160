"""Forms of an item: its facts, its photo, and what moves it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from django import forms
from django.core.exceptions import ValidationError

from stock.catalogue import barcodes, frame_outlines
from stock.catalogue.fields import DecimalField, KeyedForm, quantity_field
from stock.catalogue.items import MAX_QUANTITY, USUAL_NATURE, USUAL_SIZES_IN
from stock.models import Colour, HirePer, Item, Kind, MovementKind, Nature, Purpose
from studio.measures import weights
from studio.models import Studio
from studio.models.spelling import spelled_lazy
from studio.ui.field_layout import lay_out
from studio.ui.forms import DayField, LengthField, MoneyField

OUTLINE_FIELDS: Final = ("shape", "width_m", "height_m", "depth_m", "tube_m", "foot_depth_m")
HIRED: Final = frozenset({Kind.FRAME, Kind.COVER, Kind.PROP})
"""Kinds that may be hired by the day."""
COST_FIELDS: Final = ("bag_price", "unit_cost")
"""Only for people who may see costs."""
NOT_ASKED: Final[Mapping[str, frozenset[Kind]]] = {
    "size_in": frozenset(Kind) - {Kind.LATEX},
    "bag_size": frozenset(Kind) - {Kind.LATEX, Kind.TWISTING, Kind.HARDWARE},
    "bag_price": frozenset(Kind) - {Kind.LATEX, Kind.TWISTING, Kind.HARDWARE},
    "unit_cost": frozenset({Kind.LATEX, Kind.TWISTING}),
    "price_per_use": frozenset({Kind.TOOL}),
    "hire_per": frozenset(Kind) - HIRED,
    "expected_uses": frozenset({Kind.LATEX, Kind.TWISTING, Kind.FOIL}),
    "turnaround_hours": frozenset({Kind.LATEX, Kind.TWISTING, Kind.FOIL}),
    "weight": frozenset({Kind.LATEX, Kind.TWISTING, Kind.FLORAL, Kind.FOIL}),
    "reorder_at": frozenset({Kind.FRAME, Kind.COVER, Kind.SIGN, Kind.PROP, Kind.TOOL}),
    "name": frozenset({Kind.LATEX, Kind.TWISTING}),
    "fits_frame": frozenset(Kind) - {Kind.COVER},
    "nature": frozenset({Kind.LATEX, Kind.TWISTING, Kind.FRAME, Kind.PROP, Kind.FOIL, Kind.TOOL}),
    **{
        field: frozenset(kind for kind in Kind if field not in frame_outlines.fields_of(kind))
        for field in OUTLINE_FIELDS
    },
}
"""Fields left out for some kinds."""
HEIGHTS: Final = {Kind.PROP: ("Height", "0.005", "4"), Kind.FOIL: ("Height when flat", "0.1", "2")}
ONLY_WHEN_ADDED: Final = ("size_in", "nature", "opening")


class PhotoForm(forms.Form):
    """A photo of an item."""

    photo = forms.FileField(
        label="Photo",
        help_text="PNG, JPEG or WebP, 12 MB at most.",
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
    )


def _reason_field(example: str) -> forms.CharField:
    return forms.CharField(label="Reason", required=False, max_length=200, help_text=example)


def _colour_field(*, required: bool) -> forms.ModelChoiceField[Colour]:
    colours = Colour.objects.filter(retired_at=None)
    return forms.ModelChoiceField(
        colours,
        label=spelled_lazy("Color"),
        required=required,
        empty_label="choose" if required else spelled_lazy("no color"),
    )


class ReceiveForm(KeyedForm):
    """What came in, in bags or pieces."""

    bags = quantity_field("Whole bags", required=False)
    quantity = quantity_field("Pieces", required=False)
    batch = forms.CharField(label="Batch number on the bags", required=False, max_length=40)
    reason = _reason_field("Such as the delivery note number.")

    def __init__(
        self, data: Mapping[str, object] | None = None, *, item: Item, prefix: str | None = None
    ) -> None:
        super().__init__(data, prefix=prefix)
        self.bag_size = item.bag_size
        if item.bag_size:
            lay_out(self.fields["bags"], unit=f"of {item.bag_size}")
        else:
            del self.fields["bags"]
            self.fields["quantity"].required = True

    def clean(self) -> None:
        """Add up bags and loose pieces."""
        super().clean()
        cleaned = self.cleaned_data
        bags = cleaned.get("bags") or 0
        total = bags * (self.bag_size or 0) + (cleaned.get("quantity") or 0)
        if not self.errors and not 1 <= total <= MAX_QUANTITY:
            self.add_error("quantity", "Enter how many came in: at least one.")
        cleaned["total"] = total


class CountForm(KeyedForm):
    """A count of one item."""

    quantity = quantity_field("Counted", least=0)
    reason = _reason_field("The reason for a difference, if you know it.")


class WriteOffForm(KeyedForm):
    """What is broken or lost."""

    kind = forms.ChoiceField(
        label="What happened",
        choices=[(MovementKind.BROKEN.value, "broken"), (MovementKind.LOST.value, "lost")],
    )
    quantity = quantity_field("Quantity")
    reason = _reason_field("Such as: foot bent, can’t be repaired.")


class SetAsideForm(KeyedForm):
    """What goes to cleaning or repair, and when it is back."""

    purpose = forms.ChoiceField(
        label="For",
        choices=[(Purpose.MENDING.value, "repair"), (Purpose.WASH.value, "cleaning")],
    )
    quantity = quantity_field("Quantity")
    until = DayField(label="Back on")
    why = forms.CharField(
        label="Problem", required=False, max_length=120, help_text="Such as: foot bent, tag 3."
    )


class ItemForm(forms.Form):
    """The details of an item; the fields depend on its kind and on what the person may see."""

    two_columns = True

    name = forms.CharField(max_length=120)
    colour = _colour_field(required=False)
    size_in = forms.TypedChoiceField(
        label="Size", coerce=int, choices=[(size, f"{size} in") for size in USUAL_SIZES_IN], initial=11
    )
    nature = forms.ChoiceField(
        label="After an event",
        choices=[(Nature.REUSABLE.value, "comes back"), (Nature.CONSUMABLE.value, "is used up")],
    )
    fits_frame = forms.ModelChoiceField(
        Item.objects.filter(kind=Kind.FRAME, retired_at=None).order_by("name"),
        label="Fits the frame",
        required=False,
        empty_label="not set",
    )
    shape = forms.ChoiceField(label="Shape")
    opening = quantity_field("Quantity now", least=0, required=False)
    place = forms.CharField(
        label="Place on the shelf", max_length=40, required=False, help_text="Such as bay C2."
    )
    bag_size = quantity_field("Pieces in a bag", required=False)
    expected_uses = forms.IntegerField(label="Expected uses", min_value=1, max_value=100_000, required=False)
    hire_per = forms.ChoiceField(
        label="Hire price is for",
        required=False,
        choices=HirePer.choices,
        initial=HirePer.EVENT,
        help_text="A day of use is each begun 24 hours, from access to the end of the take-down.",
    )
    turnaround_hours = forms.IntegerField(
        label="Cleaning time after each use", min_value=0, max_value=24 * 60, required=False
    )
    weight = DecimalField(min_value=Decimal(0), max_value=Decimal(9999), max_digits=7, required=False)
    gtin = forms.CharField(
        label="Barcode number", max_length=20, required=False, help_text="Scan or type it."
    )
    reorder_at = quantity_field("Reorder at", least=0, required=False)
    note = forms.CharField(
        label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        kind: Kind,
        studio: Studio,
        sees_costs: bool,
        item: Item | None = None,
    ) -> None:
        self.kind, self.units, self.item = kind, studio.units, item
        super().__init__(data, initial=_facts(item, studio.units) if item else None)
        self._add_studio_fields(studio)
        self._name_units()
        for field, kinds in NOT_ASKED.items():
            if kind in kinds:
                del self.fields[field]
        for field in (() if sees_costs else COST_FIELDS) + (ONLY_WHEN_ADDED if item else ()):
            self.fields.pop(field, None)
        self._offer_colours()
        if kind == Kind.FOIL and not item:
            self.fields[
                "name"
            ].help_text = "A letter or digit stands last: Gold 34 in “4”. One item for each."
        if isinstance(shape := self.fields.get("shape"), forms.ChoiceField):
            shape.choices = list(frame_outlines.shapes_of(kind).items())
        self.order_fields(ORDER)

    def clean_gtin(self) -> str:
        """Check the check digit."""
        return barcodes.parse_gtin(self.cleaned_data["gtin"])

    def clean(self) -> None:
        """Put the outline of a frame, prop or foil balloon together."""
        super().clean()
        cleaned = self.cleaned_data
        outlined = bool(frame_outlines.fields_of(self.kind))
        if outlined and not any(field in self.errors for field in OUTLINE_FIELDS):
            try:
                cleaned["outline"] = frame_outlines.validate_outline(
                    self._typed_outline(cleaned), kind=self.kind
                )
            except ValidationError as fault:
                for field, messages in fault.message_dict.items():
                    self.add_error(field, messages)

    def facts(self) -> dict[str, object]:
        """The cleaned facts as fields of :class:`~stock.models.Item`; call when valid."""
        left_out = {"opening", "weight", "place", *OUTLINE_FIELDS}
        facts = {key: value for key, value in self.cleaned_data.items() if key not in left_out}
        if "weight" in self.changed_data:
            weight = self.cleaned_data["weight"]
            facts["weight_kg"] = weights.in_kg(weight, self.units) if weight is not None else None
        if "hire_per" in facts and not facts["hire_per"]:
            facts["hire_per"] = self.item.hire_per if self.item else HirePer.EVENT
        if "turnaround_hours" in facts:
            facts["turnaround_hours"] = facts["turnaround_hours"] or 0
        return facts

    def _typed_outline(self, cleaned: Mapping[str, Decimal | str | None]) -> dict[str, str | float]:
        """The outline in metres; dimensions that weren't changed stay exactly as stored."""
        kept: Mapping[str, str | float] = (self.item.outline if self.item else None) or {}
        outline = {key: value for key, value in kept.items() if key not in self.changed_data}
        for field in OUTLINE_FIELDS:
            value = cleaned.get(field)
            if field not in outline and value:
                outline[field] = str(value) if field == "shape" else float(value)
        return outline

    def _add_studio_fields(self, studio: Studio) -> None:
        for field, label in (
            ("bag_price", "Price per bag"),
            ("unit_cost", "Unit cost"),
            ("price_per_use", "Hire price to clients" if self.kind in HIRED else "Price per use to clients"),
        ):
            self.fields[field] = MoneyField(
                label=label, currency=studio.currency, locale=studio.locale, required=False
            )
        for field, label, least, most in (
            ("width_m", "Width", "0.02", "12"),
            ("height_m", *HEIGHTS.get(self.kind, ("Height", "0.1", "8"))),
            ("depth_m", "Depth", "0.005", "6"),
            ("tube_m", "Tube diameter", "0.005", "0.2"),
            ("foot_depth_m", "Foot depth", "0.02", "4"),
        ):
            self.fields[field] = LengthField(
                label=label,
                units=studio.units,
                least=Decimal(least),
                most=Decimal(most),
                required=field in {"width_m", "height_m", "depth_m"},
            )

    def _name_units(self) -> None:
        for field, unit in (("weight", weights.unit(self.units)), ("turnaround_hours", "hours")):
            lay_out(self.fields[field], unit=unit)
        for field in ("weight", "turnaround_hours", "expected_uses"):
            self.fields[field].widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        lay_out(self.fields["note"], wide=True)
        lay_out(self.fields["hire_per"], unmarked=True)

    def _offer_colours(self) -> None:
        if self.kind in {Kind.LATEX, Kind.TWISTING}:
            del self.fields["colour"]
            if not self.item:
                self.fields["colour"] = _colour_field(required=True)
        elif "nature" in self.fields:
            self.fields["nature"].initial = USUAL_NATURE[self.kind].value


ORDER: Final = (
    "name", "colour", "size_in", "nature", "fits_frame", "shape", "width_m", "height_m", "depth_m", "tube_m",
    "foot_depth_m",
    "opening", "place", "bag_size", "bag_price", "unit_cost", "price_per_use", "hire_per", "expected_uses",
    "turnaround_hours", "weight", "gtin", "reorder_at", "note",
)  # fmt: skip

KEPT_AS_TYPED: Final = frozenset(ORDER) - {
    "size_in",
    "nature",
    "opening",
    "weight",
    *OUTLINE_FIELDS,
}


def _facts(item: Item, units: str) -> dict[str, object]:
    """An item's facts as the form shows them."""
    facts: dict[str, object] = {field: getattr(item, field) for field in ORDER if field in KEPT_AS_TYPED}
    if item.weight_kg is not None:
        facts["weight"] = weights.in_units(item.weight_kg, units)
    for key, value in (item.outline or {}).items():
        facts[key] = Decimal(str(value)) if isinstance(value, float) else value
    return facts
